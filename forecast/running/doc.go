// Package running takes a resolved machine into the rooms of the running gear and back: the figures of driveline,
// chassis, suspension, brakes, axle and tyres, how a build stands on its tyres, and the shape that drawings go by.
//
// It reads inputs through package ranges and takes the air and the displacement from package torque. It knows nothing
// of the course.
package running

import "slices"

// Figures are those of the running gear, in the order in which people read them.
var Figures = slices.Concat(drivelineFigures, chassisFigures, suspensionFigures, brakeFigures, axleFigures, tyreFigures)
