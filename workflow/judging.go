package workflow

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdfast/domain"
	"holdfast/statistics/agreement"
)

// AsRecorded stands in lists of judges for the outcome that was recorded at the bench.
const AsRecorded = "as recorded"

// Judge stores a judgement of how a trial ended. repeated says that its key was known and nothing new was stored. It may
// come after the study was finished.
func (l *Lab) Judge(ctx context.Context, study domain.ID, j domain.Judgement) (stored domain.Judgement, repeated bool, err error) {
	j.Judge = strings.TrimSpace(j.Judge)
	j.Recorded = l.Clock.Now()
	if j.JudgedAt.IsZero() {
		j.JudgedAt = j.Recorded
	}
	if err := j.Validate(); err != nil {
		return j, false, err
	}
	if strings.EqualFold(j.Judge, AsRecorded) {
		return j, false, invalid("this judgement can not be accepted; mend the fields named", domain.FieldError{Field: "judge", Value: j.Judge, Reason: "stands for the record itself; write who judges"})
	}
	entries, _, err := l.Store.History(ctx, study, j.Trial)
	if err != nil {
		return j, false, err
	}
	if newest := entries[len(entries)-1]; !newest.Outcome.Counts() {
		return j, false, domain.Errorf(domain.KindRefused, "trial %v is void, so there is nothing to judge", entries[0].ID)
	}
	list, known, err := l.Store.Judge(ctx, study, []domain.Judgement{j})
	if err != nil {
		return j, false, err
	}
	if !known[0] {
		l.changed("judgements", study, list[0].Trial.String())
	}
	return list[0], known[0], nil
}

// Judgements returns all judgements of a study, oldest first.
func (l *Lab) Judgements(ctx context.Context, study domain.ID) ([]domain.Judgement, error) {
	return l.Store.Judgements(ctx, study)
}

// ToJudge lists trials that a judge has not judged, those that others judged first, so that judgements overlap, then those
// with recordings, else in an order that tells nothing of time or outcome. left counts all of them. The trials carry
// their outcomes: whoever shows them hides those.
func (l *Lab) ToJudge(ctx context.Context, study domain.ID, judge string, limit int) (trials []domain.CountedTrial, left int, err error) {
	r, err := l.record(ctx, study)
	if err != nil {
		return nil, 0, err
	}
	given, err := l.Store.Judgements(ctx, study)
	if err != nil {
		return nil, 0, err
	}
	mine, others := map[domain.TrialID]bool{}, map[domain.TrialID]map[string]bool{}
	for _, j := range given {
		if strings.EqualFold(j.Judge, strings.TrimSpace(judge)) {
			mine[j.Trial] = true
			continue
		}
		if others[j.Trial] == nil {
			others[j.Trial] = map[string]bool{}
		}
		others[j.Trial][j.Judge] = true
	}
	trials = []domain.CountedTrial{}
	for i := range r.trials {
		if t := &r.trials[i]; t.Outcome.Counts() && !mine[t.Root] {
			trials = append(trials, *t)
		}
	}
	// A digest of the number shuffles the same way for all judges.
	shuffled := func(t *domain.CountedTrial) uint64 {
		sum := sha256.Sum256(binary.LittleEndian.AppendUint64([]byte(study), uint64(t.Root)))
		return binary.LittleEndian.Uint64(sum[:])
	}
	slices.SortFunc(trials, func(a, b domain.CountedTrial) int {
		if d := len(others[b.Root]) - len(others[a.Root]); d != 0 {
			return d
		}
		if a, b := len(a.Recordings) > 0, len(b.Recordings) > 0; a != b {
			if a {
				return -1
			}
			return 1
		}
		if shuffled(&a) < shuffled(&b) {
			return -1
		}
		return 1
	})
	left = len(trials)
	if limit > 0 {
		trials = trials[:min(limit, left)]
	}
	return trials, left, nil
}

// Agreement says how far the record and the judges of a study agree.
type Agreement struct {
	Level    float64 // of all intervals
	Trials   int     // judged at least once besides the record
	Judges   []JudgeRow
	Outcomes []string // that occur, in the order in which pages show them
	All      AllJudges
	HeldOnly AllJudges // told apart by held or not only, which is what maps rest on
	Pairs    []JudgePair
	Again    []AgainRow // to look at again, most consequential first
	Sentence string
	Warnings []string
}

// JudgeRow is one judge, or the record.
type JudgeRow struct {
	Name         string
	Trials, Held int
}

