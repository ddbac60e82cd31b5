// Package workshop is a workshop file as a person's bench: machines and their revisions, changes of a sheet's text,
// drafts, recordings, results that took time, and exports.
//
// A change of a few values, a part switched, a whole text or a file goes in; a revision comes out, or an EditClash with
// both values when somebody changed the same thing meanwhile, or an error that is faults.Mendable. It knows what stands
// where in a sheet and nothing of what it means: whether a sheet can be read and may be saved is told by the Judge that
// it is opened with. It computes no figure.
package workshop
