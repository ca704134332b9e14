package tolerance

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"holdfast/orient"
	"holdfast/statistics/successmap"
)

// Pose is where the hand is sent, or where it ends up.
type Pose struct {
	R    orient.Rotation
	X, Y float64 // placement offset, m
}

// Model draws log-odds of success from a posterior. Orientation and offset must add up in them, without a joint term,
// as in an additive model: log-odds(R, x, y) = g(R) + h(x, y).
type Model interface {
	// LogOdds returns n draws: draws[d][i] belongs to draw d and pose i. All poses share a draw, and the same n and seed
	// give the same draws for any poses.
	LogOdds(ctx context.Context, n int, seed uint64, poses []Pose) ([][]float64, error)
}

// Errors are what the line adds to every pick.
type Errors struct {
	Position [2][2]float64 // covariance of the placement offset, m²; symmetric, not negative
	Angle    float64       // root-mean-square angle of the orientation error, rad
}

// Isotropic returns errors whose position has the standard deviation sd (m) along each axis.
func Isotropic(sd, angle float64) Errors {
	return Errors{Position: [2][2]float64{{sd * sd, 0}, {0, sd * sd}}, Angle: angle}
}

// Spread returns the root mean square over both axes of the position error, m: the size that position errors are
// quoted by here.
func (e Errors) Spread() float64 { return math.Sqrt((e.Position[0][0] + e.Position[1][1]) / 2) }

// Question says what is to be measured.
type Question struct {
	Nominal     []orient.Rotation // where the hand is sent: one orientation, or several of a region that count alike
	X, Y        float64           // the offset it is sent to, m
	Stated      Errors            // the line's; its position covariance also gives the shape of larger and smaller ones
	Target      float64           // success asked for, 0 … 1
	Sure        float64           // posterior probability that the target is reached; 0: 0.95
	Tried       *Tried            // what the trials vouch for
	MaxPosition float64           // m, largest position error looked at; 0: as far as the tried offsets reach
	MaxAngle    float64           // rad, largest orientation error looked at; 0: 40°, or twice the stated one
	Draws       int               // posterior draws; 0: 400
	Seed        uint64
	Workers     int // 0: one a processor; the answer does not depend on it
}

// mostNominal bounds the orientations of a region, which all cost alike.
const mostNominal = 12

// MostAngle is the largest orientation error that is looked at, rad: beyond it the hand might as well be sent anywhere.
const MostAngle = 60 * math.Pi / 180

func (q *Question) fill() error {
	if len(q.Nominal) == 0 || len(q.Nominal) > mostNominal {
		return fmt.Errorf("%d nominal orientations; name 1 to %d", len(q.Nominal), mostNominal)
	}
	if q.Tried == nil {
		return errors.New("nothing says what was tried")
	}
	if !(q.Target > 0 && q.Target < 1) {
		return fmt.Errorf("a target of %g is not a success probability between 0 and 1", q.Target)
	}
	if q.Sure == 0 {
		q.Sure = 0.95
	}
	if !(q.Sure > 0 && q.Sure < 1) {
		return fmt.Errorf("a confidence of %g is not between 0 and 1", q.Sure)
	}
	if q.Draws == 0 {
		q.Draws = 400
	}
	if q.Draws < 20 || q.Draws > 20000 {
		return fmt.Errorf("%d draws; 20 to 20,000 can be used", q.Draws)
	}
	c := q.Stated.Position
	if !(c[0][0] >= 0 && c[1][1] >= 0) || math.Abs(c[0][1]-c[1][0]) > 1e-12*(c[0][0]+c[1][1]) || c[0][1]*c[0][1] > c[0][0]*c[1][1]*(1+1e-9) {
		return errors.New("the position error is not a covariance: its variances must not be negative and its correlation must lie between −1 and 1")
	}
	if !(q.Stated.Angle >= 0 && q.Stated.Angle <= MostAngle) {
		return fmt.Errorf("an orientation error of %.4g rad cannot be used; it must lie between 0 and %.4g rad (60°)", q.Stated.Angle, MostAngle)
	}
	if q.MaxPosition == 0 {
		q.MaxPosition = math.Max(q.Tried.OffsetReach(q.X, q.Y), 2*q.Stated.Spread())
	}
	if q.MaxPosition == 0 {
		q.MaxPosition = 1e-3 // no offset was tried and none is stated: any size shows that
	}
	if q.MaxAngle == 0 {
		q.MaxAngle = math.Min(math.Max(40*math.Pi/180, 2*q.Stated.Angle), MostAngle)
	}
	if !(q.MaxPosition > 0) || math.IsInf(q.MaxPosition, 1) || !(q.MaxAngle > 0 && q.MaxAngle <= MostAngle) {
		return fmt.Errorf("errors up to %g m and %g rad cannot be looked at", q.MaxPosition, q.MaxAngle)
	}
	if q.Workers <= 0 {
		q.Workers = runtime.GOMAXPROCS(0)
	}
	return nil
}

