package pads

import (
	"io"
	"math"
	"strconv"
	"strings"

	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/readings"
)

// Invented is an array that does not exist: its calibration, its places and a record of a roll rolled over it, with the truth
// behind them, to try the reading of pads without a glove.
type Invented struct {
	Presses []Press
	Places  []orient.Vec3 // m
	Record  readings.Series
	Forces  [][]float64 // N, the truth by frame and pad
	// Dead, Clips and the two Bridged pads, counted from 0.
	Dead, Clips int
	Bridged     [2]int
}

// The invented array: columns, rows, distance (m) from pad to pad, share of a pad's change that its four neighbours show, and
// the frames of its record.
const (
	inventedColumns, inventedRows = 5, 8
	inventedPitch                 = 0.005
	inventedLeak                  = 0.06
	inventedFrames, inventedRate  = 400, 20 // frames, and of them in a second
)

// Invent makes the array. seed decides gains, offsets and noise.
func Invent(seed uint64) *Invented {
	const n = inventedColumns * inventedRows
	random := numeric.Stream(seed, "invented pads")
	v := &Invented{Dead: 11, Clips: 32, Bridged: [2]int{23, 24}}
	gain, bend, offset := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		v.Places = append(v.Places, orient.Vec3{inventedPitch * float64(i%inventedColumns), inventedPitch * float64(i/inventedColumns), 0})
		gain[i], bend[i], offset[i] = 160+60*random.Float64(), -8*random.Float64(), 90+30*random.Float64()
	}
	read := func(forces []float64) []float64 {
		own := make([]float64, n)
		for i, f := range forces {
			own[i] = gain[i]*f + bend[i]*f*f
		}
		both := own[v.Bridged[0]] + own[v.Bridged[1]]
		own[v.Bridged[0]], own[v.Bridged[1]] = both, both
		own[v.Dead] = 0
		out := make([]float64, n)
		for i := range out {
			x := own[i]
			for k := range n {
				if apart := v.Places[i].Add(v.Places[k].Scale(-1)).Norm(); k != i && apart < 1.2*inventedPitch && !(v.bridged(i) && v.bridged(k)) {
					x += inventedLeak * own[k]
				}
			}
			if i == v.Dead {
				x = 0
			}
			if i == v.Clips {
				x = math.Min(x, 250)
			}
			// Whole counts, as a converter gives them.
			out[i] = math.Round(offset[i] + x + 1.2*random.NormFloat64())
		}
		return out
	}
	for range 200 {
		v.Presses = append(v.Presses, Press{Pad: -1, Readings: read(make([]float64, n))})
	}
	for i := range n {
		for _, f := range []float64{0.25, 0.5, 1, 1.5, 2, 2.5, 3} {
			forces := make([]float64, n)
			forces[i] = f
			v.Presses = append(v.Presses, Press{Pad: i, Force: f, Readings: read(forces)})
		}
	}
	for i := range inventedFrames {
		t := float64(i) / inventedRate
		forces := v.pressure(t)
		v.Forces = append(v.Forces, forces)
		v.Record.Times = append(v.Record.Times, t)
		v.Record.Readings = append(v.Record.Readings, read(forces))
	}
	return v
}

func (v *Invented) bridged(i int) bool { return i == v.Bridged[0] || i == v.Bridged[1] }

// pressure is what presses at a time (s): a roll that comes down, rolls along the array and leaves, and meanwhile a crumb.
func (v *Invented) pressure(t float64) []float64 {
	forces := make([]float64, len(v.Places))
	rise := func(from, to float64) float64 {
		const edge = 1.0
		return math.Max(0, math.Min(1, math.Min((t-from)/edge, (to-t)/edge)))
	}
	push := func(x, y, wide, most float64) {
		for i, p := range v.Places {
			d := math.Hypot(p[0]-x, p[1]-y) / wide
			if f := most * math.Exp(-d*d/2); f > 0.02 {
				forces[i] += f
			}
		}
	}
	push(0.008+0.004*math.Sin(t/2), 0.005+0.025*math.Max(0, math.Min(1, (t-3)/11)), 0.0036, 1.6*rise(2, 17))
	push(0.019, 0.001, 0.0022, 0.9*rise(10, 14))
	return forces
}

// WritePresses writes a calibration as [ReadPresses] reads it.
func WritePresses(out io.Writer, list []Press) error {
	var b strings.Builder
	b.WriteString("pressed_pad,force_N")
	readings.WriteNumberedHeader(&b, prefix, len(list[0].Readings))
	for _, p := range list {
		b.WriteString(strconv.Itoa(p.Pad+1) + "," + readings.Number(p.Force))
		readings.WriteRow(&b, p.Readings)
	}
	_, err := io.WriteString(out, b.String())
	return err
}

// WritePlaces writes places (m) as [ReadPlaces] reads them.
func WritePlaces(out io.Writer, places []orient.Vec3) error {
	var b strings.Builder
	b.WriteString("pad,x_mm,y_mm\n")
	for i, p := range places {
		b.WriteString(strconv.Itoa(i+1) + "," + readings.Number(figure(1e3*p[0])) + "," + readings.Number(figure(1e3*p[1])) + "\n")
	}
	_, err := io.WriteString(out, b.String())
	return err
}
