package additive

import (
	"math"
	"math/rand/v2"
	"strconv"

	"holdfast/orient"
)

// truth is a seeded world in which every kind of term has an effect that is known.
type truth struct {
	constant  float64
	lean      orient.Vec3
	strategy  map[string]float64
	turn      map[string]float64 // how much the strategy likes roll
	hand      map[string]float64
	block     map[string]float64
	amplitude float64
}

func newTruth(seed uint64) *truth {
	rng := rand.New(rand.NewPCG(seed, 77))
	t := &truth{constant: 0.3 + 0.3*rng.NormFloat64(), lean: orient.Vec3{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()},
		strategy: map[string]float64{}, turn: map[string]float64{}, hand: map[string]float64{}, block: map[string]float64{}, amplitude: 1}
	for _, s := range []string{"from above", "scoop", "slide"} {
		t.strategy[s], t.turn[s] = 0.6*rng.NormFloat64(), 0.8*rng.NormFloat64()
	}
	for i := range 4 {
		t.hand["hand "+strconv.Itoa(i+1)] = 0.3 * rng.NormFloat64()
	}
	for i := range 10 {
		t.block[strconv.Itoa(i+1)] = 0.3 * rng.NormFloat64()
	}
	return t
}

func (t *truth) logOdds(d *Data, i int) float64 {
	r := d.Orientations[i]
	down := r.Apply(orient.Vec3{0, 0, -1})
	side := r.Apply(orient.Vec3{1, 0, 0})
	f := t.constant + t.amplitude*(t.lean[0]*down[0]+t.lean[1]*down[1]*down[0]+t.lean[2]*down[2])
	s := d.Levels["strategy"][i]
	f += t.strategy[s] + t.turn[s]*side[0]
	f += t.hand[d.Levels["hand"][i]] + t.block[d.Levels["block"][i]]
	c := d.Numbers["closing"][i]
	f += 1.5*math.Sin(3*c) - 1
	x, y := d.Numbers["offset_x"][i]/0.01, d.Numbers["offset_y"][i]/0.01
	return f - 0.8*(x-0.3)*(x-0.3) - 0.4*(y+0.2)*(y+0.2)
}

// rows draws n rows with everything varied.
func (t *truth) rows(n int, seed uint64) *Data {
	rng := rand.New(rand.NewPCG(seed, 78))
	d := &Data{Numbers: map[string][]float64{}, Levels: map[string][]string{}}
	names := []string{"from above", "scoop", "slide"}
	for range n {
		d.Orientations = append(d.Orientations, orient.Random(rng))
		d.Numbers["closing"] = append(d.Numbers["closing"], rng.Float64())
		d.Numbers["offset_x"] = append(d.Numbers["offset_x"], 0.01*(2*rng.Float64()-1))
		d.Numbers["offset_y"] = append(d.Numbers["offset_y"], 0.01*(2*rng.Float64()-1))
		d.Levels["strategy"] = append(d.Levels["strategy"], names[rng.IntN(3)])
		d.Levels["hand"] = append(d.Levels["hand"], "hand "+strconv.Itoa(1+rng.IntN(4)))
		d.Levels["block"] = append(d.Levels["block"], strconv.Itoa(1+rng.IntN(10)))
	}
	return d
}

func (t *truth) trials(n int, seed uint64) *Data {
	d := t.rows(n, seed)
	rng := rand.New(rand.NewPCG(seed, 79))
	for i := range n {
		held := 0.0
		if rng.Float64() < expit(t.logOdds(d, i)) {
			held = 1
		}
		d.Held, d.Trials = append(d.Held, held), append(d.Trials, 1)
	}
	return d
}

func everyTerm() []Term {
	var none orient.Symmetry
	return []Term{
		OrientationTerm(none), SmoothTerm("closing"), OffsetTerm("offset", "offset_x", "offset_y"),
		FactorTerm("strategy"), FactorTerm("hand"), FactorTerm("block"), FactorByOrientation("strategy", none),
	}
}
