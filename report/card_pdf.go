package report

import (
	"fmt"
	"strings"

	"holdfast/domain"
)

// CardSheet is a pick card on paper.
type CardSheet struct {
	Card      *domain.Card
	Parts     CardParts  // nil parts are named by their IDs and drawn plainly
	StudyName string     // empty: the study's ID
	Map       *MapFigure // the map at the nominal heading; nil: no map is drawn
}

// PDF writes the card on one A4 page (steps that do not fit even in small letters go to a second). The document's date
// of creation is that of release or, for a withdrawn card, of withdrawal.
func (k *CardSheet) PDF() ([]byte, error) {
	if k.Map != nil {
		if err := k.Map.Check(); err != nil {
			return nil, err
		}
	}
	at := k.Card.ReleasedAt
	if !k.Card.Withdrawn.IsZero() {
		at = k.Card.Withdrawn
	}
	pdf := newPDF("Pick card "+string(k.Card.ID), at)
	sizes := []float64{3, 2.75, 2.5, 2.25}
	var page *Scene
	fits := false
	for _, size := range sizes {
		var end float64
		if page, end = k.page(size, false); end <= pageH-10 {
			fits = true
			break
		}
	}
	if !fits {
		page, _ = k.page(sizes[0], true)
	}
	pdf.AddPage()
	drawPDF(pdf, page)
	if !fits {
		second := &Scene{W: pageW, H: pageH}
		k.head(second)
		k.steps(second, 34, 2.5)
		pdf.AddPage()
		drawPDF(pdf, second)
	}
	return finishPDF(pdf)
}

const (
	cardLeft  = 12.0
	cardRight = pageW - 12
	cardWide  = cardRight - cardLeft
)

// page lays the card out with running text of the size (mm); it returns the lower end of what was drawn.
func (k *CardSheet) page(size float64, stepsElsewhere bool) (*Scene, float64) {
	s := &Scene{W: pageW, H: pageH}
	y := k.head(s)
	top := y
	left := k.success(s, top)
	left = k.orientation(s, left+4)
	right := k.drawMap(s, top)
	y = max(left, right) + 3
	if stepsElsewhere {
		s.Bold(cardLeft, y+3, "The strategy's steps are on the next page. Do not run the card without them.", 3.2, Ink, Start)
		y += 6
	} else {
		y = k.steps(s, y, size)
	}
	y = k.evidence(s, y+3, size)
	y = drawCautions(s, cardLeft, y+3, cardWide, k.Card.Cautions, size)
	return s, k.signature(s, y+7)
}

func (k *CardSheet) names() (item, hand, setting string) {
	c := &k.Card.Condition
	item, hand, setting = string(c.Item), string(c.Hand), string(c.Setting)
	if k.Parts.Item != nil {
		item = k.Parts.Item.Name
	}
	if k.Parts.Hand != nil {
		hand = k.Parts.Hand.Name
	}
	if k.Parts.Setting != nil {
		setting = k.Parts.Setting.Name
	}
	return item, hand, setting
}

// head draws title and state; it returns the next free place.
func (k *CardSheet) head(s *Scene) float64 {
	c := k.Card
	s.Draw(rect(cardLeft, 9, cardWide, 1.2), fill(Accent))
	s.Bold(cardLeft, 15.6, "Pick card", 3.8, Accent, Start)
	s.Text(cardRight, 15.6, string(c.ID), 3.2, Ink, End)
	item, hand, setting := k.names()
	tag := 0.0
	if c.Invented {
		const text = "Invented data"
		tag = textWidth(text, 3.2, true) + 6
		drawTag(s, cardRight-tag+3, 24.4, text, 3.2)
	}
	s.Bold(cardLeft, 25, shortened(item, 8, cardWide-tag, true), 8, Ink, Start)
	s.Text(cardLeft, 31, shortened(fmt.Sprintf("%s  ·  %s  ·  %s", setting, hand, c.Condition.Strategy), 3.6, cardWide, false), 3.6, Soft, Start)
	if c.Withdrawn.IsZero() {
		return 36
	}
	s.Draw(rect(cardLeft, 34, cardWide, 12.5), fill(Ink))
	s.Bold(cardLeft+4, 39.6, "Withdrawn: do not use", 4.4, Paper, Start)
	s.Text(cardLeft+4, 44.4, shortened(fmt.Sprintf("%s by %s: %s", c.Withdrawn.UTC().Format("2006-01-02 15:04 UTC"), c.WithdrawnBy, c.Reason), 3, cardWide-8, false), 3, Paper, Start)
	return 51
}

