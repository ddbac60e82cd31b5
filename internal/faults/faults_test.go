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

func TestWhoseItIsToMend(t *testing.T) {
	for _, c := range []struct {
		err             error
		mendable, large bool
	}{
		{errWork, false, false},
		{nil, false, false},
		{Mendable(errWork), true, false},
		{fmt.Errorf("the sheet: %w", Mendable(errWork)), true, false},
		{TooLarge(errWork), true, true},
		{fmt.Errorf("the file: %w", TooLarge(errWork)), true, true},
	} {
		if IsMendable(c.err) != c.mendable || IsTooLarge(c.err) != c.large {
			t.Errorf("%v is mendable %v, too large %v", c.err, IsMendable(c.err), IsTooLarge(c.err))
		}
		if c.err != nil && (!errors.Is(c.err, errWork) || !strings.HasSuffix(c.err.Error(), errWork.Error())) {
			t.Errorf("%v is not what it was", c.err)
		}
	}
}
