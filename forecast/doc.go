// Package forecast lists all figures of a machine and computes them with range, basis and change against a baseline.
//
// Its inner rooms are the only ones that know both the machine and the physics: ranges (reading and ranges), torque
// (engine), running (running gear), track (course) and measure (worksheets). None of them judges: that is the business
// of package check.
package forecast
