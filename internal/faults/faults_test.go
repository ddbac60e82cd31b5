package faults

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

var errWork = errors.New("no more of it")

func stumble(list []int, i int) int { return list[i] }

func TestAPanicIsAnError(t *testing.T) {
	err := Catch(func() error { stumble(nil, 3); return nil })
	var fault *Fault
	if !errors.As(err, &fault) {
		t.Fatalf("%v", err)
	}
	if !strings.Contains(fault.Trace, "stumble") || strings.Contains(err.Error(), "stumble") || !strings.Contains(err.Error(), "index out of range") {
		t.Errorf("words: %v\ntrace: %s", err, fault.Trace)
	}
	again := Catch(func() error { Raise(fmt.Errorf("in a goroutine: %w", err)); return nil })
	if again != err {
		t.Errorf("raised again it is another: %v", again)
	}
}

func TestAnErrorStaysAnError(t *testing.T) {
	if err := Catch(func() error { return errWork }); err != errWork {
		t.Error(err)
	}
	if err := Catch(func() error { Raise(nil); Raise(errWork); return nil }); err != nil {
		t.Error(err)
	}
	if err := Catch(func() error { panic(errWork) }); !errors.Is(err, errWork) {
		t.Error(err)
	}
}
