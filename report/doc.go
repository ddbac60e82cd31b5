// Package report prints what the program found for people: text for a terminal, drawings to scale, and one
// self-contained page that another owner could read.
//
// Figures, findings, dates and sums that are already computed go in; text and HTML come out. It chooses digits and
// units and places lines on paper; it computes nothing about a machine.
package report