// AllJudges is the agreement of all judges together.
type AllJudges struct {
	Alpha, Low, High float64  // Krippendorff's α for names, NaN where nothing varied; interval from resampled trials
	Trials           int      // judged twice at least, the record counted
	Fleiss           *float64 // where all judged the same trials
	FleissTrials     int      // judged by all
}

// JudgePair is the agreement of two judges.
type JudgePair struct {
	A, B          string
	Trials        int
	All, HeldOnly agreement.Two
	Table         [][]int // [outcome by A][outcome by B], in the order of Outcomes
}

// AgainRow is a trial to look at again.
type AgainRow struct {
	Trial    domain.CountedTrial
	Said     []Said // the record first
	Disagree float64
	Decisive bool // they differ on whether it was held
}

// Said is what one judge said of a trial.
type Said struct {
	Judge   string
	Outcome domain.Outcome
	Note    string
}

// agreementSeed seeds the resampling of trials.
const agreementSeed = 1

// held and not are the two words of the coarser question.
const heldWord, notHeldWord = "held", "not held"

// Agreement computes how far the record and the judges agree. KindNotFound when nobody has judged.
func (l *Lab) Agreement(ctx context.Context, study domain.ID) (Agreement, error) {
	r, err := l.record(ctx, study)
	if err != nil {
		return Agreement{}, err
	}
	given, err := l.Store.Judgements(ctx, study)
	if err != nil {
		return Agreement{}, err
	}
	s := sayings(r.trials, given)
	if len(s.trials) == 0 {
		return Agreement{}, domain.Errorf(domain.KindNotFound, "nobody has judged a trial of this study a second time yet, so there is no agreement to tell; judge some")
	}
	a := Agreement{Level: IntervalLevel, Trials: len(s.trials), Judges: []JudgeRow{}, Outcomes: s.outcomes(), Pairs: []JudgePair{}, Again: []AgainRow{}, Warnings: []string{}}
	coarse := s.coarse()
	for j, name := range s.judges {
		row := JudgeRow{Name: name}
		for u := range s.trials {
			if s.said[j][u] != "" {
				row.Trials++
			}
			if coarse[j][u] == heldWord {
				row.Held++
			}
		}
		a.Judges = append(a.Judges, row)
	}
	if a.All, err = together(s.said, a.Outcomes); err != nil {
		return Agreement{}, err
	}
	if a.HeldOnly, err = together(coarse, []string{heldWord, notHeldWord}); err != nil {
		return Agreement{}, err
	}
	for i := range s.judges {
		for j := i + 1; j < len(s.judges); j++ {
			p, err := s.pair(i, j, coarse, a.Outcomes)
			if err != nil {
				return Agreement{}, err
			}
			if p.Trials > 0 {
				a.Pairs = append(a.Pairs, p)
			}
		}
	}
	for _, again := range agreement.LookAgain(s.said, string(domain.OutcomeHeld)) {
		row := AgainRow{Trial: *s.trials[again.Trial], Disagree: again.Disagree, Decisive: again.Decisive}
		for j, name := range s.judges {
			if o := s.said[j][again.Trial]; o != "" {
				row.Said = append(row.Said, Said{name, domain.Outcome(o), s.notes[j][again.Trial]})
			}
		}
		a.Again = append(a.Again, row)
	}
	a.tell()
	return a, nil
}

// saidOf is what everybody said of the trials that somebody judged a second time.
type saidOf struct {
	trials      []*domain.CountedTrial
	judges      []string   // the record first
	said, notes [][]string // [judge][trial]; empty: not judged
}

func sayings(record []domain.CountedTrial, given []domain.Judgement) saidOf {
	at, judge := map[domain.TrialID]int{}, map[string]int{}
	s := saidOf{judges: []string{AsRecorded}}
	byRoot := map[domain.TrialID]*domain.CountedTrial{}
	for i := range record {
		if record[i].Outcome.Counts() {
			byRoot[record[i].Root] = &record[i]
		}
	}
	for _, j := range given {
		t := byRoot[j.Trial]
		if t == nil {
			continue // made void since
		}
		if _, seen := at[j.Trial]; !seen {
			at[j.Trial] = len(s.trials)
			s.trials = append(s.trials, t)
		}
		if _, seen := judge[j.Judge]; !seen {
			judge[j.Judge] = len(s.judges)
			s.judges = append(s.judges, j.Judge)
		}
	}
	for range s.judges {
		s.said, s.notes = append(s.said, make([]string, len(s.trials))), append(s.notes, make([]string, len(s.trials)))
	}
	for u, t := range s.trials {
		s.said[0][u], s.notes[0][u] = string(t.Outcome), t.Note
	}
	for _, j := range given {
		if u, ok := at[j.Trial]; ok {
			s.said[judge[j.Judge]][u], s.notes[judge[j.Judge]][u] = string(j.Outcome), j.Note
		}
	}
	return s
}

