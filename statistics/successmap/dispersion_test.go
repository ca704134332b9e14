package successmap

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"holdfast/numeric"
)

// Real grasps of 41 household objects in two hand orientations, counts derived from B. S. Zapata-Impata, P. Gil,
// F. Torres, arXiv:1809.05551 (2018); the deviance and its tail are those of the data's README (computed, R 4.2.2).
func TestDispersionOnOpenData(t *testing.T) {
	root := os.Getenv("HOLDFAST_OPEN_DATA")
	if root == "" {
		root = filepath.Join("..", "..", "..", "shared", "data")
	}
	f, err := os.Open(filepath.Join(root, "palm-orientation-slip", "counts.csv"))
	if err != nil {
		t.Skip("the open data palm-orientation-slip is not here; set HOLDFAST_OPEN_DATA to the folder that holds it")
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var counts []Count
	for _, row := range rows[1:] {
		held, err := strconv.ParseFloat(row[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		trials, err := strconv.ParseFloat(row[4], 64)
		if err != nil {
			t.Fatal(err)
		}
		counts = append(counts, Count{Levels: row[:2], Held: held, Trials: trials})
	}
	d, err := CheckDispersion(counts, 1)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(d.Deviance-16.55) > 0.005 || d.DF != 40 || math.Abs(d.LowerP-0.0004) > 0.00005 || d.Simulated {
		t.Errorf("deviance %.4f on %d df, lower tail %.5f, simulated %v; want 16.55 on 40, 0.0004, false", d.Deviance, d.DF, d.LowerP, d.Simulated)
	}
	if !strings.Contains(d.Text, "more even than independent trials") {
		t.Errorf("text %q", d.Text)
	}
}

func TestDispersionFindsBothKinds(t *testing.T) {
	rng := numeric.Stream(5, "test")
	var even, wild, fair []Count
	for i := range 10 {
		for j := range 4 {
			levels := []string{strconv.Itoa(i), strconv.Itoa(j)}
			p := expit(float64(i)/5 - 1 + float64(j)/4)
			even = append(even, Count{levels, math.Round(40 * p), 40})
			q := expit(float64(i)/5 - 1 + float64(j)/4 + rng.NormFloat64())
			var held, fairly float64
			for range 40 {
				if rng.Float64() < q {
					held++
				}
				if rng.Float64() < p {
					fairly++
				}
			}
			wild = append(wild, Count{levels, held, 40})
			fair = append(fair, Count{levels, fairly, 40})
		}
	}
	for _, c := range []struct {
		counts []Count
		want   string
	}{{even, "more even"}, {wild, "over-dispersed"}, {fair, "as independent trials would"}} {
		d, err := CheckDispersion(c.counts, 1)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(d.Text, c.want) || d.DF != 27 {
			t.Errorf("want %q and 27 df, got %q, deviance %.2f on %d", c.want, d.Text, d.Deviance, d.DF)
		}
	}
}

func TestDispersionWithSmallAndOneSidedCells(t *testing.T) {
	counts := []Count{
		{[]string{"roll", "mon"}, 3, 4}, {[]string{"roll", "tue"}, 2, 4}, {[]string{"egg", "mon"}, 1, 4},
		{[]string{"egg", "tue"}, 3, 4}, {[]string{"bun", "mon"}, 4, 4}, {[]string{"bun", "tue"}, 4, 4},
	}
	d, err := CheckDispersion(counts, 1)
	if err != nil {
		t.Fatal(err)
	}
	// The bun was always held: it leaves two items on two days, one degree of freedom.
	if d.DF != 1 || !d.Simulated || !(d.Deviance > 0) || math.IsInf(d.Deviance, 0) || d.LowerP+d.UpperP < 1 {
		t.Errorf("%+v", d)
	}
	for name, bad := range map[string][]Count{
		"none":       nil,
		"saturated":  {{[]string{"a"}, 1, 3}, {[]string{"b"}, 2, 3}},
		"impossible": {{[]string{"a"}, 4, 3}},
		"ragged":     {{[]string{"a"}, 1, 3}, {[]string{"a", "b"}, 1, 3}},
	} {
		if _, err := CheckDispersion(bad, 1); err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
}
