// Package house holds only tests: they fail when the tree breaks its own rules about who may import whom, what must be
// documented, and what may not be in it.
package house
