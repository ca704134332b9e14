package workflow

import (
	"context"
	"fmt"

	"holdfast/domain"
)

// Summary tells what the lab holds and what to do next.
type Summary struct {
	Name, Version                                  string
	Invented                                       bool // some of it is demonstration data
	Hands, Items, Settings, Studies, Trials, Cards int
	Next                                           []Todo // most useful first
}

// Todo is one thing worth doing next.
type Todo struct {
	Kind   string // add-hand, add-item, add-setting, add-study, plan, run, inspect, map, choose or card
	Text   string
	Detail string
	Study  domain.ID
	Card   domain.ID
}

// mostTodos bounds the list: a list of everything is a list of nothing.
const mostTodos = 6

// Summary tells what the lab holds and what to do next.
func (l *Lab) Summary(ctx context.Context) (Summary, error) {
	s := Summary{Name: l.Name, Version: l.Version, Next: []Todo{}}
	hands, err := l.Store.Hands(ctx)
	if err != nil {
		return s, err
	}
	items, err := l.Store.Items(ctx)
	if err != nil {
		return s, err
	}
	settings, err := l.Store.Settings(ctx)
	if err != nil {
		return s, err
	}
	studies, err := l.Studies(ctx)
	if err != nil {
		return s, err
	}
	cards, err := l.Cards(ctx)
	if err != nil {
		return s, err
	}
	s.Hands, s.Items, s.Settings, s.Studies, s.Cards = len(hands), len(items), len(settings), len(studies), len(cards)
	for _, h := range hands {
		s.Invented = s.Invented || h.Invented
	}
	for _, row := range studies {
		s.Trials += row.Trials
		s.Invented = s.Invented || row.Study.Invented
	}
	for _, add := range []struct {
		have       int
		kind, what string
		why        string
	}{
		{len(hands), "add-hand", "Add your hand", "Its size, its symmetry and what drives it decide which orientations differ."},
		{len(items), "add-item", "Add the item to pick", "Its size, mass and symmetry, and the force that damages it."},
		{len(settings), "add-setting", "Add what surrounds the item", "A table, a tray wall or an edge can help the hand."},
	} {
		if add.have == 0 {
			s.Next = append(s.Next, Todo{Kind: add.kind, Text: add.what, Detail: add.why})
		}
	}
	if len(s.Next) == 0 && len(studies) == 0 {
		s.Next = append(s.Next, Todo{Kind: "add-study", Text: "Start your first study", Detail: "Ask from which side, with which strategy and how far to close."})
	}
	if err := l.studyTodos(ctx, &s, studies, cards); err != nil {
		return s, err
	}
	s.Next = s.Next[:min(len(s.Next), mostTodos)]
	return s, nil
}

// studyTodos lists what each study waits for: to go on with what is begun comes before starting something new.
func (l *Lab) studyTodos(ctx context.Context, s *Summary, studies []StudyRow, cards []Card) error {
	var run, look, decide, plan []Todo
	carded := map[domain.ID]bool{}
	for _, c := range cards {
		if !c.Withdrawn.IsZero() {
			continue
		}
		carded[c.Study] = true
		if !c.Matches {
			decide = append(decide, Todo{Kind: "card", Card: c.ID, Study: c.Study, Text: fmt.Sprintf("Look at card %s again", c.ID),
				Detail: "The trials or settings that it came from have changed since it was released."})
		}
	}
	for _, row := range studies {
		id, name, left := row.Study.ID, row.Study.Name, row.Planned-row.Done
		switch {
		case row.Study.State == domain.StudyDraft && row.Trials == 0:
			plan = append(plan, Todo{Kind: "plan", Study: id, Text: "Draw up the plan of " + name, Detail: "Orientations are spread evenly and the order is drawn at random."})
			continue
		case row.Study.State == domain.StudyPlanned:
			run = append(run, Todo{Kind: "run", Study: id, Text: "Run the first trial of " + name, Detail: fmt.Sprintf("%d runs are planned.", row.Planned)})
			continue
		case row.Study.State == domain.StudyRunning && left > 0:
			run = append(run, Todo{Kind: "run", Study: id, Text: "Go on with " + name, Detail: fmt.Sprintf("%d of %d planned runs are left.", left, row.Planned)})
		}
		n, err := l.uninspected(ctx, row.Study)
		if err != nil {
			return err
		}
		if n > 0 {
			look = append(look, Todo{Kind: "inspect", Study: id, Text: "Look at the items of " + name + " again",
				Detail: fmt.Sprintf("Damage shows late: %d held items are not inspected yet.", n)})
		}
		if row.Trials > 0 {
			look = append(look, Todo{Kind: "map", Study: id, Text: "See the map of " + name, Detail: fmt.Sprintf("%d of %d trials held.", row.Held, row.Trials)})
		}
		if row.Trials >= fewTrials && left == 0 && !carded[id] {
			decide = append(decide, Todo{Kind: "choose", Study: id, Text: "Choose a region from " + name, Detail: "All planned runs are done and no card is released from it."})
		}
	}
	s.Next = append(s.Next, run...)
	s.Next = append(s.Next, decide...)
	s.Next = append(s.Next, look...)
	s.Next = append(s.Next, plan...)
	return nil
}

// uninspected counts held trials of items whose damage shows late that nobody has looked at again.
func (l *Lab) uninspected(ctx context.Context, s domain.Study) (int, error) {
	late, err := l.lateItems(ctx, s.Items)
	if err != nil {
		return 0, err
	}
	any := false
	for _, is := range late {
		any = any || is
	}
	if !any {
		return 0, nil
	}
	r, err := l.record(ctx, s.ID)
	if err != nil {
		return 0, err
	}
	n := 0
	for i := range r.trials {
		if t := &r.trials[i]; t.Held() && late[t.Item] && t.Inspection == "" && !t.Reference {
			n++
		}
	}
	return n, nil
}
