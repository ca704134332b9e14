package workflow

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/statistics/successmap"
)

// mapCache keeps the maps that were asked for last.
type mapCache struct {
	inputs   *shared[inputKey, *mapInput]
	fits     *shared[fitKey, *fitted]
	drawn    *shared[drawKey, *drawn]
	options  *shared[optionKey, Option]
	compared *shared[mapsKey, MapsComparison]
	ways     *shared[wayKey, tried]
	factors  *shared[factorsKey, FactorEffects]
}

func newMapCache() *mapCache {
	return &mapCache{inputs: newShared[inputKey, *mapInput](64), fits: newShared[fitKey, *fitted](12), drawn: newShared[drawKey, *drawn](12), options: newShared[optionKey, Option](256), compared: newShared[mapsKey, MapsComparison](6),
		ways: newShared[wayKey, tried](256), factors: newShared[factorsKey, FactorEffects](6)}
}

// fitKey is the digest of all that a fit depends on. New trials of other conditions do not change it.
type fitKey [sha256.Size]byte

// mapInput is what a map is fitted to. It is never changed.
type mapInput struct {
	study     domain.Study
	condition ConditionRow
	symmetry  orient.Symmetry
	trials    []domain.CountedTrial // that count, without reference trials and those of proof runs
	planned   []orient.Rotation     // the plan's orientations; empty without a plan
	left      leftOut
	mark      int64
	tiltMax   float64 // rad
	key       fitKey
	leans     *leaning // what stands behind the map; nil: nothing but the trials
}

// leftOut counts the trials of a condition that are not in its map.
type leftOut struct{ references, proofs, void int }

// fitted is a map with what it was fitted to. It is never changed.
type fitted struct {
	*mapInput
	m          *successmap.Map
	summary    successmap.Summary
	scores     Scores
	dispersion Dispersion
	cells      []Cell // without blurred values
	cellNote   string // how trials were counted at cells, when that needs saying
	seconds    float64
}

// Conditions lists the conditions that a study's trials were made under, in the study's order.
func (l *Lab) Conditions(ctx context.Context, study domain.ID) ([]ConditionRow, error) {
	k, err := l.kept(ctx, study)
	if err != nil {
		return nil, err
	}
	r, err := l.counts(ctx, study)
	if err != nil {
		return nil, err
	}
	rows := []ConditionRow{}
	for _, h := range k.study.Hands {
		for _, it := range k.study.Items {
			for _, s := range k.study.Settings {
				for _, g := range k.study.Strategies {
					c := domain.Condition{Hand: h, Item: it, Setting: s, Strategy: g.Kind}
					if n, ok := r.conditions[c]; ok {
						rows = append(rows, ConditionRow{c, n.trials, n.held})
					}
				}
			}
		}
	}
	return rows, nil
}

// pick completes a condition with what the study has only one of, and checks the rest.
func pick(s domain.Study, c domain.Condition) (domain.Condition, error) {
	f := filling{study: &s}
	t := domain.Trial{Hand: only(s.Hands), Item: only(s.Items), Setting: only(s.Settings), Strategy: only(kinds(s))}
	f.names(&t, NewTrial{Hand: c.Hand, Item: c.Item, Setting: c.Setting, Strategy: c.Strategy})
	for i := range f.fields {
		f.fields[i].Field = "query." + f.fields[i].Field
	}
	if len(f.fields) > 0 {
		return c, invalid("say which map: "+f.fields[0].Field[len("query."):]+" "+f.fields[0].Reason, f.fields...)
	}
	return conditionOf(&t), nil
}

// mapInput gathers what the map of a condition is fitted to. KindNotFound when no trial counts.
func (l *Lab) mapInput(ctx context.Context, study domain.ID, c domain.Condition) (*mapInput, error) {
	k, err := l.kept(ctx, study)
	if err != nil {
		return nil, err
	}
	if c, err = pick(k.study, c); err != nil {
		return nil, err
	}
	t, err := l.thingsOf(ctx, []domain.ID{c.Hand}, []domain.ID{c.Item}, []domain.ID{c.Setting})
	if err != nil {
		return nil, err
	}
	sym, err := symmetryOf(t.hands[c.Hand], t.items[c.Item], t.settings[c.Setting])
	if err != nil {
		return nil, err
	}
	mark, err := l.Store.Mark(ctx, study)
	if err != nil {
		return nil, err
	}
	return l.maps.inputs.do(ctx, inputKey{study, c, sym, k.study.Revision, mark}, func(ctx context.Context) (*mapInput, error) {
		return l.gather(ctx, k, c, sym)
	})
}

// inputKey says what the input of a map is gathered from.
type inputKey struct {
	study     domain.ID
	condition domain.Condition
	symmetry  orient.Symmetry
	revision  int
	mark      int64
}

