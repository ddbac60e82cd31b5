// Package track takes a build with its torque curve round a course: the lap with its range, what a race takes of tank
// and brakes, the standing start, sprockets, the margin to tipping over on every ground, and a logged ride as a course.
//
// It fills the lap room's structs from what packages torque and running read. What a lap is worth is the business of
// others.
package track
