// Package shipped holds the invented hands, items, settings, strategies and scenes that come with the program, as the files
// beside it. docs/scenes.md says how to write more.
package shipped

import "embed"

// Files are hands, items, settings, strategies and scenes, by their paths in this folder.
//
//go:embed *.yaml hands items settings strategies
var Files embed.FS
