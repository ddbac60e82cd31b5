package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"shakedown/internal/faults"
)

// replaceFile writes beside a file and renames, so that an old one is never left half overwritten. A symbolic link
// stays and the file that it leads to changes; that keeps its mode. What is no plain file is left as it is.
func replaceFile(name string, write func(*os.File) error) error {
	target, mode, err := placeOf(name)
	if err != nil {
		return faults.Mendable(err)
	}
	f, err := os.CreateTemp(filepath.Dir(target), ".shakedown-*")
	if err != nil {
		return faults.Mendable(fmt.Errorf("nothing can be written there: %w; give another place", err))
	}
	defer os.Remove(f.Name()) // nothing is left of it after the rename
	if err := write(f); err != nil {
		f.Close()
		return err
	}
	if err := f.Chmod(mode); err != nil {
		f.Close()
		return err
	}
	if err := f.Sync(); err != nil { // else a loss of power could leave the new name with nothing in it
		f.Close()
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	if err := os.Rename(f.Name(), target); err != nil {
		return err
	}
	if folder, err := os.Open(filepath.Dir(target)); err == nil { // some systems cannot, and need not
		_ = folder.Sync()
		folder.Close()
	}
	return nil
}

// placeOf is the plain file that a name leads to, or will, and the mode that it has or gets.
func placeOf(name string) (target string, mode fs.FileMode, err error) {
	target, err = filepath.EvalSymlinks(name)
	if errors.Is(err, fs.ErrNotExist) {
		if _, err := os.Lstat(name); err == nil {
			return "", 0, fmt.Errorf("%s is a link to a file that is not there; nothing was written: give the name of a file", name)
		}
		return name, 0o644, nil
	}
	if err != nil {
		return "", 0, fmt.Errorf("%s cannot be written: %w; give another place", name, err)
	}
	info, err := os.Lstat(target)
	switch {
	case err != nil:
		return "", 0, fmt.Errorf("%s cannot be written: %w; give another place", name, err)
	case info.IsDir():
		return "", 0, fmt.Errorf("%s is a folder; give the name of a file in it", name)
	case !info.Mode().IsRegular():
		return "", 0, fmt.Errorf("%s is no plain file and was left as it is; give the name of a file", name)
	}
	return target, info.Mode().Perm(), nil
}
