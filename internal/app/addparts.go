package app

import (
	"fmt"
	"os"
	"path/filepath"

	"shakedown/internal/faults"
	"shakedown/sheet"
)

// AddParts is the text of a sheet with the parts of a list added, and how many they are. Nothing is written.
func AddParts(sheetPath, listPath string) ([]byte, int, error) {
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
	changed, n, err := sheet.AddParts(text, filepath.Base(listPath), list)
	if err != nil {
		return nil, 0, faults.Mendable(err)
	}
	return changed, n, nil
}
