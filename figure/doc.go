// Package figure holds what all rooms speak of: figures with their range and basis, findings, and the place in the
// sheet from which an input came.
//
// It computes nothing. Values are in SI; how they are shown to people is package quantity's business.
package figure
