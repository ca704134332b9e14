package workflow

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdfast/domain"
	"holdfast/orient"
)

// ReleaseCard asks for a pick card; everything else on it is computed here.
type ReleaseCard struct {
	ID         domain.ID // made from item, hand and setting when empty
	Study      domain.ID
	Condition  domain.Condition // what the study has only one of may be left out
	ReleasedBy string
	MinRadius  float64 // rad, the region must tolerate at least this turn; 0: no demand
}

// Card is a released card, and whether what it came from is still the same.
type Card struct {
	domain.Card
	Matches bool
}

// Release chooses the region and releases a pick card. KindRefused when no region tolerates what is asked for,
// KindConflict when the ID is taken.
func (l *Lab) Release(ctx context.Context, q ReleaseCard) (Card, error) {
	if strings.TrimSpace(q.ReleasedBy) == "" || len(q.ReleasedBy) > 120 {
		return Card{}, invalid("a card needs somebody who releases it", domain.FieldError{Field: "released_by", Value: q.ReleasedBy, Reason: "must be a name of 1 to 120 bytes"})
	}
	in, err := l.mapInput(ctx, q.Study, q.Condition)
	if err != nil {
		return Card{}, err
	}
	c := in.condition.Condition
	if q.ID, err = l.cardID(ctx, q.ID, c); err != nil {
		return Card{}, err
	}
	o, err := l.option(ctx, q.Study, c, q.MinRadius)
	if err != nil {
		return Card{}, err
	}
	if q.MinRadius > 0 && o.Region.Radius < q.MinRadius {
		return Card{}, domain.Errorf(domain.KindRefused, "no region of orientations tolerates a turn of %.3g°: the best one tolerates %.3g°; ask for less, or try more orientations around it",
			q.MinRadius*180/math.Pi, o.Region.Radius*180/math.Pi)
	}
	t, err := l.thingsOf(ctx, []domain.ID{c.Hand}, []domain.ID{c.Item}, []domain.ID{c.Setting})
	if err != nil {
		return Card{}, err
	}
	hand, item := t.hands[c.Hand], t.items[c.Item]
	evidence, err := in.evidence(t)
	if err != nil {
		return Card{}, err
	}
	card := domain.Card{
		ID: q.ID, Study: q.Study, Condition: c, Nominal: o.Nominal, Region: o.Region, Closing: o.Closing, Line: in.study.Line,
		Success: o.Success, SuccessLow: o.Low, SuccessHigh: o.High, Target: in.study.Target,
		Trials: o.Condition.Trials, Held: o.Condition.Held, LastTrial: evidence.last, Digest: evidence.digest,
		Cautions: domain.Cautions("card", &hand, &item), ReleasedBy: strings.TrimSpace(q.ReleasedBy), ReleasedAt: l.Clock.Now(),
		Invented: in.study.Invented || hand.Invented || item.Invented || t.settings[c.Setting].Invented,
	}
	if card.Proof, err = l.cardProof(ctx, &card); err != nil {
		return Card{}, err
	}
	for _, g := range in.study.Strategies {
		if g.Kind == c.Strategy {
			card.Steps = g.Steps
		}
	}
	if err := l.Store.AddCard(ctx, card); err != nil {
		return Card{}, err
	}
	l.changed("card", q.Study, string(q.ID))
	return Card{Card: card, Matches: true}, nil
}

// cardID checks a given ID, or makes a new one out of the condition.
func (l *Lab) cardID(ctx context.Context, given domain.ID, c domain.Condition) (domain.ID, error) {
	if given != "" {
		if !given.Valid() {
			return "", invalid("this card can not be released; mend the fields named", domain.FieldError{Field: "id", Value: string(given), Reason: "must be 1 to 64 lower-case letters, digits and single hyphens"})
		}
		return given, nil
	}
	base := domain.IDFromName(string(c.Item) + "-by-" + string(c.Hand))
	cards, err := l.Store.Cards(ctx)
	if err != nil {
		return "", err
	}
	taken := map[domain.ID]bool{}
	for _, k := range cards {
		taken[k.ID] = true
	}
	return free(base, taken), nil
}

// free returns the ID, with a number behind it when it is taken.
func free(base domain.ID, taken map[domain.ID]bool) domain.ID {
	id := base
	for n := 2; taken[id]; n++ {
		end := fmt.Sprintf("-%d", n)
		id = domain.ID(strings.TrimRight(string(base[:min(len(base), 64-len(end))]), "-") + end)
	}
	return id
}

