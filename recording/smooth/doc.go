// Package smooth runs a smoother over the fixes of a ride: how a machine moves between them, how much the fixes are off
// and wander, and what both say together of places, speeds and accelerations, each with how sure it is.
//
// Times, places on a plane and speeds in SI go in; the same, smoothed, come out. It knows no laps and no files.
package smooth
