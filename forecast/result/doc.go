// Package result holds what takes long to compute: each thing once under a key made of the numbers that it was computed
// from, shared by all who wait for it, and kept beyond the run where there is a keeper.
//
// It does not know what is computed.
package result
