// Package lap takes a machine round a course: the speeds that ground, balance, engine and brakes allow, and the time
// that follows.
//
// A Course is a line cut into steps; a Machine is what of it decides how fast it goes. Run gives the lap. All is SI; it
// knows no sheet. Equations and what is left out: docs/theory/lap.md.
package lap