func (l *Lab) gather(ctx context.Context, k *keptStudy, c domain.Condition, sym orient.Symmetry) (*mapInput, error) {
	r, err := l.record(ctx, k.study.ID)
	if err != nil {
		return nil, err
	}
	in := &mapInput{study: k.study, condition: ConditionRow{Condition: c}, symmetry: sym, mark: r.mark, tiltMax: tiltMax(k.study.Orientations)}
	for i := range r.trials {
		switch t := &r.trials[i]; {
		case conditionOf(&t.Trial) != c:
		case !t.Counted.Counts():
			in.left.void++
		case t.Reference:
			in.left.references++
		case t.Proof != "":
			in.left.proofs++
		default:
			in.trials = append(in.trials, *t)
			in.tiltMax = math.Max(in.tiltMax, t.Planned.Approach().Tilt)
			if t.Held() {
				in.condition.Held++
			}
		}
	}
	in.condition.Trials = len(in.trials)
	if len(in.trials) == 0 {
		return nil, domain.Errorf(domain.KindNotFound, "there are no trials of %s with %s in %s by %s yet, so there is nothing to map; run some first", c.Hand, c.Item, c.Setting, c.Strategy)
	}
	// A disc of a few degrees would show nothing but its middle.
	in.tiltMax = math.Min(math.Max(in.tiltMax, 5*math.Pi/180), math.Pi)
	in.planned = planned(k.runs)
	in.key = in.digest()
	return in, nil
}

// planned lists a plan's orientations by cell.
func planned(runs []domain.PlannedRun) []orient.Rotation {
	var list []orient.Rotation
	for _, r := range runs {
		if r.Cell < 0 {
			continue
		}
		for len(list) <= r.Cell {
			list = append(list, orient.Identity)
		}
		list[r.Cell] = r.Planned
	}
	return list
}

func (in *mapInput) digest() (key fitKey) {
	h := sha256.New()
	fmt.Fprintf(h, "%+v %v %g %d\n", in.symmetry, in.condition.Condition, in.tiltMax, len(in.planned))
	var b []byte
	put := func(q orient.Rotation) {
		for _, v := range [4]float64{q.W, q.X, q.Y, q.Z} {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
		}
	}
	for i := range in.trials {
		t := &in.trials[i]
		b = b[:0]
		put(t.Rotation())
		put(t.Planned)
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(t.Closing))
		b = binary.LittleEndian.AppendUint64(b, uint64(t.ID))
		b = append(b, t.Counted...)
		h.Write(b)
	}
	copy(key[:], h.Sum(nil))
	return key
}

func (in *mapInput) observations() []successmap.Observation {
	obs := make([]successmap.Observation, len(in.trials))
	for i := range in.trials {
		obs[i] = successmap.Observation{R: in.trials[i].Rotation(), Trials: 1}
		if in.trials[i].Held() {
			obs[i].Held = 1
		}
	}
	return obs
}

// fit returns the map of a condition, fitted now or before.
func (l *Lab) fit(ctx context.Context, study domain.ID, c domain.Condition) (*fitted, error) {
	in, err := l.mapInput(ctx, study, c)
	if err != nil {
		return nil, err
	}
	return l.fitOf(ctx, in)
}

func (l *Lab) fitOf(ctx context.Context, in *mapInput) (*fitted, error) {
	f, err := l.maps.fits.do(ctx, in.key, func(ctx context.Context) (*fitted, error) { return l.fitNow(ctx, in) })
	if err != nil {
		return nil, err
	}
	// An older fit to the same trials is as good; the study around them may have been edited since.
	now := *f
	now.mapInput = in
	return &now, nil
}

// The cross-validation deals groups to folds by validationSeed. With fewer groups than folds each group is left out by
// itself; with fewer than leastGroups too much of the map would be missing from every fold.
const (
	validationSeed  = 1
	validationFolds = 10
	leastGroups     = 5
)

func (l *Lab) fitNow(ctx context.Context, in *mapInput) (*fitted, error) {
	start := time.Now() // told to the reader only; nothing depends on it
	obs := in.observations()
	options := successmap.Options{Symmetry: in.symmetry, Workers: l.Workers, Progress: func(p successmap.Progress) {
		l.changed("map", in.study.ID, p.Stage)
	}}
	if in.leans != nil {
		options.Prior = in.leans.prior
	}
	m, err := successmap.Fit(ctx, obs, options)
	if err != nil {
		return nil, fitError(ctx, err)
	}
	f := &fitted{mapInput: in, m: m, summary: m.Summary()}
	f.cells, f.cellNote = in.cells(obs)
	f.estimateCells()
	if f.scores, err = f.score(ctx, obs); err != nil {
		return nil, fitError(ctx, err)
	}
	f.dispersion = in.dispersion()
	f.seconds = time.Since(start).Seconds()
	return f, nil
}

// fitError passes on that the callers left, and wraps anything else.
func fitError(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return domain.Internal("fitting the map", err)
}

// notes says what the map leaves out or takes together.
func (in *mapInput) notes() []string {
	var list []string
	if in.left.references > 0 {
		list = append(list, fmt.Sprintf("%d reference trials watch for drift and are not in the map.", in.left.references))
	}
	if in.left.proofs > 0 {
		list = append(list, fmt.Sprintf("%d trials of proof runs are not in the map: a proof must be news to what it is to prove.", in.left.proofs))
	}
	if in.left.void > 0 {
		list = append(list, fmt.Sprintf("%d void trials do not count.", in.left.void))
	}
	if n := len(in.closings()); n > 1 {
		list = append(list, fmt.Sprintf("Trials with %d closing commands are taken together.", n))
	}
	return list
}

