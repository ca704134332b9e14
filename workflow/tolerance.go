package workflow

import (
	"context"
	"crypto/sha256"
	"fmt"
	"math"
	"strconv"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/statistics/tolerance"
)

// ToleranceQuery asks how large errors one condition stands.
type ToleranceQuery struct {
	Study     domain.ID
	Condition domain.Condition
	At        *orient.Rotation // nil: the middle of the condition's best region
	Target    float64          // 0: the study's, or 0.9 when it states none
	Position  *float64         // m along each axis; nil: the line's
	Angle     *float64         // rad; nil: the line's
}

// Tolerance is the success left under errors of placement and orientation.
type Tolerance struct {
	Condition    ConditionRow
	Nominal      orient.Rotation
	Closing      float64
	Target       float64
	Line         domain.LineError
	Sentence     string
	Tolerated    bool // the line's errors are surely tolerated
	Stated       ToleranceValue
	Multiple     ToleranceLimit // of the line's errors
	PositionOnly ToleranceLimit // m, at the line's orientation error
	AngleOnly    ToleranceLimit // rad, at the line's placement error
	Frontier     []ToleranceCorner
	Grid         []ToleranceValue // row by row, one row an orientation error
	Positions    int              // values a row
	Angles       int              // rows
	Warnings     []string
	Mark         int64
	Invented     bool
}

// ToleranceValue is the success under one pair of errors.
type ToleranceValue struct {
	Position, Angle float64 // m along each axis, rad; root mean squares
	P, Low, High    float64
	Reaches         float64 // probability that the target is reached, poses never tried counted as failures
	Untried         float64 // share of the errors that lead to poses never tried
}

// ToleranceLimit is a largest error and why it ends there: target, trials, range or none.
type ToleranceLimit struct {
	Largest float64
	Ends    string
}

// ToleranceCorner is one corner of the frontier.
type ToleranceCorner struct {
	Position, Angle float64 // m, rad
	Ends            string
}

// How finely the picture is drawn.
const (
	toleranceCells  = 31
	frontierCorners = 25
	toleranceSeed   = 1
	usualTarget     = 0.9
)

// toleranceKey is what an answer depends on.
type toleranceKey struct {
	fit    fitKey
	at     orient.Rotation
	target float64
	line   domain.LineError
}

// toleranceCache keeps the models and the answers asked for last.
type toleranceCache struct {
	fits    *shared[fitKey, *tolerance.Fitted]
	answers *shared[toleranceKey, Tolerance]
}

func newToleranceCache() *toleranceCache {
	return &toleranceCache{fits: newShared[fitKey, *tolerance.Fitted](6), answers: newShared[toleranceKey, Tolerance](32)}
}

// Tolerance measures how large errors a condition stands.
func (l *Lab) Tolerance(ctx context.Context, q ToleranceQuery) (Tolerance, error) {
	in, err := l.mapInput(ctx, q.Study, q.Condition)
	if err != nil {
		return Tolerance{}, err
	}
	k := toleranceKey{fit: in.toleranceDigest(), target: q.Target, line: in.study.Line}
	if k.target == 0 {
		k.target = in.study.Target
	}
	if !(k.target > 0 && k.target < 1) {
		k.target = usualTarget
	}
	if q.Position != nil {
		k.line.Position = *q.Position
	}
	if q.Angle != nil {
		k.line.Angle = *q.Angle
	}
	if k.line.Angle > tolerance.MostAngle {
		return Tolerance{}, domain.Errorf(domain.KindInvalid, "an orientation error of %.3g° is too large to ask for: choose one up to 60°", k.line.Angle*180/math.Pi)
	}
	if q.At != nil {
		k.at = *q.At
	} else {
		o, err := l.option(ctx, q.Study, in.condition.Condition, 0)
		if err != nil {
			return Tolerance{}, err
		}
		k.at = o.Nominal
	}
	t, err := l.tolerances.answers.do(ctx, k, func(ctx context.Context) (Tolerance, error) { return l.toleranceNow(ctx, in, k) })
	t.Mark, t.Invented = in.mark, in.study.Invented
	return t, err
}

