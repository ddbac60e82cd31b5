package app

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"shakedown/internal/faults"
	"shakedown/sheet"
)

// AddParts is the text of a sheet with the parts of a list added, and how many they are. Columns says which column of
// the list is what, as sheet.ParseColumns reads it; "" where the headings say it. Nothing is written. The error wraps
// *sheet.UnknownColumns when it has to be said.
func AddParts(sheetPath, listPath, columns string) ([]byte, int, error) {
	if info, err := os.Stat(sheetPath); err == nil && info.IsDir() {
		return nil, 0, faults.Mendable(fmt.Errorf("%s is a folder; give the file of it that the parts belong in", sheetPath))
	}
	text, err := sheet.ReadBounded(sheetPath, sheet.MaxBytes)
	if err != nil {
		return nil, 0, faults.Mendable(fmt.Errorf("the sheet cannot be read: %w", err))
	}
	list, err := sheet.ReadBounded(listPath, sheet.MaxBytes)
	if err != nil {
		return nil, 0, faults.Mendable(fmt.Errorf("the list cannot be read: %w", err))
	}
	told, err := sheet.ParseColumns(columns)
	if err != nil {
		return nil, 0, faults.Mendable(err)
	}
	changed, n, err := sheet.AddParts(text, filepath.Base(listPath), list, told)
	if err != nil {
		return nil, 0, faults.Mendable(err)
	}
	return changed, n, nil
}

// Column is a column of a list whose heading says nothing to us.
type Column struct{ Head, First string }

// ColumnsAsked are the columns of a list of which has to be said what they are, by the error of AddParts, and what they
// can be; none for another error.
func ColumnsAsked(err error) (columns []Column, can []string) {
	u, ok := errors.AsType[*sheet.UnknownColumns](err)
	if !ok {
		return nil, nil
	}
	for i, head := range u.Heads {
		columns = append(columns, Column{head, u.First[i]})
	}
	return columns, sheet.ListColumns()
}