func heading(s *Scene, x, y float64, text string) { s.Bold(x, y, text, 3, Accent, Start) }

// success draws the number that the card is about; it returns the lower end.
func (k *CardSheet) success(s *Scene, y float64) float64 {
	c := k.Card
	heading(s, cardLeft, y+3, "Expected success")
	s.Bold(cardLeft-0.6, y+18, percent(c.Success), 16, Ink, Start)
	const w = 84.0
	x, by := cardLeft, y+24.5
	at := func(p float64) float64 { return x + w*min(max(p, 0), 1) }
	s.Draw(rect(x, by, w, 3.4), both(Shade, Line, 0.2))
	s.Draw(rect(at(c.SuccessLow), by, max(at(c.SuccessHigh)-at(c.SuccessLow), 0.4), 3.4), fill(Accent))
	s.Draw(polyline(Point{at(c.Success), by - 1}, Point{at(c.Success), by + 4.4}), stroke(Paper, 1.3))
	s.Draw(polyline(Point{at(c.Success), by - 1}, Point{at(c.Success), by + 4.4}), stroke(Ink, 0.7))
	if c.Target > 0 {
		s.Draw(polyline(Point{at(c.Target), by - 1.4}, Point{at(c.Target), by + 4.8}), dashed(Ink, 0.3, 0.9))
	}
	for p := 0; p <= 100; p += 25 {
		anchor := Middle
		if p == 0 {
			anchor = Start
		} else if p == 100 {
			anchor = End
		}
		s.Text(at(float64(p)/100), by+7.6, fmt.Sprintf("%d %%", p), 2.5, Soft, anchor)
	}
	y = by + 12.4
	s.Bold(cardLeft, y, fmt.Sprintf("90 %% interval %s to %s", percent(c.SuccessLow), percent(c.SuccessHigh)), 3.2, Ink, Start)
	verdict := "does not reach"
	if c.SuccessLow >= c.Target {
		verdict = "reaches"
	}
	y += 4.6
	if c.Target > 0 {
		s.Text(cardLeft, y, fmt.Sprintf("Its lower end %s the target of %s (dashed).", verdict, percent(c.Target)), 3, Ink, Start)
		y += 4.4
	}
	s.Text(cardLeft, y, fmt.Sprintf("Line errors allowed for: %s turn (root mean square), %s mm placement.",
		angle(c.Line.Angle/degree), decimals(c.Line.Position*1e3, 1)), 2.7, Soft, Start)
	return y
}

func decimals(v float64, n int) string {
	t := fmt.Sprintf("%.*f", n, v+0)
	if strings.Contains(t, ".") {
		t = strings.TrimRight(strings.TrimRight(t, "0"), ".")
	}
	return minus(t)
}

// orientation draws the nominal orientation with its numbers; it returns the lower end.
func (k *CardSheet) orientation(s *Scene, y float64) float64 {
	c := k.Card
	heading(s, cardLeft, y+3, "Nominal orientation and closing")
	y += 5
	pose := &Pose{Rotation: c.Nominal, Hand: k.Parts.Hand, Item: k.Parts.Item, Setting: k.Parts.Setting}
	const side = 41.0
	for i, v := range []*Scene{pose.FromAbove(side), pose.FromSide(side)} {
		x := cardLeft + float64(i)*(side+2)
		s.Draw(rect(x, y, side, side), both(Paper, Line, 0.2))
		s.Clip(rect(x, y, side, side), func() { s.Place(v, x, y, 1) })
		s.Text(x, y+side+3.3, []string{"from above", "from the side"}[i], 2.5, Soft, Start)
	}
	y += side + 8
	a := c.Nominal.Approach()
	closing := fmt.Sprintf("%.2f", c.Closing)
	if h := k.Parts.Hand; h != nil && h.CommandFull > 0 {
		closing += fmt.Sprintf(" = %.4g %s", c.Closing*h.CommandFull, h.CommandUnit)
	}
	x := cardLeft
	for _, pair := range [][2]string{{"Tilt", angle(a.Tilt / degree)}, {"Azimuth", angle(a.Azimuth / degree)}, {"Roll", angle(a.Roll / degree)}, {"Closing", closing}} {
		s.Text(x, y, pair[0], 2.6, Soft, Start)
		s.Bold(x, y+4.9, pair[1], 4, Ink, Start)
		x += 17.5
	}
	y += 10
	q := c.Nominal
	s.Text(cardLeft, y, fmt.Sprintf("Quaternion w, x, y, z: %s, %s, %s, %s", component(q.W), component(q.X), component(q.Y), component(q.Z)), 2.7, Ink, Start)
	return y
}

