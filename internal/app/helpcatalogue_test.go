package app

import (
	"fmt"
	"testing"

	"shakedown/internal/app/asked"
	"shakedown/sheet"
)

// What help shows can be written as it stands.
func TestTheCatalogueOfHelpIsRead(t *testing.T) {
	for _, row := range catalogueRows {
		text := fmt.Sprintf("sheet: 1\ncurrency: USD\nmachine: {layout: three-wheeler, engine: {bore: 74 mm}}\nparts:\n  p:\n    %s\nbuilds: {a: [], b: [p]}\n", row[1])
		if _, err := asked.Ask(asked.Question{Text: &sheet.File{Name: "x.yaml", Text: []byte(text)}}); err != nil {
			t.Errorf("%s: %v", row[0], err)
		}
	}
}
