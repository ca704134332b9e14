package workflow

import (
	"fmt"
	"math"

	"holdfast/orient"
	"holdfast/statistics/proportion"
	"holdfast/statistics/successmap"
)

// sameCell is how far (rad) from each other planned orientations still count as one.
const sameCell = 0.5 * math.Pi / 180

// mostCells is how many orientations a table holds; beyond that, trials are counted at evenCells even ones.
const (
	mostCells = 1000
	evenCells = 150
)

// cells counts the trials at each planned orientation: the plan's, then those of trials outside the plan. Trials are
// counted where they were asked for; the map itself uses the measured orientation.
func (in *mapInput) cells(obs []successmap.Observation) (list []Cell, note string) {
	asked := make([]successmap.Observation, 0, len(obs)+len(in.planned))
	for _, q := range in.planned {
		asked = append(asked, successmap.Observation{R: q})
	}
	distinct := map[orient.Rotation]bool{}
	for i, o := range obs {
		o.R = in.trials[i].Planned
		asked = append(asked, o)
		distinct[o.R.Canonical()] = true
	}
	var grouped []successmap.Cell
	if len(distinct) <= mostCells {
		grouped = successmap.GroupEquivalent(asked, in.symmetry, sameCell)
	} else {
		c, err := orient.Cover(evenCells, in.tiltMax, in.symmetry, orientationSeed)
		if err != nil {
			return []Cell{}, "The trials have too many orientations for a table."
		}
		grouped = successmap.Cells(c.Points, asked[len(in.planned):], in.symmetry)
		note = fmt.Sprintf("The trials have %d orientations, so the table counts each at the nearest of %d even ones.", len(distinct), evenCells)
	}
	cells := make([]Cell, 0, len(grouped))
	for _, g := range grouped {
		c := Cell{Rotation: g.R, Trials: int(math.Round(g.Trials)), Held: int(math.Round(g.Held))}
		for _, m := range []struct {
			method proportion.Method
			into   *[2]float64
		}{{proportion.ClopperPearson, &c.Exact}, {proportion.Wilson, &c.Wilson}, {proportion.Jeffreys, &c.Jeffreys}} {
			i, err := m.method.Interval(c.Held, c.Trials, IntervalLevel)
			if err != nil {
				i = proportion.Interval{Low: 0, High: 1}
			}
			*m.into = [2]float64{i.Low, i.High}
		}
		cells = append(cells, c)
	}
	return cells, note
}

// estimateCells adds the map's estimates.
func (f *fitted) estimateCells() {
	estimates := make([]successmap.Estimate, len(f.cells))
	f.m.Predict(estimates, f.cellRotations())
	for i, e := range estimates {
		f.cells[i].P, f.cells[i].Low, f.cells[i].High = e.P, e.Low, e.High
	}
}

func (f *fitted) cellRotations() []orient.Rotation {
	list := make([]orient.Rotation, len(f.cells))
	for i, c := range f.cells {
		list[i] = c.Rotation
	}
	return list
}

// dispersionSeed simulates the tables of the dispersion test.
const dispersionSeed = 1

// trialsPerCell is how many trials a cell must hold on average before its scatter is tested. With one or two, effects of
// orientation and block fit nearly every outcome, and the test would cry wolf (seen on studies of three replicates).
const trialsPerCell = 4

// dispersion tests whether the counts at the planned orientations vary as independent trials would around effects of
// the orientation. With one trial at each orientation there is nothing to compare, so blocks are the second factor.
func (in *mapInput) dispersion() Dispersion {
	type cell struct {
		orientation string
		block       int
	}
	index := map[cell]int{}
	names, distinct := in.orientationGroups()
	var counts []successmap.Count
	for i := range in.trials {
		t := &in.trials[i]
		c := cell{names[i], t.Block}
		at, ok := index[c]
		if !ok {
			at = len(counts)
			index[c] = at
			counts = append(counts, successmap.Count{Levels: []string{c.orientation, fmt.Sprint(c.block)}})
		}
		counts[at].Trials++
		if t.Held() {
			counts[at].Held++
		}
	}
	untested := Dispersion{LowerP: 1, UpperP: 1, Text: "Whether counts vary as independent trials would can not be tested: that takes several trials at the same orientation in the same block."}
	if distinct < 2 || len(counts)*trialsPerCell > len(in.trials) || len(counts) > mostCells {
		return untested
	}
	d, err := successmap.CheckDispersion(counts, dispersionSeed)
	if err != nil {
		return untested
	}
	return Dispersion{Tested: true, Deviance: d.Deviance, DF: d.DF, LowerP: d.LowerP, UpperP: d.UpperP, Text: d.Text}
}