func component(v float64) string { return minus(fmt.Sprintf("%.6f", v)) }

// drawMap draws the map with the region; it returns the lower end.
func (k *CardSheet) drawMap(s *Scene, y float64) float64 {
	c := k.Card
	const x, w = 108.0, cardRight - 108
	heading(s, x, y+3, "Success map and tolerated region")
	y += 5
	if k.Map != nil {
		m := *k.Map
		m.Outline = &Outline{Region: c.Region, Nominal: c.Nominal}
		if m.Target == 0 {
			m.Target = c.Target
		}
		const r, label = 34.0, 2.5
		cx, cy := x+w/2, y+6+r
		m.drawDisc(s, cx, cy, r, label)
		y = cy + r + 8
		// The scale lies below the disc.
		const lw, lh = 62.0, 3.2
		lx := cx - lw/2
		for b := range bands {
			s.Draw(rect(lx+lw*float64(b)/bands, y, lw/bands+0.06, lh), fill(colourOf((float64(b)+0.5)/bands)))
		}
		s.Draw(rect(lx, y, lw, lh), stroke(Ink, 0.2))
		for p := 0; p <= 100; p += 25 {
			s.Text(lx+lw*float64(p)/100, y+lh+3, fmt.Sprintf("%d %%", p), 2.4, Ink, Middle)
		}
		y += lh + 7
		text := fmt.Sprintf("Chance of success over approach directions seen from above at heading %s: centre straight down, rim at tilt %s. Green: tolerated region, with the nominal orientation. Dashed: target.",
			angle(c.Nominal.Heading()/degree), angle(m.TiltMax/degree))
		if m.Hatch > 0 {
			text += fmt.Sprintf(" Hatched: 90 %% interval wider than %.0f points.", m.Hatch*100)
		}
		if len(m.Marks) > 0 {
			text += " Marks: trials, filled circles held, other shapes not."
		}
		for _, l := range wrap(text, 2.5, w, false) {
			s.Text(x, y, l, 2.5, Soft, Start)
			y += 3.4
		}
		for _, warning := range m.Warnings {
			for _, l := range wrap("Beware: "+warning, 2.5, w, true) {
				s.Bold(x, y, l, 2.5, Ink, Start)
				y += 3.4
			}
		}
	} else {
		y += 3
	}
	region := fmt.Sprintf("Every orientation within %s of the nominal one is inside. The region has %d points, each standing for all orientations within %s of it: %s of all orientations up to the study's tilt limit.",
		angle(c.Region.Radius/degree), len(c.Region.Points), angle(c.Region.Spacing/degree), percent(c.Region.Share))
	y += 1
	for _, l := range wrap(region, 2.8, w, false) {
		s.Text(x, y, l, 2.8, Ink, Start)
		y += 3.8
	}
	return y - 3.8
}

// steps draws the strategy; it returns the lower end.
func (k *CardSheet) steps(s *Scene, y, size float64) float64 {
	heading(s, cardLeft, y+3, "Strategy: "+string(k.Card.Condition.Strategy))
	const number, until = cardLeft + 6, cardLeft + 100
	s.Text(until, y+3, "until", 2.6, Soft, Start)
	y += 5
	line := size * 1.4
	for i, st := range k.Card.Steps {
		do := wrap(st.Do, size, until-number-4, false)
		end := wrap(st.Until, size, cardRight-until, false)
		s.Draw(rect(cardLeft, y, cardWide, 0.12), fill(Line))
		base := y + size*1.25
		s.Bold(cardLeft+3.6, base, fmt.Sprint(i+1), size, Accent, End)
		for j, l := range do {
			s.Text(number, base+float64(j)*line, l, size, Ink, Start)
		}
		for j, l := range end {
			s.Text(until, base+float64(j)*line, l, size, Ink, Start)
		}
		y += float64(max(len(do), len(end), 1))*line + size*0.45
	}
	if len(k.Card.Steps) == 0 {
		s.Text(number, y+size*1.25, "No steps are given.", size, Soft, Start)
		y += line + size*0.45
	}
	s.Draw(rect(cardLeft, y, cardWide, 0.12), fill(Line))
	return y
}

