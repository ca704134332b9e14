package domain

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/orient"
)

func TestIDFromName(t *testing.T) {
	for name, want := range map[string]ID{
		"Soft roll": "soft-roll", "Éclair, 12 cm": "eclair-12-cm", "  --x--  ": "x", "Brötchen": "broetchen", "日本": "",
		strings.Repeat("ab ", 40): ID(strings.TrimRight(strings.Repeat("ab-", 40)[:64], "-")),
	} {
		if got := IDFromName(name); got != want {
			t.Errorf("IDFromName(%q) = %q, want %q", name, got, want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		id := IDFromName(rapid.String().Draw(t, "name"))
		if id != "" && !id.Valid() {
			t.Fatalf("%q is not valid", id)
		}
		if id != "" && IDFromName(string(id)) != id {
			t.Fatalf("%q does not map to itself", id)
		}
	})
}

func TestIDValid(t *testing.T) {
	for id, want := range map[ID]bool{"": false, "a": true, "-a": false, "a-": false, "a--b": false, "A": false, "a-1": true, "a b": false} {
		if id.Valid() != want {
			t.Errorf("ID(%q).Valid() = %v", id, !want)
		}
	}
}

// fieldsOf returns the fields that an error names.
func fieldsOf(err error) []string {
	var e *Error
	if !errors.As(err, &e) {
		return nil
	}
	var list []string
	for _, f := range e.Fields {
		list = append(list, f.Field)
	}
	return list
}

func goodStudy() Study {
	return Study{
		ID: "s", Name: "s", Hands: []ID{"h"}, Items: []ID{"i"}, Settings: []ID{"t"},
		Strategies:    []Strategy{DefaultStrategy(StrategyFree)},
		Orientations:  OrientationPlan{Kind: "even", TiltMax: 1, Count: 10},
		ClosingLevels: []float64{0.5}, Offset: OffsetPlan{Kind: "none"}, Replicates: 1, BlockSize: 5,
		Reference: Reference{Orientation: orient.Identity, Strategy: StrategyFree, Closing: 0.5}, References: 1,
	}
}

func TestStudyValidateNamesFields(t *testing.T) {
	if s := goodStudy(); s.Validate() != nil {
		t.Fatalf("a good study is refused: %v", s.Validate())
	}
	for field, spoil := range map[string]func(*Study){
		"id":                 func(s *Study) { s.ID = "No" },
		"name":               func(s *Study) { s.Name = " " },
		"hands":              func(s *Study) { s.Hands = nil },
		"items[1]":           func(s *Study) { s.Items = []ID{"i", "i"} },
		"strategies[0].kind": func(s *Study) { s.Strategies[0].Kind = "throw"; s.References = 0 },
		"orientations.kind":  func(s *Study) { s.Orientations.Kind = "spiral" },
		"orientations.count": func(s *Study) { s.Orientations.Count = 0 },
		"orientations.azimuths": func(s *Study) {
			s.Orientations = OrientationPlan{Kind: "rings", Tilts: []float64{0, 1, 2}, Azimuths: []int{1, 2}, Rolls: []float64{0}}
		},
		"closing_levels[0]":     func(s *Study) { s.ClosingLevels = []float64{math.NaN()} },
		"offset.sigma_y_mm":     func(s *Study) { s.Offset = OffsetPlan{Kind: "gaussian", Sigma: [2]float64{0, -1}} },
		"replicates":            func(s *Study) { s.Replicates = 0 },
		"reference.orientation": func(s *Study) { s.Reference.Orientation = orient.Rotation{} },
		"reference.strategy":    func(s *Study) { s.Reference.Strategy = StrategyScoop },
		"line_error.angle_deg":  func(s *Study) { s.Line.Angle = math.Inf(1) },
		"target":                func(s *Study) { s.Target = 1.2 },
	} {
		s := goodStudy()
		spoil(&s)
		err := s.Validate()
		if KindOf(err) != KindInvalid || !slices.Contains(fieldsOf(err), field) {
			t.Errorf("%s: got %v", field, err)
		}
	}
}

func TestTrialValidate(t *testing.T) {
	good := func() Trial { return Trial{Key: "k", Planned: orient.Identity, Outcome: OutcomeHeld} }
	if g := good(); g.Validate() != nil {
		t.Fatal(g.Validate())
	}
	for field, spoil := range map[string]func(*Trial){
		"key":          func(x *Trial) { x.Key = "" },
		"outcome":      func(x *Trial) { x.Outcome = "won" },
		"void_reason":  func(x *Trial) { x.Outcome = OutcomeVoid },
		"orientation":  func(x *Trial) { x.Planned = orient.Rotation{W: math.NaN()} },
		"measured":     func(x *Trial) { x.Measured = &orient.Rotation{W: 2} },
		"closing":      func(x *Trial) { x.Closing = -0.1 },
		"offset_z_mm":  func(x *Trial) { x.Offset[2] = math.NaN() },
		"peak_force_N": func(x *Trial) { f := -1.0; x.PeakForce = &f },
		"duration_s":   func(x *Trial) { d := math.NaN(); x.Duration = &d },
		"note":         func(x *Trial) { x.Note = strings.Repeat("x", 4001) },
	} {
		x := good()
		spoil(&x)
		if got := fieldsOf(x.Validate()); !reflect.DeepEqual(got, []string{field}) {
			t.Errorf("%s: got %v", field, got)
		}
	}
}

func TestCount(t *testing.T) {
	for _, o := range Outcomes {
		if got := Count(o, ""); got != o {
			t.Errorf("%s without inspection counts as %s", o, got)
		}
		if got := Count(o, FindingSound); got != o {
			t.Errorf("%s found sound counts as %s", o, got)
		}
		want := OutcomeDamaged
		if o == OutcomeVoid {
			want = OutcomeVoid
		}
		if got := Count(o, FindingDamaged); got != want {
			t.Errorf("%s found damaged counts as %s, want %s", o, got, want)
		}
	}
}

func TestWallLeavesNoSymmetry(t *testing.T) {
	s := Setting{ID: "s", Name: "s", Support: SupportTray, Wall: true, Turning: Turning{Axial: true}}
	if got := fieldsOf(s.Validate()); !reflect.DeepEqual(got, []string{"turning"}) {
		t.Errorf("got %v", got)
	}
	s.Turning = Turning{Fold: 1, Mirror: true}
	if err := s.Validate(); err != nil {
		t.Error(err)
	}
}

func TestEveryStrategyHasSteps(t *testing.T) {
	for _, k := range StrategyKinds {
		g := DefaultStrategy(k)
		if len(g.Steps) < 4 {
			t.Errorf("%s has %d steps", k, len(g.Steps))
		}
		g.Steps[0].Do = "changed"
		if DefaultStrategy(k).Steps[0].Do == "changed" {
			t.Errorf("%s: steps are shared between callers", k)
		}
	}
}

// The cautions that a card must carry: common practice, no source.
func TestCautions(t *testing.T) {
	text := func(a Actuation, food, fit bool) string {
		return strings.Join(Cautions("card", &Hand{Actuation: a, FoodContact: fit}, &Item{Food: food}), "\n")
	}
	for _, w := range []string{"Moving robot", "Pinching", "Compressed air", "Food contact", "not declared fit", "risk assessment, local codes and licensed practice", "not a safety function"} {
		if !strings.Contains(text(ActuationAir, true, false), w) {
			t.Errorf("missing: %s", w)
		}
	}
	if plain := text(ActuationMotor, false, false); strings.Contains(plain, "air") && strings.Contains(plain, "Compressed") || strings.Contains(plain, "Food") {
		t.Errorf("cautions that do not apply: %s", plain)
	}
}

func TestKindOf(t *testing.T) {
	err := Internal("reading", errors.New("disk"))
	if KindOf(err) != KindInternal || KindOf(errors.New("x")) != KindInternal || KindOf(Errorf(KindStale, "old %d", 1)) != KindStale {
		t.Error("kinds are mixed up")
	}
	if !strings.Contains(err.Error(), "disk") || err.Unwrap() == nil {
		t.Error("the cause is lost")
	}
}

func TestEconomicsRules(t *testing.T) {
	item := DefaultItemEconomics("roll")
	if err := item.Validate(); err != nil {
		t.Fatal(err)
	}
	high := 1.5
	for field, spoil := range map[string]func(*ItemEconomics){
		"value_per_good":      func(e *ItemEconomics) { e.Good = -1 },
		"cost_damaged":        func(e *ItemEconomics) { e.Damaged = math.NaN() },
		"cost_failed_by":      func(e *ItemEconomics) { e.FailedBy = map[Outcome]float64{OutcomeHeld: 1} },
		"cost_failed_by.void": func(e *ItemEconomics) { e.FailedBy = map[Outcome]float64{OutcomeVoid: -1} },
		"person_s":            func(e *ItemEconomics) { e.PersonSeconds = 0 },
		"share":               func(e *ItemEconomics) { e.Share = 1.1 },
		"confidence":          func(e *ItemEconomics) { e.Confidence = 1 },
		"shared":              func(e *ItemEconomics) { e.Shared = &high },
		"retry_factor":        func(e *ItemEconomics) { e.RetryFactor = 0 },
		"retry":               func(e *ItemEconomics) { e.Retry = []RetryStep{RetryPerson, RetrySame} },
	} {
		e := item
		spoil(&e)
		if err := e.Validate(); KindOf(err) != KindInvalid || !strings.Contains(err.Error(), field) {
			t.Errorf("%s: %v", field, err)
		}
	}
	hand := HandEconomics{ID: "two", Price: 100}
	if err := hand.Validate(); err == nil {
		t.Error("a hand with a price and no life was accepted")
	}
	hand.LifeHours, hand.LifePicks = 50, 1000
	if err := hand.Validate(); err != nil || hand.Hour() != 2 || hand.Attempt() != 0.1 {
		t.Errorf("%v, %g an hour, %g an attempt", err, hand.Hour(), hand.Attempt())
	}
	line := DefaultLineEconomics()
	if err := line.Validate(); err != nil {
		t.Error(err)
	}
	line.Currency = "Eur"
	if err := line.Validate(); err == nil {
		t.Error("Eur was accepted as a currency code")
	}
}
