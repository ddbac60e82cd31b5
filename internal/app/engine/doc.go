// Package engine is what takes long to know of a build's engine, in words and tables: the torque curve against that of
// the baseline, what each part does to it, and one cycle with the waves in the pipes.
//
// A quick answer and results that were computed or kept go in; what was found comes out, each with one function Answer
// that says it. It does not know the course, what parts are worth, or a workshop file.
package engine
