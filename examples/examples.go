// Package examples carries the invented machines of this folder inside the program, so that a first start has something
// to open.
//
// Names go in, the texts of build sheets come out. The machines, their makers, parts, prices and figures are invented.
package examples

import "embed"

//go:embed *.yaml
var files embed.FS

// Example is one invented machine.
type Example struct {
	Name  string // file name
	Words string // what it is, for a person to choose
}

// List is all of them, in the order in which they are offered.
var List = []Example{
	{"fenmoor-t285.yaml", "A three-wheeler with air cooling: 27 parts, four builds, one of them full of conflicts on purpose."},
	{"sallow-q250.yaml", "A quad with A-arms, liquid cooling and four valves, in inches and pounds here and there."},
	{"brackwater-246.yaml", "A twin-shock bike with drum brakes."},
}

// Text is the sheet of an example; the error is for a name that is not in List.
func Text(name string) ([]byte, error) { return files.ReadFile(name) }
