package main

import (
	"bufio"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"shakedown/internal/app"
	"shakedown/internal/faults"
)

type addPartsCommand struct {
	Sheet   string `arg:"" help:"Build sheet, one file; the parts are added at the end of its parts." type:"path"`
	List    string `arg:"" help:"Parts list as a spreadsheet saves it: commas, semicolons or tabs, names of the columns first." type:"path"`
	Columns string `help:"Which column of a vendor's list is what: name=Item,price=Our price,lead=#4. What is not named is left out." placeholder:"OURS=THEIRS,..."`
	Print   bool   `help:"Print the new sheet and leave the file as it is."`
}

// Help is the example shown by shakedown add-parts --help.
func (addPartsCommand) Help() string {
	return `Example, list.csv:

  id,name,kind,price,lead,sets,needs
  big-piston,"Piston, 76 mm",piston,189.00,2 weeks,engine.bore: 76 mm; engine.piston_mass: 236 g,rebore

  shakedown add-parts mine.yaml list.csv

A vendor's list has other headings. Say which column is what, by its heading or its place; without that, on a terminal,
you are asked, and elsewhere the columns are listed with their first line. Nothing is guessed. Without a short name (id)
one is made of the name.

  shakedown add-parts mine.yaml vendor.csv --columns "name=Item,price=Our price,lead=#4"

Prices may be $389, 389,00 or "on request", waiting times 4-6 weeks, an oversize "engine.bore: 0.020 over".

Columns: id, kind, name, price, core_charge, lead, time, from, warranty, sets, adds, removes, needs, excludes, waits_for, keeps_busy.
Nothing is written when a line is wrong; all else in the sheet stays as it is.`
}

// Run adds the parts of a list to a sheet.
func (c addPartsCommand) Run(s *streams, _ *int) error {
	text, n, err := app.AddParts(c.Sheet, c.List, c.Columns)
	if columns, can := app.ColumnsAsked(err); len(columns) > 0 && s.asks {
		said, asking := s.columns(columns, can)
		if asking != nil {
			return asking
		}
		text, n, err = app.AddParts(c.Sheet, c.List, said)
	}
	if err != nil {
		return err
	}
	if c.Print {
		_, err := s.out.Write(text)
		return err
	}
	if err := replaceFile(c.Sheet, func(f *os.File) error { _, err := f.Write(text); return err }); err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "%d added to %s. Next: name them in a build, then shakedown check %s.\n", n, c.Sheet, c.Sheet)
	return err
}

// columns asks which column of a list is what, one after the other; an empty line leaves one out.
func (s *streams) columns(columns []app.Column, can []string) (said string, err error) {
	fmt.Fprintf(s.err, "Which column is what? Write one of %s; an empty line leaves the column out.\n", strings.Join(can, ", "))
	lines := bufio.NewScanner(s.in)
	var pairs []string
	for i, column := range columns {
		for {
			fmt.Fprintf(s.err, "  %q, such as %q: ", column.Head, column.First)
			if !lines.Scan() {
				return "", faults.Mendable(errors.New("not all columns were told; nothing was added"))
			}
			word := strings.ToLower(strings.TrimSpace(lines.Text()))
			if word != "" && !slices.Contains(can, word) {
				fmt.Fprintf(s.err, "  There is no column %q.\n", word)
				continue
			}
			if word != "" {
				pairs = append(pairs, fmt.Sprintf("%s=#%d", word, i+1))
			}
			break
		}
	}
	if len(pairs) == 0 {
		return "", faults.Mendable(errors.New("no column was told; nothing was added"))
	}
	return strings.Join(pairs, ","), nil
}
