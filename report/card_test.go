package report

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"holdfast/domain"
	"holdfast/orient"
)

func someParts() CardParts {
	return CardParts{
		Hand:    &domain.Hand{ID: "soft-hand-2", Name: "Soft hand 2", Actuation: domain.ActuationAir, Fingers: 3, CommandUnit: "kPa", CommandFull: 80},
		Item:    &domain.Item{ID: "croissant", Name: "Croissant", Shape: domain.ShapeCrescent, Size: [3]float64{0.13, 0.07, 0.05}, Food: true},
		Setting: &domain.Setting{ID: "baking-tray", Name: "Baking tray", Support: domain.SupportTray, Wall: true},
	}
}

func someCard() *domain.Card {
	nominal := orient.FromDirectionHeading(25*deg, 40*deg, 30*deg)
	c := &domain.Card{
		ID: "croissant-line-1", Study: "croissants-on-trays",
		Condition: domain.Condition{Hand: "soft-hand-2", Item: "croissant", Setting: "baking-tray", Strategy: domain.StrategySurface},
		Steps:     domain.DefaultStrategy(domain.StrategySurface).Steps, Nominal: nominal,
		Region:  domain.Region{Spacing: 9 * deg, Radius: 12 * deg, Share: 0.0612},
		Closing: 0.55, Line: domain.LineError{Angle: 5 * deg, Position: 0.003},
		Success: 0.942, SuccessLow: 0.883, SuccessHigh: 0.971, Target: 0.9, Trials: 240, Held: 171, LastTrial: 612,
		Digest:     strings.Repeat("0123456789abcdef", 4),
		ReleasedBy: "Ida, trials bench", ReleasedAt: time.Date(2026, 3, 9, 14, 5, 0, 0, time.UTC), Invented: true,
	}
	c.Proof = &domain.CardProof{
		ID: "croissant-proof", Rule: "59 trials with at most 0 failures: passing shows a success of at least 0.95 with 95 % confidence.", Verdict: "accepted",
		Trials: 59, Void: 1, Corrected: 1, Low: 0.9505, High: 1, Level: 0.9, SameRegion: true, SignedBy: "Ida", SignedAt: time.Date(2026, 3, 8, 9, 0, 0, 0, time.UTC),
		Digest: strings.Repeat("fedcba9876543210", 4),
	}
	parts := someParts()
	c.Cautions = domain.Cautions("card", parts.Hand, parts.Item)
	for i := range 7 {
		turn := orient.AboutAxis(orient.Vec3{math.Cos(float64(i)), math.Sin(float64(i)), 0.2}, 8*deg)
		if i == 0 {
			turn = orient.Identity
		}
		c.Region.Points = append(c.Region.Points, nominal.Mul(turn).Canonical())
	}
	return c
}

func withdrawn(c *domain.Card) *domain.Card {
	c.Withdrawn, c.WithdrawnBy, c.Reason = c.ReleasedAt.Add(72*time.Hour), "Ida", "new flour: crusts break"
	return c
}

func compiledSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(CardSchema))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("card.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("card.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestCardJSONFitsItsSchema(t *testing.T) {
	schema := compiledSchema(t)
	bare := &domain.Card{ID: "a", Study: "s", Condition: domain.Condition{Hand: "h", Item: "i", Setting: "t", Strategy: domain.StrategyFree},
		Nominal: orient.Identity, Cautions: []string{"Moving robot."}, ReleasedAt: time.Unix(0, 0).UTC()}
	for name, c := range map[string]*domain.Card{"card.json": someCard(), "card-withdrawn.json": withdrawn(someCard()), "card-bare.json": bare} {
		parts := someParts()
		if c == bare {
			parts = CardParts{}
		}
		text, err := CardJSON(c, parts)
		if err != nil {
			t.Fatal(err)
		}
		golden(t, name, text)
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(doc); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		back, err := ReadCardJSON(text)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(c, back, cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%s reads back differently (-want +got):\n%s", name, diff)
		}
	}
}

func TestSchemaRefuses(t *testing.T) {
	schema := compiledSchema(t)
	text, err := CardJSON(someCard(), someParts())
	if err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(m map[string]any){
		"extra field":      func(m map[string]any) { m["speed"] = 1 },
		"other format":     func(m map[string]any) { m["format"] = "holdfast-pick-card/2" },
		"no cautions":      func(m map[string]any) { m["cautions"] = []any{} },
		"missing nominal":  func(m map[string]any) { delete(m, "nominal") },
		"success above 1":  func(m map[string]any) { m["expected_success"].(map[string]any)["p"] = 1.2 },
		"value, no unit":   func(m map[string]any) { delete(m["closing"].(map[string]any), "unit") },
		"unknown strategy": func(m map[string]any) { m["strategy"].(map[string]any)["kind"] = "hope" },
		"digest":           func(m map[string]any) { m["evidence"].(map[string]any)["digest"] = "abc" },
		"point with angle": func(m map[string]any) {
			m["region"].(map[string]any)["points"].([]any)[0].(map[string]any)["tilt_deg"] = 1
		},
	} {
		var m map[string]any
		if err := json.Unmarshal(text, &m); err != nil {
			t.Fatal(err)
		}
		spoil(m)
		if schema.Validate(m) == nil {
			t.Errorf("%s passes the schema", name)
		}
		if name == "missing nominal" || name == "value, no unit" || name == "digest" {
			continue // fields that the reader does not need or that a zero quaternion shows
		}
		spoiled, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := ReadCardJSON(spoiled); domain.KindOf(err) != domain.KindInvalid {
			t.Errorf("%s is read: %v", name, err)
		}
	}
}

func TestCardJSONReadsBack(t *testing.T) {
	unit := rapid.Float64Range(0, 1)
	rapid.Check(t, func(t *rapid.T) {
		c := someCard()
		c.Nominal = orient.FromApproach(orient.Approach{Tilt: math.Pi * unit.Draw(t, "tilt"), Azimuth: 6 * unit.Draw(t, "azimuth"), Roll: 6 * unit.Draw(t, "roll")})
		c.Region.Spacing, c.Region.Radius, c.Region.Share = unit.Draw(t, "spacing"), unit.Draw(t, "radius"), unit.Draw(t, "share")
		c.Line = domain.LineError{Angle: unit.Draw(t, "angle"), Position: 0.2 * unit.Draw(t, "position")}
		c.Closing, c.Success = unit.Draw(t, "closing"), unit.Draw(t, "success")
		text, err := CardJSON(c, someParts())
		if err != nil {
			t.Fatal(err)
		}
		back, err := ReadCardJSON(text)
		if err != nil {
			t.Fatal(err)
		}
		// Angles and lengths pass through degrees and millimetres; the last binary digit may go.
		if diff := cmp.Diff(c, back, cmpopts.EquateApprox(0x1p-52, 0)); diff != "" {
			t.Fatal(diff)
		}
	})
}

func FuzzReadCardJSON(f *testing.F) {
	text, err := CardJSON(withdrawn(someCard()), someParts())
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Fuzz(func(t *testing.T, text []byte) {
		c, err := ReadCardJSON(text)
		if err != nil {
			if domain.KindOf(err) != domain.KindInvalid {
				t.Fatal(err)
			}
			return
		}
		again, err := CardJSON(c, CardParts{})
		if err != nil {
			return // a date that JSON can not write
		}
		if _, err := ReadCardJSON(again); err != nil {
			t.Fatalf("what was read is refused when written: %v", err)
		}
	})
}

func cardSheet(c *domain.Card) *CardSheet {
	m := someMap(48)
	m.Marks = m.Marks[:25]
	return &CardSheet{Card: c, Parts: someParts(), StudyName: "Croissants on trays", Map: m}
}

func TestCardPDF(t *testing.T) {
	long := someCard()
	for range 13 {
		long.Steps = append(long.Steps, domain.Step{Do: strings.Repeat("move a little and look again ", 12), Until: strings.Repeat("it is all right ", 20)})
	}
	plain := cardSheet(someCard())
	plain.Map, plain.Parts, plain.StudyName = nil, CardParts{}, ""
	for _, c := range []struct {
		name  string
		sheet *CardSheet
		pages int
		words []string
	}{
		{"released", cardSheet(someCard()), 1, []string{"Pick card", "Croissant", "94.2 %", "88.3 % to 97.1 %", "Invented data", "Cautions", "Pinching",
			"not a safety function", "171 of 240", "T612", "0123456789abcdef", "Signature", "close while the tips slide", "44 kPa", "surface-guided", "tolerated region"}},
		{"withdrawn", cardSheet(withdrawn(someCard())), 1, []string{"Withdrawn: do not use", "new flour"}},
		{"long", cardSheet(long), 2, []string{"on the next page", "look again", "Cautions"}},
		{"plain", plain, 1, []string{"croissants-on-trays", "soft-hand-2"}},
	} {
		checkPDF(t, c.name, c.sheet.PDF, c.pages, c.words)
	}
}

// checkPDF draws twice, compares the bytes, counts pages and, where pdftotext is there, looks for the words.
func checkPDF(t *testing.T, name string, draw func() ([]byte, error), pages int, words []string) {
	t.Helper()
	data, err := draw()
	if err != nil {
		t.Fatal(err)
	}
	again, err := draw()
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(data, again) {
		t.Errorf("%s: two drawings of the same differ", name)
	}
	if got := bytes.Count(data, []byte("/Type /Page\n")); got != pages {
		t.Errorf("%s: %d pages, want %d", name, got, pages)
	}
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Logf("%s: words not checked: pdftotext is not installed", name)
		return
	}
	path := filepath.Join(t.TempDir(), name+".pdf")
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(tool, "-enc", "UTF-8", "-layout", path, "-").Output()
	if err != nil {
		t.Fatalf("%s: pdftotext: %v", name, err)
	}
	text := strings.Join(strings.Fields(string(out)), " ")
	for _, w := range words {
		if !strings.Contains(text, w) {
			t.Errorf("%s: the page does not say %q", name, w)
		}
	}
}
