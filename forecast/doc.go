// Package forecast takes a resolved machine into the physics rooms and back: figures with range, basis and change
// against a baseline. It is the only room that knows both the machine and the physics.
//
// One small file per physics room holds the adapters. A figure reads its inputs through a tracer, so its basis lists
// exactly what went into it. It judges nothing: that is the business of package check.
package forecast
