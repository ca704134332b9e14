package pads

import (
	"io"
	"math"

	"holdfast/orient"
	"holdfast/readings"
)

// prefix is what the pads' columns begin with.
const prefix = "pad_"

// ReadPresses reads a calibration: CSV with the columns pressed_pad (counted from 1; 0 while nothing presses), force_N and
// pad_1, pad_2 and so on. Every fault names its row (the header is row 1) and column; nothing is returned with an error.
func ReadPresses(in io.Reader) ([]Press, error) {
	t, rows, err := readings.ReadNumbered(in, []readings.Column{
		{Name: "pressed_pad", Meaning: "pad that is pressed, from 1; 0: none", Natural: true},
		{Name: "force_N", Meaning: "force on it; 0 where none is pressed", Natural: true},
	}, prefix)
	if err != nil {
		return nil, err
	}
	var wrong readings.Faults
	list := make([]Press, len(rows))
	for i, row := range rows {
		pad, force := t.Numbers["pressed_pad"][i], t.Numbers["force_N"][i]
		switch {
		case pad != math.Trunc(pad) || pad > float64(len(row)):
			wrong.Add(i+2, "pressed_pad", "must be a whole number from 0 to %d, the number of pads (got %g)", len(row), pad)
		case pad > 0 && force == 0:
			wrong.Add(i+2, "force_N", "must be above 0 where a pad is pressed (got 0)")
		case pad == 0 && force != 0:
			wrong.Add(i+2, "force_N", "must be 0 where no pad is pressed (got %g)", force)
		}
		list[i] = Press{Pad: int(math.Min(pad, float64(len(row)))) - 1, Force: force, Readings: row}
	}
	if err := wrong.Err(); err != nil {
		return nil, err
	}
	return list, nil
}

// mostPlace (mm) bounds where a pad may lie.
const mostPlace = 10_000

// ReadPlaces reads where the pads lie: CSV with the columns pad (counted from 1, each once), x_mm and y_mm, and z_mm where
// they do not lie in a plane. The places (m) are returned in the order of the pads. Faults as in [ReadPresses].
func ReadPlaces(in io.Reader) ([]orient.Vec3, error) {
	t, err := readings.Read(in, []readings.Column{
		{Name: "pad", Meaning: "number of the pad, from 1", Positive: true}, {Name: "x_mm", Meaning: "place of its middle"}, {Name: "y_mm", Meaning: "place of its middle"},
		{Name: "z_mm", Meaning: "place of its middle", Optional: true},
	})
	if err != nil {
		return nil, err
	}
	var wrong readings.Faults
	places, row := make([]orient.Vec3, t.Rows), make([]int, t.Rows)
	for i, pad := range t.Numbers["pad"] {
		if pad != math.Trunc(pad) || pad > float64(t.Rows) {
			wrong.Add(i+2, "pad", "must be a whole number from 1 to %d, the number of rows (got %g)", t.Rows, pad)
			continue
		}
		k := int(pad) - 1
		if row[k] > 0 {
			wrong.Add(i+2, "pad", "pad %d has its place in row %d already", k+1, row[k])
			continue
		}
		row[k] = i + 2
		for axis, name := range []string{"x_mm", "y_mm", "z_mm"} {
			if list := t.Numbers[name]; list != nil {
				if math.Abs(list[i]) > mostPlace {
					wrong.Add(i+2, name, "must lie within %d mm (got %g)", mostPlace, list[i])
				}
				places[k][axis] = list[i] / 1e3
			}
		}
	}
	if err := wrong.Err(); err != nil {
		return nil, err
	}
	return places, nil
}

// ReadRecord reads readings over time: CSV with the columns time_s, which rises, and pad_1, pad_2 and so on. Faults as in
// [ReadPresses].
func ReadRecord(in io.Reader) (*readings.Series, error) { return readings.ReadSeries(in, prefix) }

// WriteRecord writes readings over time as [ReadRecord] reads them.
func WriteRecord(out io.Writer, s *readings.Series) error {
	return readings.WriteSeries(out, s, prefix)
}
