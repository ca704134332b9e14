package orient

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

func Example() {
	r := FromApproach(Approach{Tilt: 90 * math.Pi / 180, Azimuth: 90 * math.Pi / 180, Roll: 0})
	d := r.Direction()
	fmt.Printf("quaternion %.4f %.4f %.4f %.4f\n", r.W, r.X, r.Y, r.Z)
	fmt.Printf("moves along y: %.4f\n", d[1])
	// Output:
	// quaternion 0.5000 0.5000 -0.5000 0.5000
	// moves along y: 1.0000
}

func ExampleCombine() {
	// A two-finger hand picks a round roll from a square tray.
	roll, _ := ParseSurroundings("axial+mirror")
	tray, _ := ParseSurroundings("4+mirror")
	s, err := Combine(2, true, roll, tray)
	fmt.Println(s, err)
	a := FromApproach(Approach{Tilt: 0.5, Azimuth: 2.0, Roll: 3.0})
	b := s.Canonical(a).Approach()
	fmt.Printf("%d equivalent orientations; tilt %.3f azimuth %.3f roll %.3f stands for them\n", s.Order(), b.Tilt, b.Azimuth, b.Roll)
	// Output:
	// hand 2-fold with mirror plane, surroundings 4+mirror <nil>
	// 16 equivalent orientations; tilt 0.500 azimuth 0.429 roll -0.142 stands for them
}

// The table of worked examples in the guide, row by row.
func TestGuideTable(t *testing.T) {
	file, err := os.Open("../docs/orientation.md")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows := 0
	lines := bufio.NewScanner(file)
	for lines.Scan() {
		cells := strings.Split(strings.Trim(lines.Text(), "| "), "|")
		if len(cells) != 11 {
			continue
		}
		var v []float64
		for _, c := range cells {
			x, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(c), "−", "-"), 64)
			if err != nil {
				break
			}
			v = append(v, x)
		}
		if len(v) != 11 {
			continue // the heading
		}
		rows++
		r := FromApproach(Approach{v[0] * degree, v[1] * degree, v[2] * degree})
		d := r.Direction()
		for i, got := range []float64{r.W, r.X, r.Y, r.Z, d[0], d[1], d[2]} {
			if want := v[4+i]; math.Abs(got-want) > 0.5e-4+1e-9 {
				t.Errorf("%s: number %d is %.5f", lines.Text(), 5+i, got)
			}
		}
		if math.Abs(WrapAngle((v[1]+v[2]-v[3])*degree)) > 1e-9 {
			t.Errorf("%s: the heading is not azimuth + roll", lines.Text())
		}
		if v[0] < 180 && math.Abs(WrapAngle(r.Heading()-v[3]*degree)) > 1e-9 {
			t.Errorf("%s: the code's heading is %.4f°", lines.Text(), r.Heading()/degree)
		}
	}
	if err := lines.Err(); err != nil {
		t.Fatal(err)
	}
	if rows < 6 {
		t.Errorf("only %d rows of worked examples were found in the guide", rows)
	}
}
