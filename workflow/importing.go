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

// Importer takes the rows of one file and records them as trials, all or none. Rows are stored in a transaction while
// later ones are still being read; the first fault gives the transaction up, and from then on rows are only checked.
//
// After [Lab.NewImporter], call [Importer.Add] for every row, then [Importer.Finish], and in any case
// [Importer.Abandon]. It is not safe for concurrent use.
type Importer struct {
	lab    *Lab
	kept   *keptStudy
	dryRun bool
	keys   []string // of a dry run
	faults []RowFault
	more   int

	gathered []domain.Trial // the chunk being filled
	places   []place        // where each trial stands in the file
	writing  *importWrite   // nil until the first chunk is full

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

// NewImporter starts an import into a study; a dry run only looks which rows would be new. KindRefused when the study is
// finished.
func (l *Lab) NewImporter(ctx context.Context, study domain.ID, dryRun bool) (*Importer, error) {
	k, err := l.kept(ctx, study)
	if err != nil {
		return nil, err
	}
	if k.study.State == domain.StudyFinished {
		return nil, domain.Errorf(domain.KindRefused, "study %s is finished; open it again to record more", study)
	}
	im := &Importer{lab: l, kept: k, dryRun: dryRun}
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
func (im *Importer) Add(ctx context.Context, r ImportRow) {
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
		im.keep(ctx, r, t)
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
	im.Abandon()
	if len(im.faults) >= MaxRowFaults {
		im.more++
		return
	}
	im.faults = append(im.faults, RowFault{r.Number, r.Line, column, value, reason})
}

// Faults returns the first [MaxRowFaults] faults and how many more there are.
func (im *Importer) Faults() (list []RowFault, more int) { return im.faults, im.more }

// Finish ends the import: the rows are on disk when it returns without error. It must not be called when there are
// faults.
func (im *Importer) Finish(ctx context.Context) (ImportResult, error) {
	result := ImportResult{DryRun: im.dryRun}
	if len(im.faults) > 0 {
		return result, domain.Internal("importing", errors.New("rows with faults can not be stored"))
	}
	id := im.kept.study.ID
	if im.dryRun {
		known, err := im.lab.keys(ctx, id)
		if err != nil {
			return result, err
		}
		for _, key := range im.keys {
			if known[key] {
				result.Repeated++
			} else {
				known[key] = true // a second row with the key repeats the first
				result.Stored++
			}
		}
		return result, nil
	}
	if len(im.gathered) > 0 {
		im.send(ctx)
	}
	if im.writing == nil {
		return result, nil
	}
	w := im.writing
	im.writing = nil
	close(w.chunks)
	<-w.done
	im.lab.studies.forget(id)
	if w.err != nil {
		return result, im.atPlace(w)
	}
	result.Stored, result.Repeated = w.stored, w.repeated
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