// outcomes lists those that occur.
func (s *saidOf) outcomes() []string {
	list := []string{}
	for _, o := range domain.Outcomes {
		if slices.ContainsFunc(s.said, func(row []string) bool { return slices.Contains(row, string(o)) }) {
			list = append(list, string(o))
		}
	}
	return list
}

// coarse tells only held from not held.
func (s *saidOf) coarse() [][]string {
	out := make([][]string, len(s.said))
	for j, row := range s.said {
		out[j] = make([]string, len(row))
		for u, o := range row {
			switch {
			case o == string(domain.OutcomeHeld):
				out[j][u] = heldWord
			case o != "":
				out[j][u] = notHeldWord
			}
		}
	}
	return out
}

// together gives the figures over all judges.
func together(said [][]string, words []string) (AllJudges, error) {
	ratings := make(agreement.Ratings, len(said))
	for j, row := range said {
		ratings[j] = make([]float64, len(row))
		for u, w := range row {
			ratings[j][u] = math.NaN()
			if i := slices.Index(words, w); i >= 0 {
				ratings[j][u] = float64(i)
			}
		}
	}
	k, err := agreement.Krippendorff(ratings, agreement.Nominal, IntervalLevel, agreementSeed)
	if err != nil {
		return AllJudges{}, err
	}
	a := AllJudges{Alpha: k.Alpha, Low: k.Low, High: k.High, Trials: k.Trials}
	var counts [][]int
	for u := range said[0] {
		row, full := make([]int, max(2, len(words))), true
		for j := range said {
			i := slices.Index(words, said[j][u])
			if i < 0 {
				full = false
				break
			}
			row[i]++
		}
		if full {
			counts = append(counts, row)
		}
	}
	a.FleissTrials = len(counts)
	if len(counts) > 0 && len(said) > 2 {
		f, err := agreement.Fleiss(counts)
		if err != nil {
			return a, err
		}
		if !math.IsNaN(f) {
			a.Fleiss = &f
		}
	}
	return a, nil
}

func (s *saidOf) pair(i, j int, coarse [][]string, outcomes []string) (JudgePair, error) {
	p := JudgePair{A: s.judges[i], B: s.judges[j]}
	table := agreement.Confusion(s.said[i], s.said[j], outcomes)
	for _, row := range table {
		counts := make([]int, len(row))
		for k, v := range row {
			counts[k] = int(v)
			p.Trials += int(v)
		}
		p.Table = append(p.Table, counts)
	}
	if p.Trials == 0 {
		return p, nil
	}
	if len(table) == 1 { // one outcome only: a table of one row says nothing of chance
		table = agreement.Table{{table[0][0], 0}, {0, 0}}
	}
	var err error
	if p.All, err = agreement.Cohen(table, IntervalLevel); err != nil {
		return p, err
	}
	p.HeldOnly, err = agreement.Cohen(agreement.Confusion(coarse[i], coarse[j], []string{heldWord, notHeldWord}), IntervalLevel)
	return p, err
}

// tell says in words what the figures say.
func (a *Agreement) tell() {
	decisive := 0
	for _, r := range a.Again {
		if r.Decisive {
			decisive++
		}
	}
	judged := fmt.Sprintf("%d trials were", a.Trials)
	if a.Trials == 1 {
		judged = "1 trial was"
	}
	a.Sentence = fmt.Sprintf("%s judged a second time. All agree on %d of them; on %d they differ on whether it was held.", judged, a.Trials-len(a.Again), decisive)
	trap := slices.ContainsFunc(a.Pairs, func(p JudgePair) bool { return p.All.Trap || p.HeldOnly.Trap })
	if trap {
		a.Warnings = append(a.Warnings, "Two judges agree on nearly all trials and still have a low κ, because one outcome is rare. Go by the share agreed and the prevalence-adjusted figures; κ alone would mislead.")
	}
	if a.Trials < fewTrials {
		a.Warnings = append(a.Warnings, fmt.Sprintf("Only %d trials were judged again; the intervals are wide for a reason.", a.Trials))
	}
	if decisive > 0 {
		a.Warnings = append(a.Warnings, "A trial is counted as it was recorded, whatever judges say. Where the record is wrong, correct it.")
	}
}
