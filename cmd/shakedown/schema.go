package main

import "shakedown/internal/app"

type schemaCommand struct{}

// Help is the example shown by shakedown schema --help.
func (schemaCommand) Help() string {
	return `Example:

  shakedown schema > shakedown.schema.json

Editors that know JSON Schema then complete keys, check units and show how to measure each input. The first line of a
sheet that shakedown new began refers to this file.`
}

// Run prints the JSON Schema of a sheet.
func (schemaCommand) Run(s *streams, _ *int) error {
	_, err := s.out.Write(app.SheetSchema())
	return err
}
