// Package app is one function for each thing a person can do; the command line and later the page call the same ones.
//
// A sheet's path and a few choices go in; an Answer with figures, findings, dates, costs and one sentence of advice comes
// out. It wires the rooms together and decides nothing about a machine itself.
package app
