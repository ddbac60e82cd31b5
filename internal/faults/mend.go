package faults

import "errors"

// mendable is an error about what a person asked for or gave.
type mendable struct{ error }

// Unwrap is the error itself.
func (e mendable) Unwrap() error { return e.error }

// Mendable marks an error as one that whoever asked can mend: a slip in a sheet, a file that is not there, a number
// that is none.
func Mendable(err error) error { return mendable{err} }

// IsMendable says that whoever asked can mend an error; any other is the program's or the computer's.
func IsMendable(err error) bool {
	_, ok := errors.AsType[mendable](err)
	return ok
}

// errTooLarge marks an error about something that has more bytes than are read.
var errTooLarge = errors.New("too large")

// large is such an error.
type large struct{ error }

// Is makes it known to errors.Is.
func (large) Is(target error) bool { return target == errTooLarge }

// Unwrap is the error itself.
func (l large) Unwrap() error { return l.error }

// TooLarge marks an error as one about something that has more bytes than are read; it is Mendable too.
func TooLarge(err error) error { return Mendable(large{err}) }

// IsTooLarge says that something has more bytes than are read.
func IsTooLarge(err error) bool { return errors.Is(err, errTooLarge) }
