// Package quantity is a number with its unit, its tolerance and how it is known.
//
// Text such as "74.00 mm ± 0.01 measured" goes in; a value in SI, the half-width that holds 95 %, the way it is known
// and the text as typed come out, and numbers go back to people in metric or US units. The package knows which units
// measure what and nothing of machines.
package quantity
