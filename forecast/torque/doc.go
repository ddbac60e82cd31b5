// Package torque takes a resolved machine into the engine's rooms and back: the figures of engine and valve train, the
// torque curve with what makes it doubtful, one cycle, and the correction to a standard's air.
//
// It reads inputs through package ranges, fills the rooms' own structs in SI and gives back the units of the trade. It
// knows nothing of chassis, course or rules.
package torque

import "slices"

// Figures are those of engine and valve train, in the order in which people read them.
var Figures = slices.Concat(engineFigures, valvetrainFigures)
