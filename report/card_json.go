package report

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"time"

	"holdfast/domain"
	"holdfast/orient"
)

// CardFormat names the version of the pick card's JSON document. A change that a reader of this version could not
// read gets a new number and a new schema; the old one stays.
const CardFormat = "holdfast-pick-card/1"

// CardSchema is the JSON Schema (draft 2020-12) of the pick card's JSON document.
//
//go:embed schema/pick-card-1.json
var CardSchema []byte

// CardParts are the things that a card names by ID, for their names and units. Nil parts are left out.
type CardParts struct {
	Hand    *domain.Hand
	Item    *domain.Item
	Setting *domain.Setting
}

type cardJSON struct {
	Format   string `json:"format"`
	ID       string `json:"id"`
	Study    string `json:"study"`
	Item     named  `json:"item"`
	Hand     named  `json:"hand"`
	Setting  named  `json:"setting"`
	Strategy struct {
		Kind  string        `json:"kind"`
		Steps []domain.Step `json:"steps"`
	} `json:"strategy"`
	Nominal struct {
		quaternionJSON
		TiltDeg    float64 `json:"tilt_deg"`
		AzimuthDeg float64 `json:"azimuth_deg"`
		RollDeg    float64 `json:"roll_deg"`
	} `json:"nominal"`
	Region struct {
		Points     []quaternionJSON `json:"points"`
		SpacingDeg float64          `json:"spacing_deg"`
		RadiusDeg  float64          `json:"radius_deg"`
		Share      float64          `json:"share"`
	} `json:"region"`
	Closing struct {
		Command float64  `json:"command"`
		Value   *float64 `json:"value,omitempty"`
		Unit    string   `json:"unit,omitempty"`
	} `json:"closing"`
	ExpectedSuccess struct {
		P     float64 `json:"p"`
		PLow  float64 `json:"p_low"`
		PHigh float64 `json:"p_high"`
		Level float64 `json:"level"`
	} `json:"expected_success"`
	Target    float64 `json:"target"`
	BlurredBy struct {
		AngleDeg   float64 `json:"angle_deg"`
		PositionMM float64 `json:"position_mm"`
	} `json:"blurred_by"`
	Evidence struct {
		Trials    int    `json:"trials"`
		Held      int    `json:"held"`
		LastTrial int64  `json:"last_trial"`
		Digest    string `json:"digest"`
	} `json:"evidence"`
	Proof      *proofJSON     `json:"proof"` // null: released without a proof run
	Cautions   []string       `json:"cautions"`
	ReleasedBy string         `json:"released_by"`
	ReleasedAt time.Time      `json:"released_at"`
	Withdrawn  *withdrawnJSON `json:"withdrawn,omitempty"`
	Invented   bool           `json:"invented"`
}

type named struct {
	ID   string `json:"id"`
	Name string `json:"name,omitempty"`
}

type quaternionJSON struct {
	QW float64 `json:"qw"`
	QX float64 `json:"qx"`
	QY float64 `json:"qy"`
	QZ float64 `json:"qz"`
}

func quaternionOf(r orient.Rotation) quaternionJSON { return quaternionJSON{r.W, r.X, r.Y, r.Z} }

func (q quaternionJSON) rotation() orient.Rotation {
	return orient.Rotation{W: q.QW, X: q.QX, Y: q.QY, Z: q.QZ}
}

type withdrawnJSON struct {
	At     time.Time `json:"at"`
	By     string    `json:"by"`
	Reason string    `json:"reason"`
}

// proofJSON is how the newest proof run stood when the card was released.
type proofJSON struct {
	ID         string    `json:"id"`
	Rule       string    `json:"rule"`
	Verdict    string    `json:"verdict"`
	Trials     int       `json:"trials"`
	Failures   int       `json:"failures"`
	Void       int       `json:"void"`
	Changed    int       `json:"changed"`
	PLow       float64   `json:"p_low"`
	PHigh      float64   `json:"p_high"`
	Level      float64   `json:"level"`
	SameRegion bool      `json:"same_region"`
	SignedBy   string    `json:"signed_by"`
	SignedAt   time.Time `json:"signed_at"`
	Digest     string    `json:"digest"`
}

func proofOf(p *domain.CardProof) *proofJSON {
	if p == nil {
		return nil
	}
	return &proofJSON{string(p.ID), p.Rule, p.Verdict, p.Trials, p.Failures, p.Void, p.Corrected, p.Low, p.High, p.Level, p.SameRegion, p.SignedBy, p.SignedAt.UTC(), p.Digest}
}

func (p *proofJSON) domain() *domain.CardProof {
	if p == nil {
		return nil
	}
	return &domain.CardProof{
		ID: domain.ID(p.ID), Rule: p.Rule, Verdict: p.Verdict, Trials: p.Trials, Failures: p.Failures, Void: p.Void, Corrected: p.Changed,
		Low: p.PLow, High: p.PHigh, Level: p.Level, SameRegion: p.SameRegion, SignedBy: p.SignedBy, SignedAt: p.SignedAt, Digest: p.Digest,
	}
}

