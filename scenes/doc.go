// Package scenes reads and writes what a simulated trial needs: hands, items, settings, strategies and the scenes that put
// them together, as YAML. It takes bytes and an [io/fs.FS] and gives values of mechanics/trialsim; it opens nothing itself.
//
// The types in the files named *_file.go are the formats: their tags carry each field's name with its unit, what it means and
// what range it has. Decoder, writer and the JSON Schemas under schemas come from these tags, so they can not drift apart.
// Lengths are in mm, angles in degrees, forces in N, masses in g, pressures in kPa and times in s in files, SI in values.
//
// Reading is all or nothing: [Errors] lists every fault with file, line, column and field.
//
// docs/scenes.md says how to write these files.
package scenes
