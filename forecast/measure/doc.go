// Package measure makes inputs of what an owner measures: the sums of the worksheets with the half-widths that follow
// from the readings, and which measurement would narrow the figures most.
package measure
