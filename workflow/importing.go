package workflow

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"holdfast/domain"
)

// ImportRow is one trial as a file tells it. Hand, item, setting and strategy of the trial are as written, and empty
// where the file gives none.
type ImportRow struct {
	Number     int // data row of the file, from 1
	Line       int // line of the file, from 1; 0: it has no lines
	HasClosing bool
	Trial      domain.Trial
}

// RowFault says what is wrong with one row of an import.
type RowFault struct {
	Row, Line int
	Column    string // as the standard names it
	Value     string
	Reason    string
}

// ImportResult tells what an import did, or would do.
type ImportResult struct {
	Stored   int
	Repeated int // trials whose key was already in the record
	DryRun   bool
}

// MaxRowFaults is how many faults an [Importer] keeps; the rest are counted.
const MaxRowFaults = 50

// Importer gathers the rows of one file and records them as trials, all or none.
type Importer struct {
	lab    *Lab
	kept   *keptStudy
	trials []domain.Trial
	faults []RowFault
	more   int

	hands, items, settings, strategies names
}

// names resolves what a file calls things to the IDs of a study.
type names struct {
	column string
	ids    []string
	known  map[string]string // as written → ID; empty when it is none of the study's
}

// resolve returns the ID, or "" when the text names none. An empty text means the only one there is.
func (n *names) resolve(text string) (id string, ok bool) {
	if text == "" {
		return only(n.ids), len(n.ids) == 1
	}
	id, seen := n.known[text]
	if !seen {
		// A name and its ID differ by case, accents and blanks only.
		if folded := string(domain.IDFromName(text)); slices.Contains(n.ids, folded) {
			id = folded
		}
		n.known[text] = id
	}
	return id, id != ""
}

// NewImporter starts an import into a study. KindRefused when the study is finished.
func (l *Lab) NewImporter(ctx context.Context, study domain.ID) (*Importer, error) {
	k, err := l.kept(ctx, study)
	if err != nil {
		return nil, err
	}
	if k.study.State == domain.StudyFinished {
		return nil, domain.Errorf(domain.KindRefused, "study %s is finished; open it again to record more", study)
	}
	im := &Importer{lab: l, kept: k}
	s := k.study
	t, err := l.thingsOf(ctx, s.Hands, s.Items, s.Settings)
	if err != nil {
		return nil, err
	}
	im.hands = newNames("hand", words(s.Hands), func(id string) string { return t.hands[domain.ID(id)].Name })
	im.items = newNames("item", words(s.Items), func(id string) string { return t.items[domain.ID(id)].Name })
	im.settings = newNames("setting", words(s.Settings), func(id string) string { return t.settings[domain.ID(id)].Name })
	im.strategies = newNames("strategy", words(kinds(s)), func(id string) string { return id })
	return im, nil
}

func newNames(column string, ids []string, name func(string) string) names {
	n := names{column: column, ids: ids, known: map[string]string{}}
	for _, id := range ids {
		n.known[name(id)] = id
	}
	for _, id := range ids { // an ID goes before another thing's name
		n.known[id] = id
	}
	return n
}

// Add takes one row. What is wrong with it is told by [Importer.Faults].
func (im *Importer) Add(r ImportRow) {
	t := r.Trial
	t.Study = im.kept.study.ID
	t.Hand = domain.ID(im.name(&im.hands, r, string(t.Hand)))
	t.Item = domain.ID(im.name(&im.items, r, string(t.Item)))
	t.Setting = domain.ID(im.name(&im.settings, r, string(t.Setting)))
	t.Strategy = domain.StrategyKind(im.name(&im.strategies, r, string(t.Strategy)))
	if !r.HasClosing {
		if levels := im.kept.study.ClosingLevels; len(levels) == 1 {
			t.Closing = levels[0]
		} else {
			im.fault(r, "closing", "", fmt.Sprintf("is missing, and the study has %d levels", len(levels)))
		}
	}
	var e *domain.Error
	if errors.As(t.Validate(), &e) {
		for _, f := range e.Fields {
			im.fault(r, f.Field, f.Value, f.Reason)
		}
	}
	if len(im.faults) == 0 {
		im.trials = append(im.trials, t)
	}
}

