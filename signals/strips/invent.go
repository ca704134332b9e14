package strips

import (
	"io"
	"math"
	"strconv"
	"strings"

	"holdfast/numeric"
	"holdfast/readings"
)

// Invented is a finger that does not exist: its strips' calibrations and places, a record of it bending, and the truth behind.
type Invented struct {
	Calibrations []Calibration
	Places       []Place
	Record       readings.Series
	Curvatures   [][]float64 // 1/m, the truth by frame and strip
}

// The invented finger: strips of 18 mm with 2 mm between them behind a rigid base, whose signals level off as they bend.
const (
	inventedStrips = 5
	inventedFrames = 300
	inventedRate   = 25 // frames in a second
	inventedNoise  = 0.004
	inventedMost   = 30.0 // 1/m, calibrated up to
)

// Invent makes the finger. seed decides the strips' gains and the noise.
func Invent(seed uint64) *Invented {
	random := numeric.Stream(seed, "invented strips")
	v := &Invented{Places: []Place{{-1, 0, 0.010}}}
	var gain [inventedStrips]float64
	read := func(strip int, curvature float64) float64 {
		return math.Round(1e4*(0.5+gain[strip]*math.Tanh(curvature/25)+inventedNoise*random.NormFloat64())) / 1e4
	}
	for i := range inventedStrips {
		gain[i] = 1 + 0.3*random.Float64()
		from := 10 + 20*float64(i) // mm
		v.Places = append(v.Places, Place{i, from / 1e3, (from + 18) / 1e3})
		var c Calibration
		for range 3 {
			for set := -5.0; set <= inventedMost; set += 2.5 {
				c.Curvatures, c.Signals = append(c.Curvatures, set), append(c.Signals, read(i, set))
			}
		}
		v.Calibrations = append(v.Calibrations, c)
	}
	for n := range inventedFrames {
		t := float64(n) / inventedRate
		var truth, signals []float64
		for i := range inventedStrips {
			// It closes from the base on, meets something with its middle, and opens again.
			closing := math.Max(0, math.Min(1, math.Min((t-1-0.25*float64(i))/4, (11.5-t)/2)))
			curvature := 18 * closing * (1 - 0.1*float64(i))
			if i == 2 {
				curvature *= 1 - 0.6*math.Max(0, math.Min(1, math.Min(t-5, 9.5-t)))
			}
			truth, signals = append(truth, curvature), append(signals, read(i, curvature))
		}
		v.Curvatures = append(v.Curvatures, truth)
		v.Record.Times, v.Record.Readings = append(v.Record.Times, t), append(v.Record.Readings, signals)
	}
	return v
}

// WriteCalibrations writes them as [ReadCalibrations] reads them.
func WriteCalibrations(out io.Writer, list []Calibration) error {
	var b strings.Builder
	b.WriteString("strip,curvature_per_m,signal\n")
	for i, c := range list {
		for k, v := range c.Signals {
			b.WriteString(strconv.Itoa(i+1) + "," + readings.Number(c.Curvatures[k]) + "," + readings.Number(v) + "\n")
		}
	}
	_, err := io.WriteString(out, b.String())
	return err
}

// WritePlaces writes them as [ReadPlaces] reads them.
func WritePlaces(out io.Writer, list []Place) error {
	var b strings.Builder
	b.WriteString("strip,from_mm,to_mm\n")
	for _, p := range list {
		b.WriteString(strconv.Itoa(p.Strip+1) + "," + readings.Number(round(1e3*p.From)) + "," + readings.Number(round(1e3*p.To)) + "\n")
	}
	_, err := io.WriteString(out, b.String())
	return err
}
