// Package machine holds the nouns of the job: the machine, its rider and track, the parts on offer, the builds, and a
// build resolved over the machine.
//
// A Schema says which inputs exist, what each measures and what physics forbids. A Project is what one sheet says.
// Resolve lays the parts of a build over the machine; every resolved input remembers which line and part set it. It
// solves nothing and reads no text.
package machine