func (l *Lab) toleranceNow(ctx context.Context, in *mapInput, k toleranceKey) (Tolerance, error) {
	trials := make([]tolerance.Trial, len(in.trials))
	poses := make([]tolerance.Pose, len(in.trials))
	for i := range in.trials {
		t := &in.trials[i]
		poses[i] = tolerance.Pose{R: t.Rotation(), X: t.Offset[0], Y: t.Offset[1]}
		trials[i] = tolerance.Trial{Pose: poses[i], Held: t.Held(), Closing: t.Closing, Levels: map[string]string{"block": strconv.Itoa(t.Block), "operator": t.Operator}}
	}
	fitted, err := l.tolerances.fits.do(ctx, k.fit, func(ctx context.Context) (*tolerance.Fitted, error) {
		return tolerance.Fit(ctx, trials, in.symmetry, l.Workers)
	})
	if err != nil {
		return Tolerance{}, fitError(ctx, err)
	}
	out := Tolerance{Condition: in.condition, Nominal: k.at, Target: k.target, Line: k.line, Positions: toleranceCells, Angles: toleranceCells}
	out.Closing = in.usualClosing()
	s, err := tolerance.Measure(ctx, fitted.At(tolerance.Condition{Closing: out.Closing}), tolerance.Question{
		Nominal: []orient.Rotation{k.at}, Stated: tolerance.Isotropic(k.line.Position, k.line.Angle), Target: k.target,
		Tried: tolerance.NewTried(poses, in.symmetry), Seed: toleranceSeed, Workers: l.Workers,
	})
	if err != nil {
		return Tolerance{}, fitError(ctx, err)
	}
	a := s.Answer()
	limit := func(l tolerance.Limit) ToleranceLimit { return ToleranceLimit{l.Largest, string(l.Reason)} }
	out.Sentence, out.Tolerated, out.Stated = a.Sentence, a.Tolerated, toleranceValue(a.Stated)
	out.Multiple, out.PositionOnly, out.AngleOnly = limit(a.Scale), limit(a.PositionOnly), limit(a.AngleOnly)
	for _, p := range s.Frontier(frontierCorners) {
		out.Frontier = append(out.Frontier, ToleranceCorner{p.Position, p.Angle, string(p.Reason)})
	}
	for _, v := range s.Grid(toleranceCells, toleranceCells) {
		out.Grid = append(out.Grid, toleranceValue(v))
	}
	out.Warnings = joined(a.Notes, fitted.Model.Summary().Warnings)
	if !fitted.HasOffset {
		out.Warnings = joined(out.Warnings, []string{"All trials have the same placement offset, so nothing is known of larger placement errors: spread the items, record where they lay, and ask again."})
	}
	return out, nil
}

func toleranceValue(v tolerance.Value) ToleranceValue {
	return ToleranceValue{Position: v.Position, Angle: v.Angle, P: v.P, Low: v.Low, High: v.High, Reaches: v.Reaches, Untried: v.Untried}
}

// toleranceDigest is the digest of all that a tolerance's model depends on beyond the map's.
func (in *mapInput) toleranceDigest() (key fitKey) {
	h := sha256.New()
	h.Write(in.key[:])
	for i := range in.trials {
		t := &in.trials[i]
		fmt.Fprintf(h, "%x %x %d %q\n", math.Float64bits(t.Offset[0]), math.Float64bits(t.Offset[1]), t.Block, t.Operator)
	}
	copy(key[:], h.Sum(nil))
	return key
}

// usualClosing is the closing command tried most; the smaller of equals.
func (in *mapInput) usualClosing() float64 {
	count := map[float64]int{}
	for i := range in.trials {
		count[in.trials[i].Closing]++
	}
	best, most := math.NaN(), 0
	for _, c := range in.closings() {
		if count[c] > most {
			best, most = c, count[c]
		}
	}
	return best
}
