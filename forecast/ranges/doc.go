// Package ranges says how a figure reads a build and how sure it is: it notes what is read, moves each number that
// somebody wrote by its uncertainty, and makes ranges of that by the first order or by a sample. It knows no physics.
package ranges