// closings lists the closing commands that were tried, ascending.
func (in *mapInput) closings() []float64 {
	seen := map[float64]bool{}
	var list []float64
	for i := range in.trials {
		if c := in.trials[i].Closing; !seen[c] {
			seen[c] = true
			list = append(list, c)
		}
	}
	slices.Sort(list)
	return list
}

// orientationGroups names for every trial the group of its planned orientation, and says how many groups there are.
// Orientations that the symmetry makes equal are one group.
func (in *mapInput) orientationGroups() (names []string, count int) {
	planned := make([]orient.Rotation, len(in.trials))
	for i := range in.trials {
		planned[i] = in.trials[i].Planned
	}
	distinct, stands := in.symmetry.Distinct(planned)
	names = make([]string, len(stands))
	for i, s := range stands {
		names[i] = strconv.Itoa(s)
	}
	return names, len(distinct)
}

// score cross-validates the map with all trials of one planned orientation together.
func (f *fitted) score(ctx context.Context, obs []successmap.Observation) (Scores, error) {
	held := f.condition.Held
	if len(obs) < 30 || held < 3 || len(obs)-held < 3 {
		return Scores{}, nil
	}
	groups, count := f.orientationGroups()
	if count < leastGroups {
		return Scores{}, nil
	}
	v, err := f.m.CrossValidate(ctx, obs, groups, validationFolds, validationSeed)
	if err != nil {
		return Scores{}, err
	}
	s := Scores{Warning: v.Warning(), Folds: v.Folds, LogLoss: v.Map.LogLoss, BaseLogLoss: v.Base.LogLoss, Brier: v.Map.Brier, BaseBrier: v.Base.Brier}
	for _, b := range v.Calibration {
		if b.Trials > 0 {
			s.Calibration = append(s.Calibration, CalibrationBin{From: b.From, To: b.To, Trials: int(math.Round(b.Trials)), Forecast: b.Forecast, Held: b.Held})
		}
	}
	return s, nil
}

// blur is the root-mean-square error (rad) that a query's map is seen through.
func (q MapQuery) blur(s domain.Study) float64 {
	if q.Blur != nil {
		return *q.Blur
	}
	return s.Line.Angle
}

// Map fits the map of a condition, or returns the one already fitted to the same trials.
func (l *Lab) Map(ctx context.Context, q MapQuery) (MapInfo, error) {
	d, err := l.draw(ctx, q)
	if err != nil {
		return MapInfo{}, err
	}
	return d.info, nil
}

// Raster draws the map of a condition.
func (l *Lab) Raster(ctx context.Context, q MapQuery) (Raster, error) {
	d, err := l.draw(ctx, q)
	if err != nil {
		return Raster{}, err
	}
	return Raster{Info: d.info.Raster, Data: d.raster, Mark: d.mark}, nil
}

// MapTrials returns the counted trials that a map is fitted to.
func (l *Lab) MapTrials(ctx context.Context, q MapQuery) ([]domain.CountedTrial, error) {
	in, err := l.mapInput(ctx, q.Study, q.Condition)
	if err != nil {
		return nil, err
	}
	return in.trials, nil
}

// nearTrials is how many trials a point of the map names.
const nearTrials = 12

// MapAt returns the map's answer at one orientation with the nearest trials.
func (l *Lab) MapAt(ctx context.Context, q MapQuery, r orient.Rotation) (MapPoint, error) {
	d, err := l.draw(ctx, q)
	if err != nil {
		return MapPoint{}, err
	}
	p := MapPoint{Rotation: r}
	var e [1]successmap.Estimate
	d.fit.m.Predict(e[:], []orient.Rotation{r})
	p.P, p.Low, p.High = e[0].P, e[0].Low, e[0].High
	var blurred [1]float64
	d.blurInto(blurred[:], []orient.Rotation{r})
	p.Blurred = blurred[0]
	for i := range d.fit.trials {
		t := &d.fit.trials[i]
		n := NearTrial{Trial: t.ID, Angle: d.fit.symmetry.Distance(r, t.Rotation()), Counted: t.Counted, Replay: t.Replay() != nil}
		if len(p.Near) == nearTrials && n.Angle >= p.Near[nearTrials-1].Angle {
			continue
		}
		at, _ := slices.BinarySearchFunc(p.Near, n, func(a, b NearTrial) int {
			if a.Angle <= b.Angle {
				return -1
			}
			return 1
		})
		p.Near = slices.Insert(p.Near, at, n)
		p.Near = p.Near[:min(len(p.Near), nearTrials)]
	}
	return p, nil
}

// joined puts sentences together without repeats.
func joined(lists ...[]string) []string {
	out := []string{}
	for _, list := range lists {
		for _, s := range list {
			if s = strings.TrimSpace(s); s != "" && !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}
