package tables

import (
	"os"
	"testing"
)

// The counts of held and slipped grasps of 41 household objects by two hand orientations, derived from the data of
// B. S. Zapata-Impata, P. Gil and F. Torres 2018, arXiv:1809.05551: 1276 palm-down and 1273 palm-side trials (read).
// The counts lie beside the project, not in it.
func TestOpenDataPublished(t *testing.T) {
	const path = "../../shared/data/palm-orientation-slip/counts.csv"
	counts, err := os.ReadFile(path)
	if os.IsNotExist(err) {
		t.Skip("the open data palm-orientation-slip is not here")
	}
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("../examples/palm-orientation-slip.columns.yaml")
	if err != nil {
		t.Fatal(err)
	}
	m, err := ParseColumnMap("palm-orientation-slip.columns.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	table, err := Read(FromBytes("counts.csv", counts), m)
	if err != nil {
		t.Fatal(err)
	}
	trials, items := map[bool]int{}, map[string]bool{}
	for i := range table.Trials {
		r := &table.Trials[i]
		trials[r.Rotation.Approach().Tilt > 1]++
		items[r.Item] = true
	}
	if table.Rows != 82 || len(items) != 41 || trials[false] != 1276 || trials[true] != 1273 {
		t.Errorf("%d rows, %d items, %d palm-down and %d palm-side trials; published 82, 41, 1276 and 1273",
			table.Rows, len(items), trials[false], trials[true])
	}
}
