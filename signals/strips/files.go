package strips

import (
	"fmt"
	"io"
	"math"
	"slices"

	"holdfast/readings"
)

// prefix is what the strips' columns begin with.
const prefix = "strip_"

// Bounds of what is read.
const (
	mostStrips = 256
	mostPlace  = 10_000 // mm
)

// ReadCalibrations reads CSV with the columns strip (from 1), curvature_per_m and signal, a row for each reading. Every fault names
// its row (the header is row 1) and column; nothing is returned with an error.
func ReadCalibrations(in io.Reader) ([]Calibration, error) {
	t, err := readings.Read(in, []readings.Column{
		{Name: "strip", Meaning: "number of the strip, from 1", Positive: true}, {Name: "curvature_per_m", Meaning: "curvature that was set"}, {Name: "signal", Meaning: "what the strip read"},
	})
	if err != nil {
		return nil, err
	}
	var wrong readings.Faults
	var list []Calibration
	for i, v := range t.Numbers["strip"] {
		if v != math.Trunc(v) || v > mostStrips {
			wrong.Add(i+2, "strip", "must be a whole number from 1 to %d (got %g)", mostStrips, v)
			continue
		}
		if math.Abs(t.Numbers["curvature_per_m"][i]) > mostCurvature {
			wrong.Add(i+2, "curvature_per_m", "must lie within %g (got %g)", float64(mostCurvature), t.Numbers["curvature_per_m"][i])
		}
		for len(list) < int(v) {
			list = append(list, Calibration{})
		}
		c := &list[int(v)-1]
		c.Curvatures, c.Signals = append(c.Curvatures, t.Numbers["curvature_per_m"][i]), append(c.Signals, t.Numbers["signal"][i])
	}
	if err := wrong.Err(); err != nil {
		return nil, err
	}
	if k := slices.IndexFunc(list, func(c Calibration) bool { return len(c.Signals) == 0 }); k >= 0 {
		return nil, fmt.Errorf("column strip: there is no row of strip %d, though there is one of strip %d; number the strips from 1 and leave none out", k+1, len(list))
	}
	return list, nil
}

// ReadPlaces reads CSV with the columns strip (from 1; 0: a rigid length), from_mm and to_mm along the finger from its base. Faults
// as in [ReadCalibrations].
func ReadPlaces(in io.Reader) ([]Place, error) {
	t, err := readings.Read(in, []readings.Column{
		{Name: "strip", Meaning: "number of the strip, from 1; 0: a rigid length", Natural: true}, {Name: "from_mm", Meaning: "where it begins, from the base", Natural: true},
		{Name: "to_mm", Meaning: "where it ends", Positive: true},
	})
	if err != nil {
		return nil, err
	}
	var wrong readings.Faults
	var list []Place
	for i, v := range t.Numbers["strip"] {
		from, to := t.Numbers["from_mm"][i], t.Numbers["to_mm"][i]
		switch {
		case v != math.Trunc(v) || v > mostStrips:
			wrong.Add(i+2, "strip", "must be a whole number from 0 to %d (got %g)", mostStrips, v)
		case !(to > from) || to > mostPlace:
			wrong.Add(i+2, "to_mm", "must lie beyond from_mm, %g, up to %d (got %g)", from, mostPlace, to)
		}
		list = append(list, Place{int(v) - 1, from / 1e3, to / 1e3})
	}
	if err := wrong.Err(); err != nil {
		return nil, err
	}
	return list, nil
}

// ReadRecord reads CSV with the columns time_s, which rises, and strip_1, strip_2 and so on. Faults as in [ReadCalibrations].
func ReadRecord(in io.Reader) (*readings.Series, error) { return readings.ReadSeries(in, prefix) }

// WriteRecord writes it as [ReadRecord] reads it.
func WriteRecord(out io.Writer, s *readings.Series) error {
	return readings.WriteSeries(out, s, prefix)
}
