package main

import (
	"encoding/json"
	"fmt"
	"runtime"
	"runtime/debug"
)

type versionCommand struct {
	JSON bool `name:"json" help:"Print one JSON object."`
}

// Run prints version, commit and Go.
func (c versionCommand) Run(s *streams, _ *int) error {
	if c.JSON {
		return json.NewEncoder(s.out).Encode(map[string]string{"program": version, "commit": commit(), "go": runtime.Version()})
	}
	_, err := fmt.Fprintf(s.out, "shakedown %s\ncommit %s\n%s %s/%s\n", version, commit(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
	return err
}

// commit is the revision the program was built from, as Go noted it.
func commit() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	revision, changed := "unknown", ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			revision = s.Value
		case s.Key == "vcs.modified" && s.Value == "true":
			changed = " with changes"
		}
	}
	return revision + changed
}

func programName() string { return "shakedown " + version }