// evidence says what the card rests on; it returns the lower end.
func (k *CardSheet) evidence(s *Scene, y, size float64) float64 {
	c := k.Card
	study := k.StudyName
	if study == "" {
		study = string(c.Study)
	}
	heading(s, cardLeft, y+3, "Evidence")
	text := fmt.Sprintf("%d of %d counted trials held in the study “%s”; newest entry considered %s.", c.Held, c.Trials, study, c.LastTrial)
	y += 3 + size*1.5
	for _, l := range wrap(text, size, cardWide, false) {
		s.Text(cardLeft, y, l, size, Ink, Start)
		y += size * 1.4
	}
	digest := c.Digest
	if digest == "" {
		digest = "none"
	}
	s.Text(cardLeft, y, "Digest of trials and settings (SHA-256): "+digest, 2.4, Soft, Start)
	y += size * 1.4
	for _, l := range wrap(proofText(c.Proof), size, cardWide, false) {
		y += size * 0.1
		s.Text(cardLeft, y, l, size, Ink, Start)
		y += size * 1.3
	}
	if c.Proof == nil {
		return y - size*1.3
	}
	const small = 2.4
	signed := fmt.Sprintf("Proof run %s, signed %s by %s. Digest of its plan (SHA-256): %s", c.Proof.ID, c.Proof.SignedAt.UTC().Format("2006-01-02 15:04 UTC"), c.Proof.SignedBy, c.Proof.Digest)
	for _, l := range wrap(signed, small, cardWide, false) {
		s.Text(cardLeft, y, l, small, Soft, Start)
		y += small * 1.3
	}
	return y - small*1.3
}

// proofText tells how the proof run stood when the card was released.
func proofText(p *domain.CardProof) string {
	if p == nil {
		return "Released without a proof run."
	}
	text := map[string]string{
		"accepted": "Proof run passed", "rejected": "Proof run NOT passed", "go on": "Proof run not finished when this card was released",
		"given up": "Proof run given up before its end",
	}[p.Verdict]
	text += fmt.Sprintf(": %d failures in %d trials, success %s to %s (%.0f %% interval). Plan: %s", p.Failures, p.Trials, percent(p.Low), percent(p.High), 100*p.Level, p.Rule)
	if p.Void > 0 {
		text += fmt.Sprintf(" Void trials: %d.", p.Void)
	}
	if p.Corrected > 0 {
		text += fmt.Sprintf(" Trials corrected or inspected to another outcome: %d.", p.Corrected)
	}
	if !p.SameRegion {
		text += " It was made at other orientations or another closing command than this card's."
	}
	return text
}

// signature draws who released the card and the line to sign; it returns the lower end.
func (k *CardSheet) signature(s *Scene, y float64) float64 {
	c := k.Card
	s.Text(cardLeft, y, "Released by", 2.6, Soft, Start)
	s.Bold(cardLeft+16, y, shortened(c.ReleasedBy, 3.2, 46, true), 3.2, Ink, Start)
	s.Text(cardLeft+64, y, c.ReleasedAt.UTC().Format("2006-01-02 15:04 UTC"), 3, Ink, Start)
	s.Text(cardLeft+104, y, "Signature", 2.6, Soft, Start)
	s.Draw(rect(cardLeft+117, y+0.8, 42, 0.2), fill(Ink))
	s.Text(cardLeft+161, y, "Date", 2.6, Soft, Start)
	s.Draw(rect(cardLeft+168, y+0.8, cardWide-168, 0.2), fill(Ink))
	s.Text(cardLeft, y+5, CardFormat, 2.4, Soft, Start)
	return y + 5
}
