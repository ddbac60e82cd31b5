// Package faults turns a panic into an error, so that a fault of the program ends the piece of work that it is in and
// never the program.
//
// A function goes in; its error comes out, or a Fault with the trace of where it stopped. An error is marked as one
// that whoever asked can mend, and every room above can tell. It does not know what the function does, nor what was
// asked.
package faults

import (
	"errors"
	"fmt"
	"runtime/debug"
)

// Fault is a panic as an error.
type Fault struct {
	Value any    // what the panic was called with
	Trace string // where, for the log
}

// Error says it in words; the trace is not in them.
func (f *Fault) Error() string {
	return fmt.Sprintf("a fault in the program stopped this work (%v); what you entered is kept. Look for a slipped digit in what you changed last, and report the trace that the log shows", f.Value)
}

// Unwrap is what the panic was called with when that is an error.
func (f *Fault) Unwrap() error {
	err, _ := f.Value.(error)
	return err
}

// Catch runs a piece of work. When that panics, the error is a *Fault; one that was raised by Raise comes through as it
// is.
func Catch(work func() error) (err error) {
	defer func() {
		switch v := recover().(type) {
		case nil:
		case *Fault:
			err = v
		default:
			err = &Fault{v, string(debug.Stack())}
		}
	}()
	return work()
}

// Raise panics again with a fault that Catch gave in another goroutine, so that no caller takes it for a reason why
// something cannot be computed, and whoever catches it has the first trace. Another error, or nil, does nothing.
func Raise(err error) {
	if fault, ok := errors.AsType[*Fault](err); ok {
		panic(fault)
	}
}