// Surface answers what success is left under any pair of errors. It is safe for concurrent use.
type Surface struct {
	q                Question
	radii, radiusGap []float64 // position error sizes (m in the shape's own scale)
	turns, turnGap   []float64 // orientation error sizes, rad
	triedTurn        []float64 // share of the turns of a size whose orientation was tried; first entry: no turn
	triedRadius      []float64

	// kernel[d][(k·(radii+1) + l)·2]: draw d's success at turn k and radius l averaged over directions, then the part of
	// it that lies at tried poses. Entry 0 of either size is no error at all.
	kernel [][]float64
}

// Measure asks the model once and returns the surface.
func Measure(ctx context.Context, model Model, q Question) (*Surface, error) {
	if err := q.fill(); err != nil {
		return nil, err
	}
	s := &Surface{q: q}
	s.radii, s.radiusGap = squeezed(positionRadii, positionReach*q.MaxPosition)
	s.turns, s.turnGap = squeezed(angleSizes, math.Min(math.Pi, angleReach*q.MaxAngle))
	rotations, rotationWeight := s.rotations()
	offsets := s.offsets()
	poses := make([]Pose, 0, len(rotations)+len(offsets))
	for _, r := range rotations {
		poses = append(poses, Pose{r, q.X, q.Y})
	}
	for _, o := range offsets {
		poses = append(poses, Pose{rotations[0], o[0], o[1]})
	}
	draws, err := model.LogOdds(ctx, q.Draws, q.Seed, poses)
	if err != nil {
		return nil, err
	}
	if len(draws) != q.Draws {
		return nil, fmt.Errorf("the model gave %d draws where %d were asked for", len(draws), q.Draws)
	}
	near := make([]bool, len(poses))
	for i, p := range poses {
		if i < len(rotations) {
			near[i] = q.Tried.Orientation(p.R)
		} else {
			near[i] = q.Tried.Offset(p.X, p.Y)
		}
	}
	s.shares(near, rotationWeight)
	s.kernel = make([][]float64, q.Draws)
	var failed atomic.Bool
	s.each(ctx, q.Draws, func(d int) {
		if s.kernel[d] = s.fold(draws[d], near, rotationWeight); s.kernel[d] == nil {
			failed.Store(true)
		}
	})
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if failed.Load() {
		return nil, errors.New("the model's log-odds are not finite numbers")
	}
	return s, nil
}