// evidence is what a card rests on.
type evidence struct {
	digest string
	last   domain.TrialID // newest entry considered
}

// evidence digests the counted trials, the hand, the item, the setting and what the study asks of the line, as
// canonical JSON: fields in the order written here, numbers in their shortest form. Names, notes and times of editing
// are left out, since they change nothing about the choice.
func (in *mapInput) evidence(t things) (evidence, error) {
	type trial struct {
		Root     domain.TrialID
		Newest   domain.TrialID
		Counted  domain.Outcome
		Rotation orient.Rotation
		Closing  float64
		Offset   [3]float64
	}
	c := in.condition.Condition
	hand, item, setting := t.hands[c.Hand], t.items[c.Item], t.settings[c.Setting]
	hand.Name, hand.Note, hand.Meta = "", "", domain.Meta{}
	item.Name, item.Note, item.Meta = "", "", domain.Meta{}
	setting.Name, setting.Note, setting.Meta = "", "", domain.Meta{}
	doc := struct {
		Study     domain.ID
		Condition domain.Condition
		Hand      domain.Hand
		Item      domain.Item
		Setting   domain.Setting
		Line      domain.LineError
		Target    float64
		Trials    []trial
	}{in.study.ID, c, hand, item, setting, in.study.Line, in.study.Target, make([]trial, len(in.trials))}
	var e evidence
	for i := range in.trials {
		t := &in.trials[i]
		doc.Trials[i] = trial{t.Root, t.ID, t.Counted, t.Rotation(), t.Closing, t.Offset}
		e.last = max(e.last, t.ID)
	}
	raw, err := json.Marshal(doc)
	if err != nil {
		return e, domain.Internal("digesting the trials", err)
	}
	sum := sha256.Sum256(raw)
	e.digest = hex.EncodeToString(sum[:])
	return e, nil
}

// Matches says whether the trials and settings that a card came from are still the same.
func (l *Lab) Matches(ctx context.Context, c domain.Card) (bool, error) {
	in, err := l.mapInput(ctx, c.Study, c.Condition)
	if err != nil {
		if domain.KindOf(err) == domain.KindNotFound || domain.KindOf(err) == domain.KindInvalid {
			return false, nil // what it came from is gone
		}
		return false, err
	}
	t, err := l.thingsOf(ctx, []domain.ID{c.Condition.Hand}, []domain.ID{c.Condition.Item}, []domain.ID{c.Condition.Setting})
	if err != nil {
		return false, err
	}
	e, err := in.evidence(t)
	return err == nil && e.digest == c.Digest, err
}

func (l *Lab) withMatch(ctx context.Context, c domain.Card) (Card, error) {
	ok, err := l.Matches(ctx, c)
	return Card{Card: c, Matches: ok}, err
}

// Cards returns all cards, newest first.
func (l *Lab) Cards(ctx context.Context) ([]Card, error) {
	list, err := l.Store.Cards(ctx)
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(list, func(a, b domain.Card) int { return b.ReleasedAt.Compare(a.ReleasedAt) })
	cards := make([]Card, len(list))
	for i, c := range list {
		if cards[i], err = l.withMatch(ctx, c); err != nil {
			return nil, err
		}
	}
	return cards, nil
}

// Card returns one card; KindNotFound if there is none.
func (l *Lab) Card(ctx context.Context, id domain.ID) (Card, error) {
	c, err := l.Store.Card(ctx, id)
	if err != nil {
		return Card{}, err
	}
	return l.withMatch(ctx, c)
}

// Withdraw marks a card as withdrawn; KindRefused if it is already.
func (l *Lab) Withdraw(ctx context.Context, id domain.ID, by, reason string) (Card, error) {
	var fields []domain.FieldError
	for _, f := range []struct{ field, value string }{{"by", by}, {"reason", reason}} {
		if strings.TrimSpace(f.value) == "" || len(f.value) > 1000 {
			fields = append(fields, domain.FieldError{Field: f.field, Value: f.value, Reason: "must not be empty, and at most 1000 bytes long"})
		}
	}
	if len(fields) > 0 {
		return Card{}, invalid("say who takes the card back and why", fields...)
	}
	c, err := l.Store.WithdrawCard(ctx, id, strings.TrimSpace(by), strings.TrimSpace(reason), l.Clock.Now())
	if err != nil {
		return Card{}, err
	}
	l.changed("card", c.Study, string(c.ID))
	return l.withMatch(ctx, c)
}
