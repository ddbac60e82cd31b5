// Package app is one function for each thing that a person can ask; the command line and the pages call the same ones.
//
// A sheet's path, or a machine of a workshop, and a few choices go in; an Answer with figures, findings, dates, costs
// and one sentence of advice comes out, or what takes longer. It wires the rooms together and decides nothing about a
// machine itself; what is kept and changed in a workshop is package workshop's.
package app
