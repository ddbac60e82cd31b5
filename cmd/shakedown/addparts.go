package main

import (
	"fmt"
	"os"

	"shakedown/internal/app"
)

type addPartsCommand struct {
	Sheet string `arg:"" help:"Build sheet, one file; the parts are added at the end of its parts." type:"path"`
	List  string `arg:"" help:"Parts list as a spreadsheet saves it: commas, semicolons or tabs, names of the columns first." type:"path"`
	Print bool   `help:"Print the new sheet and leave the file as it is."`
}

// Help is the example shown by shakedown add-parts --help.
func (addPartsCommand) Help() string {
	return `Example, list.csv:

  id,name,kind,price,lead,sets,needs
  big-piston,"Piston, 76 mm",piston,189.00,2 weeks,engine.bore: 76 mm; engine.piston_mass: 236 g,rebore

  shakedown add-parts mine.yaml list.csv

Columns: id, kind, name, price, lead, time, from, warranty, sets, adds, removes, needs, excludes, waits_for, keeps_busy.
Nothing is written when a line is wrong; all else in the sheet stays as it is.`
}

// Run adds the parts of a list to a sheet.
func (c addPartsCommand) Run(s *streams, _ *int) error {
	text, n, err := app.AddParts(c.Sheet, c.List)
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
