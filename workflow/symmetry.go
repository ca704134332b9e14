package workflow

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"holdfast/domain"
	"holdfast/orient"
)

// things are the hands, items and settings that a study names, by ID.
type things struct {
	hands    map[domain.ID]domain.Hand
	items    map[domain.ID]domain.Item
	settings map[domain.ID]domain.Setting
}

// thingsOf reads what the lists name; KindNotFound if something is missing.
func (l *Lab) thingsOf(ctx context.Context, hands, items, settings []domain.ID) (things, error) {
	t := things{map[domain.ID]domain.Hand{}, map[domain.ID]domain.Item{}, map[domain.ID]domain.Setting{}}
	for _, id := range hands {
		h, err := l.Store.Hand(ctx, id)
		if err != nil {
			return t, err
		}
		t.hands[id] = h
	}
	for _, id := range items {
		it, err := l.Store.Item(ctx, id)
		if err != nil {
			return t, err
		}
		t.items[id] = it
	}
	for _, id := range settings {
		s, err := l.Store.Setting(ctx, id)
		if err != nil {
			return t, err
		}
		t.settings[id] = s
	}
	return t, nil
}

// Things returns the hands, items and settings that a study names, by ID.
func (l *Lab) Things(ctx context.Context, s domain.Study) (map[domain.ID]domain.Hand, map[domain.ID]domain.Item, map[domain.ID]domain.Setting, error) {
	t, err := l.thingsOf(ctx, s.Hands, s.Items, s.Settings)
	return t.hands, t.items, t.settings, err
}

func surroundings(t domain.Turning) orient.Surroundings {
	return orient.Surroundings{Axial: t.Axial, Fold: t.Fold, Mirror: t.Mirror}
}

// symmetryOf is the symmetry of one hand with one item in one setting.
func symmetryOf(h domain.Hand, it domain.Item, s domain.Setting) (orient.Symmetry, error) {
	sym, err := orient.Combine(h.RollFold, h.Mirror, surroundings(it.Turning), surroundings(s.Turning))
	if err != nil {
		return sym, domain.Errorf(domain.KindInvalid, "%s with %s in %s: %v", h.ID, it.ID, s.ID, err)
	}
	return sym, nil
}

// shared is the symmetry that all combinations of the things have, which is what one list of orientations for all of
// them may use. differ says that some combination has more.
func (t things) shared() (sym orient.Symmetry, differ bool, err error) {
	first := true
	seen := map[orient.Symmetry]bool{}
	for _, h := range t.hands {
		for _, it := range t.items {
			for _, s := range t.settings {
				one, err := symmetryOf(h, it, s)
				if err != nil {
					return sym, false, err
				}
				seen[one] = true
				if first {
					sym, first = one, false
					continue
				}
				sym = commonSymmetry(sym, one)
			}
		}
	}
	return sym, len(seen) > 1, nil
}

// commonSymmetry holds what leaves both a and b unchanged.
func commonSymmetry(a, b orient.Symmetry) orient.Symmetry {
	return orient.Symmetry{
		HandFold: commonFold(a.HandFold, b.HandFold), HandMirror: a.HandMirror && b.HandMirror,
		Surroundings: a.Surroundings.And(b.Surroundings),
	}
}

func commonFold(a, b int) int {
	a, b = max(a, 1), max(b, 1)
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// symmetryWords says in one sentence which orientations count as one.
func symmetryWords(s orient.Symmetry) string {
	hand := "The hand has no roll symmetry"
	if n := s.Hand(); n > 1 {
		hand = fmt.Sprintf("The hand looks the same after 1/%d of a turn", n)
	}
	var around string
	switch {
	case s.Axial():
		around = "item and setting look the same from every side"
	case s.Around() > 1:
		around = fmt.Sprintf("item and setting look the same after 1/%d of a turn", s.Around())
	default:
		around = "item and setting look different from every side"
	}
	mirror := ""
	if s.Mirror() {
		mirror = ", and mirrored orientations count as one"
	}
	return hand + "; " + around + mirror + "."
}

// tiltMax is the largest tilt (rad) that a plan tries.
func tiltMax(p domain.OrientationPlan) float64 {
	if p.Kind == "even" {
		return p.TiltMax
	}
	most := 0.0
	for _, t := range p.Tilts {
		most = math.Max(most, t)
	}
	return most
}

// orientationSeed makes coverings the same for all studies with the same plan and symmetry, so that their cells match.
const orientationSeed = 1

// orientations lists what a plan tries under a symmetry. Given orientations of an even plan are only measured, which is
// far quicker than laying them out.
func orientations(p domain.OrientationPlan, sym orient.Symmetry, given []orient.Rotation) (OrientationPreview, error) {
	out := OrientationPreview{Symmetry: symmetryWords(sym)}
	if err := checkPlan(p); err != nil {
		return out, err
	}
	var c orient.Covering
	var err error
	switch {
	case p.Kind == "even" && len(given) > 0:
		c, err = orient.Measure(given, p.TiltMax, sym, orientationSeed)
	case p.Kind == "even":
		c, err = orient.Cover(p.Count, p.TiltMax, sym, orientationSeed)
	case p.Kind == "rings":
		spec := orient.RingSpec{Tilts: p.Tilts, Azimuths: p.Azimuths, Rolls: p.Rolls}
		var points []orient.Rotation
		if points, out.Folded, err = orient.Rings(spec, sym); err == nil {
			c, err = orient.Measure(points, tiltMax(p), sym, orientationSeed)
		}
	default:
		err = fmt.Errorf("the kind of plan must be rings or even")
	}
	if err != nil {
		return out, &domain.Error{Kind: domain.KindInvalid, Message: "these orientations can not be laid out",
			Fields: []domain.FieldError{{Field: "orientations", Reason: err.Error()}}}
	}
	out.Points, out.Covering, out.Separation = c.Points, c.CoveringRadius, c.Separation
	return out, nil
}

// checkPlan applies the rules of a study to its orientations alone.
func checkPlan(p domain.OrientationPlan) error {
	study := domain.Study{Orientations: p}
	var e *domain.Error
	errors.As(study.Validate(), &e)
	only := &domain.Error{Kind: domain.KindInvalid, Message: "these orientations can not be laid out; mend the fields named"}
	for _, f := range e.Fields {
		if strings.HasPrefix(f.Field, "orientations") {
			only.Fields = append(only.Fields, f)
		}
	}
	if len(only.Fields) > 0 {
		return only
	}
	if p.Kind == "rings" {
		places := 0
		for i := range p.Tilts {
			places += p.Azimuths[min(i, len(p.Azimuths)-1)] * len(p.Rolls)
		}
		if places > mostPlaces {
			only.Fields = []domain.FieldError{{Field: "orientations", Value: fmt.Sprint(places), Reason: fmt.Sprintf("rings, azimuths and rolls make more than %d orientations; take fewer", mostPlaces)}}
			return only
		}
	}
	return nil
}

// mostPlaces bounds what a rings plan may ask for, as the rules of a study bound an even one.
const mostPlaces = 5000