// CardJSON writes a pick card as an indented JSON document of [CardFormat]. Quaternions are exact; angles and lengths
// are decimals that read back as the same card, see [ReadCardJSON].
func CardJSON(c *domain.Card, parts CardParts) ([]byte, error) {
	var d cardJSON
	d.Format, d.ID, d.Study = CardFormat, string(c.ID), string(c.Study)
	d.Item.ID, d.Hand.ID, d.Setting.ID = string(c.Condition.Item), string(c.Condition.Hand), string(c.Condition.Setting)
	if parts.Item != nil {
		d.Item.Name = parts.Item.Name
	}
	if parts.Setting != nil {
		d.Setting.Name = parts.Setting.Name
	}
	d.Closing.Command = c.Closing
	if parts.Hand != nil {
		d.Hand.Name = parts.Hand.Name
		if parts.Hand.CommandFull > 0 && parts.Hand.CommandUnit != "" {
			v := roundTo(c.Closing*parts.Hand.CommandFull, 1e6)
			d.Closing.Value, d.Closing.Unit = &v, parts.Hand.CommandUnit
		}
	}
	d.Strategy.Kind, d.Strategy.Steps = string(c.Condition.Strategy), c.Steps
	if d.Strategy.Steps == nil {
		d.Strategy.Steps = []domain.Step{}
	}
	a := c.Nominal.Approach()
	d.Nominal.quaternionJSON = quaternionOf(c.Nominal)
	d.Nominal.TiltDeg, d.Nominal.AzimuthDeg, d.Nominal.RollDeg = roundTo(a.Tilt/degree, 1e9), roundTo(a.Azimuth/degree, 1e9), roundTo(a.Roll/degree, 1e9)
	d.Region.Points = make([]quaternionJSON, len(c.Region.Points))
	for i, p := range c.Region.Points {
		d.Region.Points[i] = quaternionOf(p)
	}
	d.Region.SpacingDeg, d.Region.RadiusDeg, d.Region.Share = degreesOf(c.Region.Spacing), degreesOf(c.Region.Radius), c.Region.Share
	d.ExpectedSuccess.P, d.ExpectedSuccess.PLow, d.ExpectedSuccess.PHigh, d.ExpectedSuccess.Level = c.Success, c.SuccessLow, c.SuccessHigh, 0.9
	d.Target = c.Target
	d.BlurredBy.AngleDeg, d.BlurredBy.PositionMM = degreesOf(c.Line.Angle), millimetresOf(c.Line.Position)
	d.Evidence.Trials, d.Evidence.Held, d.Evidence.LastTrial, d.Evidence.Digest = c.Trials, c.Held, int64(c.LastTrial), c.Digest
	d.Proof = proofOf(c.Proof)
	d.Cautions, d.ReleasedBy, d.ReleasedAt, d.Invented = c.Cautions, c.ReleasedBy, c.ReleasedAt.UTC(), c.Invented
	if d.Cautions == nil {
		d.Cautions = []string{}
	}
	if !c.Withdrawn.IsZero() {
		d.Withdrawn = &withdrawnJSON{c.Withdrawn.UTC(), c.WithdrawnBy, c.Reason}
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(&d); err != nil {
		return nil, domain.Internal("writing the card as JSON", err)
	}
	return b.Bytes(), nil
}

// ReadCardJSON reads a pick card that [CardJSON] wrote. Unknown fields, another format, broken quaternions and
// probabilities out of order are refused.
func ReadCardJSON(text []byte) (*domain.Card, error) {
	var d cardJSON
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&d); err != nil {
		return nil, domain.Errorf(domain.KindInvalid, "this is not a pick card that can be read: %v", err)
	}
	if _, err := dec.Token(); err != io.EOF {
		return nil, domain.Errorf(domain.KindInvalid, "the pick card is followed by something else; a file holds one card")
	}
	if d.Format != CardFormat {
		return nil, domain.Errorf(domain.KindInvalid, "the format %q is not known; this program reads %s", d.Format, CardFormat)
	}
	if err := d.check(); err != nil {
		return nil, err
	}
	c := &domain.Card{
		ID: domain.ID(d.ID), Study: domain.ID(d.Study),
		Condition: domain.Condition{Hand: domain.ID(d.Hand.ID), Item: domain.ID(d.Item.ID), Setting: domain.ID(d.Setting.ID), Strategy: domain.StrategyKind(d.Strategy.Kind)},
		Steps:     d.Strategy.Steps, Nominal: d.Nominal.rotation(), Closing: d.Closing.Command,
		Region:  domain.Region{Spacing: d.Region.SpacingDeg * degree, Radius: d.Region.RadiusDeg * degree, Share: d.Region.Share},
		Line:    domain.LineError{Angle: d.BlurredBy.AngleDeg * degree, Position: d.BlurredBy.PositionMM / 1e3},
		Success: d.ExpectedSuccess.P, SuccessLow: d.ExpectedSuccess.PLow, SuccessHigh: d.ExpectedSuccess.PHigh, Target: d.Target,
		Trials: d.Evidence.Trials, Held: d.Evidence.Held, LastTrial: domain.TrialID(d.Evidence.LastTrial), Digest: d.Evidence.Digest, Proof: d.Proof.domain(),
		Cautions: d.Cautions, ReleasedBy: d.ReleasedBy, ReleasedAt: d.ReleasedAt, Invented: d.Invented,
	}
	for _, p := range d.Region.Points {
		c.Region.Points = append(c.Region.Points, p.rotation())
	}
	if d.Withdrawn != nil {
		c.Withdrawn, c.WithdrawnBy, c.Reason = d.Withdrawn.At, d.Withdrawn.By, d.Withdrawn.Reason
	}
	return c, nil
}