func (im *Importer) name(n *names, r ImportRow, text string) string {
	id, ok := n.resolve(text)
	switch {
	case ok:
	case text == "":
		im.fault(r, n.column, "", fmt.Sprintf("is missing, and the study has %d: %s", len(n.ids), list(n.ids)))
	default:
		im.fault(r, n.column, text, "is not in this study, which has "+list(n.ids))
	}
	return id
}

func (im *Importer) fault(r ImportRow, column, value, reason string) {
	im.trials = nil // none will be stored
	if len(im.faults) >= MaxRowFaults {
		im.more++
		return
	}
	im.faults = append(im.faults, RowFault{r.Number, r.Line, column, value, reason})
}

// Faults returns the first [MaxRowFaults] faults and how many more there are.
func (im *Importer) Faults() (list []RowFault, more int) { return im.faults, im.more }

// Finish records the rows, all or none; a dry run only looks which of them would be new. It must not be called when
// there are faults.
func (im *Importer) Finish(ctx context.Context, dryRun bool) (ImportResult, error) {
	result := ImportResult{DryRun: dryRun}
	if len(im.faults) > 0 {
		return result, domain.Internal("importing", errors.New("rows with faults can not be stored"))
	}
	if len(im.trials) == 0 {
		return result, nil
	}
	id := im.kept.study.ID
	if dryRun {
		known, err := im.lab.keys(ctx, id)
		if err != nil {
			return result, err
		}
		for i := range im.trials {
			key := im.trials[i].Key
			if known[key] {
				result.Repeated++
			} else {
				known[key] = true // a second row with the key repeats the first
				result.Stored++
			}
		}
		return result, nil
	}
	now := im.lab.Clock.Now()
	for i := range im.trials {
		im.trials[i].RecordedAt = now
	}
	_, repeated, err := im.lab.Store.Append(ctx, id, im.trials)
	im.lab.studies.forget(id)
	if err != nil {
		return result, err
	}
	for _, again := range repeated {
		if again {
			result.Repeated++
		} else {
			result.Stored++
		}
	}
	if result.Stored > 0 {
		im.lab.changed("study", id, string(id))
		im.lab.changed("trials", id, "")
	}
	return result, nil
}

// keys lists the idempotency keys of all entries of a study.
func (l *Lab) keys(ctx context.Context, study domain.ID) (map[string]bool, error) {
	r, err := l.record(ctx, study)
	if err != nil {
		return nil, err
	}
	keys := make(map[string]bool, len(r.trials))
	for i := range r.trials {
		t := &r.trials[i]
		keys[t.Key] = true
		if t.Entries > 1 {
			entries, _, err := l.Store.History(ctx, study, t.ID)
			if err != nil {
				return nil, err
			}
			for _, e := range entries {
				keys[e.Key] = true
			}
		}
	}
	return keys, nil
}

// StudyByName finds a study by its ID or its name; KindNotFound tells which there are.
func (l *Lab) StudyByName(ctx context.Context, name string) (domain.Study, error) {
	list, err := l.Store.Studies(ctx)
	if err != nil {
		return domain.Study{}, err
	}
	var have []string
	for _, s := range list {
		if string(s.ID) == name || strings.EqualFold(s.Name, name) {
			return s, nil
		}
		have = append(have, string(s.ID))
	}
	if len(have) == 0 {
		return domain.Study{}, domain.Errorf(domain.KindNotFound, "there is no study %q: this lab has none yet; start one on the page first", name)
	}
	return domain.Study{}, domain.Errorf(domain.KindNotFound, "there is no study %q; this lab has %s", name, strings.Join(have, ", "))
}