func (s *Surface) each(ctx context.Context, n int, do func(int)) {
	var next atomic.Int64
	var group sync.WaitGroup
	for range min(n, s.q.Workers) {
		group.Go(func() {
			for i := int(next.Add(1)) - 1; i < n && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	group.Wait()
}

// rotations lists the nominal orientations, then those at every size of turn; weights are the shares within a size.
func (s *Surface) rotations() (list []orient.Rotation, weights []float64) {
	each := 1 / float64(len(s.q.Nominal))
	for _, r := range s.q.Nominal {
		list, weights = append(list, r), append(weights, each)
	}
	directions, share := axes()
	for _, size := range s.turns {
		for _, r := range s.q.Nominal {
			for i, a := range directions {
				list = append(list, orient.AboutAxis(a, size).Mul(r))
				weights = append(weights, each*share[i])
			}
		}
	}
	return list, weights
}

// turnRange returns where the rotations of turn size k (0: none) lie in the list.
func (s *Surface) turnRange(k int) (from, to int) {
	m := len(s.q.Nominal)
	if k == 0 {
		return 0, m
	}
	size := m * axisRings * axisAround
	return m + (k-1)*size, m + k*size
}

// offsets lists the offset aimed at, then positionDirections of every size along the stated covariance's shape.
func (s *Surface) offsets() [][2]float64 {
	l := shapeRoot(s.q.Stated)
	list := [][2]float64{{s.q.X, s.q.Y}}
	for _, r := range s.radii {
		for k := range positionDirections {
			sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / positionDirections)
			list = append(list, [2]float64{s.q.X + r*l[0][0]*cos, s.q.Y + r*(l[1][0]*cos+l[1][1]*sin)})
		}
	}
	return list
}

// shapeRoot is the Cholesky factor of the position covariance scaled to a mean variance of one; a circle when no
// position error is stated.
func shapeRoot(e Errors) (l [2][2]float64) {
	spread := e.Spread()
	if spread == 0 {
		return [2][2]float64{{1, 0}, {0, 1}}
	}
	c := e.Position
	v := spread * spread
	l[0][0] = math.Sqrt(c[0][0] / v)
	if l[0][0] > 0 {
		l[1][0] = c[0][1] / v / l[0][0]
	}
	l[1][1] = math.Sqrt(math.Max(0, c[1][1]/v-l[1][0]*l[1][0]))
	return l
}

// shares sums up how much of every size of error lies at tried poses.
func (s *Surface) shares(near []bool, weights []float64) {
	s.triedTurn = make([]float64, len(s.turns)+1)
	for k := range s.triedTurn {
		from, to := s.turnRange(k)
		for i := from; i < to; i++ {
			if near[i] {
				s.triedTurn[k] += weights[i]
			}
		}
	}
	s.triedRadius = make([]float64, len(s.radii)+1)
	for l := range s.triedRadius {
		from, to := radiusRange(l)
		for i := from; i < to; i++ {
			if near[len(weights)+i] {
				s.triedRadius[l] += 1 / float64(to-from)
			}
		}
	}
}

// radiusRange returns where the offsets of size l (0: none) lie in their list.
func radiusRange(l int) (from, to int) {
	if l == 0 {
		return 0, 1
	}
	return 1 + (l-1)*positionDirections, 1 + l*positionDirections
}

// Success at a turn's size as a function of the offset's log-odds is read from a table with this step by cubic Hermite
// interpolation: the logistic function's fourth derivative is below 0.13, so the error is below 0.13·step⁴/384 < 1.4e-6.
const tableStep = 0.25

// fold averages one draw over the directions of every pair of sizes. It returns nil when a log-odds is not finite.
func (s *Surface) fold(logOdds []float64, near []bool, weights []float64) []float64 {
	rotations := len(weights)
	centre := logOdds[rotations]
	low, high := 0.0, 0.0
	for _, f := range logOdds[rotations:] {
		low, high = math.Min(low, f-centre), math.Max(high, f-centre)
	}
	for _, f := range logOdds {
		if math.IsNaN(f) || math.IsInf(f, 0) {
			return nil
		}
	}
	// Where success is below 1e-7 or above 1 − 1e-7 at every turn, nothing changes any more.
	const flat = 16
	low = math.Max(low, math.Min(0, -flat-slices.Max(logOdds[:rotations])))
	high = math.Min(high, math.Max(0, flat-slices.Min(logOdds[:rotations])))
	n := int(math.Ceil((high-low)/tableStep)) + 2
	shift := make([]float64, n)
	for j := range shift {
		shift[j] = math.Exp(-(low + tableStep*float64(j)))
	}
	value, slope, triedValue, triedSlope := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	width := len(s.radii) + 1
	out := make([]float64, 2*(len(s.turns)+1)*width)
	for k := range len(s.turns) + 1 {
		clear(value)
		clear(slope)
		clear(triedValue)
		clear(triedSlope)
		from, to := s.turnRange(k)
		for i := from; i < to; i++ {
			front, w := math.Exp(-math.Min(math.Max(logOdds[i], -300), 300)), weights[i]
			if near[i] {
				for j, e := range shift {
					p := 1 / (1 + front*e)
					value[j] += w * p
					slope[j] += w * p * (1 - p)
					triedValue[j] += w * p
					triedSlope[j] += w * p * (1 - p)
				}
				continue
			}
			for j, e := range shift {
				p := 1 / (1 + front*e)
				value[j] += w * p
				slope[j] += w * p * (1 - p)
			}
		}
		for l := range width {
			from, to := radiusRange(l)
			each := 1 / float64(to-from)
			all, tried := 0.0, 0.0
			for i := from; i < to; i++ {
				at := (math.Min(math.Max(logOdds[rotations+i]-centre, low), high) - low) / tableStep
				j := min(int(at), n-2)
				u := at - float64(j)
				all += each * hermite(value, slope, j, u)
				if near[rotations+i] {
					tried += each * hermite(triedValue, triedSlope, j, u)
				}
			}
			out[2*(k*width+l)], out[2*(k*width+l)+1] = all, tried
		}
	}
	return out
}

func hermite(value, slope []float64, j int, u float64) float64 {
	v := 1 - u
	return v*v*((1+2*u)*value[j]+u*tableStep*slope[j]) + u*u*((1+2*v)*value[j+1]-v*tableStep*slope[j+1])
}

// Value is the success that is left under one pair of errors.
type Value struct {
	Position, Angle float64 // m (root mean square over both axes), rad (root mean square)
	P               float64 // posterior mean of the success
	Low, High       float64 // 5 % and 95 % quantiles
	Reaches         float64 // probability that success is at least the target, poses never tried counted as failures
	Untried         float64 // share of the errors that lead to poses never tried
	sureAll         float64 // the quantile at 1−Sure
	sure            float64 // the same with poses never tried counted as failures
}

// At returns the success under a position error (m, root mean square over both axes, in the stated shape) and an
// orientation error (rad, root mean square). Errors beyond those asked for count as the largest.
func (s *Surface) At(position, angle float64) Value { return s.under(angle).at(position) }

// slice is the surface under one orientation error: every draw's success by the size of the position error.
type slice struct {
	s     *Surface
	angle float64
	draws [][]float64 // as kernel, contracted over the turns
	tried float64     // share of the turns that lead to tried orientations
}

func (s *Surface) under(angle float64) *slice {
	angle = math.Min(math.Max(angle, 0), s.q.MaxAngle)
	turn := s.turnWeights(angle)
	width := 2 * (len(s.radii) + 1)
	c := &slice{s: s, angle: angle, draws: make([][]float64, len(s.kernel)), tried: weighted(turn, s.triedTurn)}
	all := make([]float64, width*len(s.kernel))
	for d, kernel := range s.kernel {
		sum := all[d*width : (d+1)*width]
		for k, a := range turn {
			if a == 0 {
				continue
			}
			for l, v := range kernel[k*width : (k+1)*width] {
				sum[l] += a * v
			}
		}
		c.draws[d] = sum
	}
	return c
}

func (c *slice) at(position float64) Value {
	s := c.s
	position = math.Min(math.Max(position, 0), s.q.MaxPosition)
	radius := s.radiusWeights(position)
	all, tried := make([]float64, len(c.draws)), make([]float64, len(c.draws))
	v := Value{Position: position, Angle: c.angle}
	reached := 0
	for d, row := range c.draws {
		for l, b := range radius {
			all[d] += b * row[2*l]
			tried[d] += b * row[2*l+1]
		}
		v.P += all[d] / float64(len(all))
		if tried[d] >= s.q.Target {
			reached++
		}
	}
	slices.Sort(all)
	slices.Sort(tried)
	v.Reaches = float64(reached) / float64(len(all))
	v.Low, v.High = quantile(all, 0.05), quantile(all, 0.95)
	v.sureAll, v.sure = quantile(all, 1-s.q.Sure), quantile(tried, 1-s.q.Sure)
	v.Untried = 1 - c.tried*weighted(radius, s.triedRadius)
	if v.Untried < 1e-9 {
		v.Untried = 0
	}
	return v
}

func weighted(w, x []float64) (sum float64) {
	for i := range w {
		sum += w[i] * x[i]
	}
	return sum
}

// The nodes resolve errors down to this share of the largest; smaller ones lie on the straight line in the variance from
// no error at all, to which success tends as the variance goes to zero.
const resolved = 0.04

func (s *Surface) radiusWeights(sd float64) []float64 {
	w := make([]float64, len(s.radii)+1)
	least := resolved * s.q.MaxPosition
	share := 1.0
	if sd < least {
		share = sd * sd / (least * least)
		sd = least
	}
	w[0] = 1 - share
	if share > 0 {
		for i, v := range positionWeights(s.radii, s.radiusGap, sd) {
			w[i+1] = share * v
		}
	}
	return w
}

func (s *Surface) turnWeights(angle float64) []float64 {
	w := make([]float64, len(s.turns)+1)
	least := resolved * s.q.MaxAngle
	share := 1.0
	if angle < least {
		share = angle * angle / (least * least)
		angle = least
	}
	w[0] = 1 - share
	if share > 0 {
		t, err := successmap.HeatTime(angle)
		if err != nil { // cannot be: 0 < angle ≤ MostAngle
			return w
		}
		for i, v := range angleWeights(s.turns, s.turnGap, t) {
			w[i+1] = share * v
		}
	}
	return w
}

// quantile interpolates the sorted sample (type 7 of R. J. Hyndman, Y. Fan, "Sample quantiles in statistical
// packages", Am. Stat. 50 (1996) 361; from memory).
func quantile(sorted []float64, q float64) float64 {
	at := q * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}
