// Package asked is a question on a sheet and its quick answer: one build against another.
//
// A sheet's path or text, two builds and a few choices go in; figures, findings, claims judged, dates, costs, what to
// measure and one sentence of advice come out, for people and as JSON, and the inputs, parts and worksheets of the
// sheet as a person sees and changes them. It does not know what takes long (curves, laps, what parts are worth) and no
// workshop file: both are above it.
package asked
