// Package sheet turns the text of a build sheet into a machine.Project and edits single values in that text.
//
// Every error carries file, line, column, an excerpt with a caret, what was expected and a remedy, and all errors of a
// sheet are reported at once. Size, depth and characters are checked before the YAML library sees the text. An edit
// replaces exactly the characters of one value. The package computes nothing about the machine.
package sheet
