package main

import (
	"fmt"
	"runtime/debug"
)

// version is set by the linker in release builds.
var version string

// programVersion is the linker's version, else what the build recorded of its sources.
func programVersion() string {
	if version != "" {
		return version
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unversioned"
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		return v
	}
	revision, dirty := "", ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			revision = s.Value[:min(12, len(s.Value))]
		case s.Key == "vcs.modified" && s.Value == "true":
			dirty = "-dirty"
		}
	}
	if revision == "" {
		return "unversioned"
	}
	return revision + dirty
}

type versionCommand struct{}

// Run prints the version.
func (versionCommand) Run(env *environment) error {
	_, err := fmt.Fprintln(env.stdout, "holdfast", programVersion())
	return err
}
