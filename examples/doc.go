// Package examples carries the files that ship with the program: invented hands, items, settings, strategies and scenes of the
// Fernhollow Bakery. Rooms below it hold the demonstration itself.
package examples

import (
	"embed"
	"io/fs"
)

//go:embed scenes
var files embed.FS

// Scenes returns the scene files and the folders hands, items, settings and strategies beside them.
func Scenes() fs.FS {
	scenes, err := fs.Sub(files, "scenes")
	if err != nil {
		// The name is a constant that fs.Sub takes.
		return files
	}
	return scenes
}
