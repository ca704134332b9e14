package detect

import (
	"math"

	"holdfast/numeric"
)

// InventedSlip is a record of a fingertip accelerometer that does not exist: noise, the slow sway of an arm, knocks, and in some records
// an item that slips.
type InventedSlip struct {
	Times, Values []float64    // s, m/s²
	Slips         [][2]float64 // s, from and to
	Knocks        []float64    // s
}

// Of invented records: readings a second, s, and the quiet start.
const (
	inventedRate    = 2000
	inventedSeconds = 4.0
	inventedQuiet   = 1.0
)

// InventSlip makes record n of a seed; every second one slips. Slipping shakes as stick and slip does: kicks at the surface's grain, whose
// pace rises with the sliding speed, ring at the fingertip's own tone.
func InventSlip(seed uint64, n int) *InventedSlip {
	r := numeric.Stream(seed, "invented slip", n)
	v := &InventedSlip{}
	const count = inventedRate * inventedSeconds
	kicks := make([]float64, count)
	for k := range 1 + r.IntN(3) {
		at := inventedQuiet + 0.15 + (inventedSeconds-inventedQuiet-0.3)*(float64(k)+0.8*r.Float64())/3
		v.Knocks = append(v.Knocks, at)
		kicks[int(at*inventedRate)] += 1.5 + 3*r.Float64()
	}
	if n%2 == 1 {
		from := inventedQuiet + 0.4 + 1.6*r.Float64()
		to := from + 0.25 + 0.5*r.Float64()
		v.Slips = append(v.Slips, [2]float64{from, to})
		strength := 0.15 + 0.35*r.Float64()
		for t := from; t < to; {
			speed := math.Min(1, 0.3+(t-from)/0.15)
			kicks[int(t*inventedRate)] += strength * speed * (0.5 + r.Float64())
			t += (0.5 + r.Float64()) / (60 + 120*speed)
		}
	}
	// The fingertip rings at 170 Hz and is calm after some 10 ms.
	const tone, decay = 2 * math.Pi * 170 / inventedRate, 0.905
	var ring [2]float64
	sway, phase := 0.3+0.4*r.Float64(), 2*math.Pi*r.Float64()
	for i := range int(count) {
		ring[0], ring[1] = 2*decay*math.Cos(tone)*ring[0]-decay*decay*ring[1]+kicks[i], ring[0]
		t := float64(i) / inventedRate
		v.Times = append(v.Times, t)
		v.Values = append(v.Values, math.Round(1e5*(9.81+sway*math.Sin(2*math.Pi*1.3*t+phase)+0.08*r.NormFloat64()+ring[0]))/1e5)
	}
	return v
}
