// Package tables reads trials and orientations from CSV and Parquet files and writes trials, plans and maps to them.
//
// Reading is all or nothing: a file with a single fault gives an [*Errors] with every fault by row and column, and no
// rows. Quantities are mm, degrees, N and s in files, each with its unit in the column's name, and SI in [Row].
// docs/formats.md describes the files.
package tables