// check reports what would make the card dangerous to follow.
func (d *cardJSON) check() error {
	var fields []domain.FieldError
	fail := func(field string, value any, reason string) {
		fields = append(fields, domain.FieldError{Field: field, Value: fmt.Sprint(value), Reason: reason})
	}
	unit := func(field string, q quaternionJSON) {
		if !(math.Abs(q.rotation().Norm()-1) <= 1e-6) {
			fail(field, q, "must be a unit quaternion")
		}
	}
	unit("nominal", d.Nominal.quaternionJSON)
	for i, p := range d.Region.Points {
		unit(fmt.Sprintf("region.points[%d]", i), p)
	}
	for _, s := range []struct {
		field string
		v     float64
	}{{"region.share", d.Region.Share}, {"closing.command", d.Closing.Command}, {"target", d.Target},
		{"expected_success.p", d.ExpectedSuccess.P}, {"expected_success.p_low", d.ExpectedSuccess.PLow}, {"expected_success.p_high", d.ExpectedSuccess.PHigh}} {
		if s.v < 0 || s.v > 1 {
			fail(s.field, s.v, "must be between 0 and 1")
		}
	}
	if d.ExpectedSuccess.PLow > d.ExpectedSuccess.PHigh {
		fail("expected_success", d.ExpectedSuccess.PLow, "p_low must not be above p_high")
	}
	if p := d.Proof; p != nil {
		if !slices.Contains([]string{"accepted", "rejected", "go on", "given up"}, p.Verdict) {
			fail("proof.verdict", p.Verdict, "must be accepted, rejected, go on or given up")
		}
		if p.Failures < 0 || p.Failures > p.Trials {
			fail("proof.failures", p.Failures, "must be from 0 to the number of trials")
		}
		if !(p.PLow >= 0 && p.PLow <= p.PHigh && p.PHigh <= 1) {
			fail("proof.p_low", p.PLow, "must be at least 0, not above p_high, and p_high at most 1")
		}
	}
	if d.ExpectedSuccess.Level != 0.9 {
		fail("expected_success.level", d.ExpectedSuccess.Level, "must be 0.9")
	}
	for _, id := range []struct{ field, id string }{{"id", d.ID}, {"study", d.Study}, {"hand.id", d.Hand.ID}, {"item.id", d.Item.ID}, {"setting.id", d.Setting.ID}} {
		if !domain.ID(id.id).Valid() {
			fail(id.field, id.id, "must be 1 to 64 lower-case letters, digits and single hyphens")
		}
	}
	if domain.DefaultStrategy(domain.StrategyKind(d.Strategy.Kind)).Steps == nil {
		fail("strategy.kind", d.Strategy.Kind, "must be free, surface-guided, wall-guided, edge-pull or scoop")
	}
	if len(d.Cautions) == 0 {
		fail("cautions", "", "must not be empty")
	}
	if len(fields) > 0 {
		return &domain.Error{Kind: domain.KindInvalid, Message: "this pick card can not be accepted; mend the fields named", Fields: fields}
	}
	return nil
}

const degree = math.Pi / 180 // rad

// roundTo rounds to a part of one, such as a billionth (parts 1e9); it never gives −0.
func roundTo(v, parts float64) float64 { return math.Round(v*parts)/parts + 0 }

// degreesOf returns the angle (rad) as the shortest number of degrees that reads back as the same angle.
func degreesOf(rad float64) float64 {
	return shortest(rad/degree, func(x float64) bool { return x*degree == rad })
}

// millimetresOf returns the length (m) as the shortest number of mm that reads back as the same length.
func millimetresOf(m float64) float64 {
	return shortest(m*1e3, func(x float64) bool { return x/1e3 == m })
}

// shortest returns v with the fewest of 12 to 17 digits that passes; v itself if none does, which is off by at most
// the last binary digit.
func shortest(v float64, same func(float64) bool) float64 {
	for digits := 12; digits <= 17; digits++ {
		x, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
		if err == nil && same(x) {
			return x
		}
	}
	return v
}
