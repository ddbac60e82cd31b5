// Package course is what a build does on its course, in words and tables: the lap and how sure it is, the standing
// start, the sprockets, and whether it slides before it tips.
//
// A quick answer and results that were computed or kept go in; what was found comes out, each with one function Answer
// that says it. It does not know what parts are worth, or a workshop file.
package course
