package successmap

import (
	"holdfast/orient"
)

// Cell is one planned orientation with the trials counted there.
type Cell struct {
	R            orient.Rotation
	Held, Trials float64
	Farthest     float64 // rad: the largest distance of one of its trials from R, up to symmetry
}

// Cells counts every observation at the nearest of the planned orientations, symmetry considered; of equally near ones
// the first counts it.
func Cells(planned []orient.Rotation, obs []Observation, s orient.Symmetry) []Cell {
	cells := make([]Cell, len(planned))
	exact := make(map[orient.Rotation]int, len(planned))
	for i, r := range planned {
		cells[i].R = r
		if _, taken := exact[r.Canonical()]; !taken {
			exact[r.Canonical()] = i
		}
	}
	for _, o := range obs {
		at, ok := exact[o.R.Canonical()]
		if !ok {
			best := -1.0
			for i, r := range planned {
				if d := s.Distance(o.R, r); best < 0 || d < best {
					at, best = i, d
				}
			}
			if best < 0 {
				continue
			}
			cells[at].Farthest = max(cells[at].Farthest, best)
		}
		cells[at].Held += o.Held
		cells[at].Trials += o.Trials
	}
	return cells
}

// GroupEquivalent puts observations together that are the same orientation under the symmetry, to within tolerance
// (rad), in order of first appearance.
func GroupEquivalent(obs []Observation, s orient.Symmetry, tolerance float64) []Cell {
	var cells []Cell
	exact := map[orient.Rotation]int{}
	for _, o := range obs {
		at, ok := exact[o.R.Canonical()]
		distance := 0.0
		if !ok {
			at = -1
			for i := range cells {
				if d := s.Distance(o.R, cells[i].R); d <= tolerance {
					at, distance = i, d
					break
				}
			}
			if at < 0 {
				at = len(cells)
				cells = append(cells, Cell{R: o.R})
			}
			exact[o.R.Canonical()] = at
		}
		cells[at].Farthest = max(cells[at].Farthest, distance)
		cells[at].Held += o.Held
		cells[at].Trials += o.Trials
	}
	return cells
}
