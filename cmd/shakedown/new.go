package main

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"shakedown/internal/faults"
	"shakedown/internal/workshop"
)

type newCommand struct {
	File   string   `arg:"" help:"Sheet to begin; it must not be there yet." type:"path"`
	Layout string   `help:"three-wheeler, quad or bike; asked for on a terminal." placeholder:"NAME"`
	Set    []string `help:"An answer given beforehand, such as engine.bore='74 mm'; may be repeated." placeholder:"PATH=VALUE" sep:"none"`
	Ask    bool     `help:"Ask even when this is no terminal."`
}

// Help is the example shown by shakedown new --help.
func (newCommand) Help() string {
	return `Example:

  shakedown new mine.yaml
  shakedown new mine.yaml --layout quad --set name='Old red' --set engine.bore='74 mm' --set mass.dry='362 lb'

goes through what can be read off the machine or measured with a rule and a bathroom scale (an empty answer leaves a typical
value), and writes a sheet in which every other input stands as a typical value with how to measure it.`
}

// Run begins a sheet.
func (c newCommand) Run(s *streams, _ *int) error {
	if _, err := os.Stat(c.File); !errors.Is(err, fs.ErrNotExist) {
		return faults.Mendable(fmt.Errorf("%s is there already; a sheet is never written over: give another name", c.File))
	}
	answers := map[string]string{}
	for _, given := range c.Set {
		path, value, ok := strings.Cut(given, "=")
		if !ok {
			return faults.Mendable(fmt.Errorf("--set %q; write an input and its value, such as --set engine.bore='74 mm'", given))
		}
		answers[strings.TrimSpace(path)] = value
	}
	layout := c.Layout
	if s.asks || c.Ask {
		var err error
		if layout, err = interview(s, layout, answers); err != nil {
			return err
		}
	}
	if layout == "" {
		layout = "three-wheeler"
	}
	text, err := workshop.NewSheet(layout, answers, s.now)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(c.File, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return faults.Mendable(fmt.Errorf("the sheet cannot be written there: %w", err))
	}
	if _, err := f.Write(text); err != nil {
		f.Close()
		return err
	}
	if err := f.Sync(); err != nil {
		f.Close()
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "%s\nNext: shakedown check %s says what it makes of it and what to measure first.\n", c.File, c.File)
	return err
}

// interview asks on stderr and reads answers line by line; an answer that cannot stand in a sheet is asked for again.
func interview(s *streams, layout string, answers map[string]string) (string, error) {
	lines := bufio.NewScanner(s.in)
	ask := func(words string) (string, bool) {
		fmt.Fprintf(s.err, "%s: ", words)
		if !lines.Scan() {
			return "", false
		}
		return strings.TrimSpace(lines.Text()), true
	}
	fmt.Fprintln(s.err, "An empty answer leaves a typical value; you can fill it in later.")
	for layout == "" {
		answer, ok := ask("Three-wheeler (one wheel in front), quad or bike? [three-wheeler]")
		if answer == "" {
			answer = "three-wheeler"
		}
		if err := workshop.Acceptable("layout", answer); err != nil && ok {
			fmt.Fprintln(s.err, err)
			continue
		}
		layout = answer
	}
	if err := workshop.Acceptable("layout", layout); err != nil {
		return "", err
	}
	for _, q := range workshop.Questions(layout) {
		if _, given := answers[q.Path]; given {
			continue
		}
		for {
			answer, ok := ask(fmt.Sprintf("%s (such as %s)", q.Words, q.Example))
			if answer == "" || !ok {
				break
			}
			if err := workshop.Acceptable(q.Path, answer); err != nil {
				fmt.Fprintln(s.err, err)
				continue
			}
			answers[q.Path] = answer
			break
		}
	}
	return layout, lines.Err()
}
