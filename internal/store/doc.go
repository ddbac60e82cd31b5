// Package store keeps the workshop file: one SQLite file with the sheets of all machines, every save of each as a
// revision, text that is not saved yet, and results that were worth keeping.
//
// Texts and the number of the revision they were made from go in; revisions come out, and an error says when the
// machine was changed meanwhile, when the file is from a newer program, damaged, read-only or out of room. It knows
// nothing of what a sheet says. What it has acknowledged is on the disk.
package store
