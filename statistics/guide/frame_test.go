package guide

import (
	"math"
	"slices"
	"testing"

	"holdfast/numeric"
)

// Columns that nearly go together still give a frame at right angles, and those that do go together are left out.
func TestFrameIsAtRightAngles(t *testing.T) {
	r := numeric.Stream(1, "guide frame")
	columns := make([][]float64, 4)
	for range 30 {
		x, y := r.NormFloat64(), r.NormFloat64()
		for k, v := range []float64{x, x + 1e-7*y, 2 - 3*x, y} {
			columns[k] = append(columns[k], v)
		}
	}
	f := orthogonal(columns)
	if !slices.Equal(f.kept, []int{0, 1}) {
		t.Fatalf("columns %v are kept", f.kept)
	}
	for i, a := range f.basis {
		for j, b := range f.basis {
			want := 0.0
			if i == j {
				want = 1
			}
			if got := dot(a, b); math.Abs(got-want) > 1e-13 {
				t.Errorf("basis %d along basis %d: %g", i, j, got)
			}
		}
	}
}
