package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"os/signal"
	"sync"
	"sync/atomic"
	"syscall"
	"unicode"
	"unicode/utf8"

	"shakedown/report"
)

// interrupt is the wish of a person to stop, with ctrl-C.
type interrupt struct {
	once sync.Once
	ctx  context.Context
	end  context.CancelFunc
	came atomic.Bool
}

// interruptible is a context that ends with ctrl-C. A second ctrl-C ends the program where it stands.
func (s *streams) interruptible() context.Context {
	i := s.stop
	i.once.Do(func() {
		i.ctx, i.end = context.WithCancel(context.Background())
		signals := make(chan os.Signal, 1)
		signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
		go func() {
			defer signal.Stop(signals)
			select {
			case <-signals:
				i.came.Store(true)
				i.end()
			case <-i.ctx.Done():
			}
		}()
	})
	return i.ctx
}

// over lets go of the signal.
func (i *interrupt) over() {
	if i.end != nil {
		i.end()
	}
}

// forTerminal is a file as a place to write to: at a terminal, what could move its cursor, change its colours or turn
// its text round is shown as a sign in its place. Files and pipes get every byte.
func forTerminal(f *os.File) io.Writer {
	if !isTerminal(f) {
		return f
	}
	return &harmless{to: f}
}

// harmless writes text without control characters but for ends of lines, tabs, and what this program itself marks with.
type harmless struct {
	to   io.Writer
	rest []byte // of a character, or a mark, that is not whole yet
}

// own are the marks of this program: colours, and how progress is wiped away.
var own = append(report.Marks(), "\r\x1b[K")

// Write implements io.Writer.
func (h *harmless) Write(text []byte) (int, error) {
	in := append(h.rest, text...)
	h.rest = nil
	out := make([]byte, 0, len(in))
	for len(in) > 0 {
		if mark, whole := markAt(in); mark > 0 {
			if !whole {
				h.rest = bytes.Clone(in)
				break
			}
			out, in = append(out, in[:mark]...), in[mark:]
			continue
		}
		if !utf8.FullRune(in) {
			h.rest = bytes.Clone(in)
			break
		}
		r, n := utf8.DecodeRune(in)
		if r == '\n' || r == '\t' || r != utf8.RuneError && !unicode.IsControl(r) && !turns(r) {
			out = append(out, in[:n]...)
		} else {
			out = append(out, string(utf8.RuneError)...)
		}
		in = in[n:]
	}
	if _, err := h.to.Write(out); err != nil {
		return 0, err
	}
	return len(text), nil
}

// markAt is the length of the program's own mark at the beginning of a text, and whether all of it is there; 0 for
// none.
func markAt(text []byte) (n int, whole bool) {
	for _, mark := range own {
		if bytes.HasPrefix(text, []byte(mark)) {
			return len(mark), true
		}
		if len(text) < len(mark) && bytes.HasPrefix([]byte(mark), text) {
			return len(text), false
		}
	}
	return 0, false
}

// turns says that a character changes the direction of the text after it (Unicode Standard Annex 9).
func turns(r rune) bool {
	return r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 || r == 0x200e || r == 0x200f || r == 0x061c
}
