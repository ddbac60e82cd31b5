// Package worth is what parts give: each over the baseline in figures, and for its money on the course, in which order
// to buy, and the advice that follows.
//
// A quick answer and results that were computed or kept go in; what was found comes out, with one function Answer that
// says it. It does not know a workshop file.
package worth
