package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"

	"holdfast/domain"
	"holdfast/statistics/agreement"
)

type agreeCommand struct {
	File  string  `arg:"" help:"CSV file with the columns trial, judge and outcome: a row for each judgement."`
	Level float64 `default:"0.90" help:"Level of the intervals."`
	Most  int     `default:"20" help:"How many trials to list for another look."`
	Seed  uint64  `default:"1" help:"Seed of the resampled trials behind alpha's interval."`
	JSON  bool    `name:"json" help:"Print the result as JSON."`
}

// judgements are what was said: by judge and trial, empty where nothing was.
type judgements struct {
	trials, judges, outcomes []string
	said                     [][]string
}

// agreeReport is what agree tells.
type agreeReport struct {
	Trials   int          `json:"trials"`
	Judges   []string     `json:"judges"`
	Outcomes []string     `json:"outcomes"`
	Level    float64      `json:"level"`
	Alpha    *float64     `json:"alpha,omitempty"`
	Low      *float64     `json:"alpha_low,omitempty"`
	High     *float64     `json:"alpha_high,omitempty"`
	Twice    int          `json:"trials_judged_twice"`
	Pairs    []judgePair  `json:"pairs"`
	Again    []againTrial `json:"look_again"`
}

type judgePair struct {
	First     string      `json:"first"`
	Second    string      `json:"second"`
	Trials    int         `json:"trials"`
	Agreed    float64     `json:"agreed"`
	Kappa     *float64    `json:"kappa,omitempty"`
	Low       *float64    `json:"kappa_low,omitempty"`
	High      *float64    `json:"kappa_high,omitempty"`
	PABAK     float64     `json:"pabak"`
	AC1       float64     `json:"ac1"`
	Misleads  bool        `json:"kappa_misleads"`
	Confusion [][]float64 `json:"confusion"`
}

type againTrial struct {
	Trial    string            `json:"trial"`
	Said     map[string]string `json:"said"`
	Decisive bool              `json:"differ_on_held"`
}

// Run reads the judgements and compares them.
func (c *agreeCommand) Run(env *environment) error {
	j, err := readJudgements(c.File)
	if err != nil {
		return badInput(err)
	}
	r := agreeReport{Trials: len(j.trials), Judges: j.judges, Outcomes: j.outcomes, Level: c.Level, Pairs: []judgePair{}, Again: []againTrial{}}
	a, err := agreement.Krippendorff(j.ratings(), agreement.Nominal, c.Level, c.Seed)
	if err != nil {
		return badInput(err)
	}
	r.Twice, r.Alpha, r.Low, r.High = a.Trials, finite(a.Alpha), finite(a.Low), finite(a.High)
	for i := range j.judges {
		for k := i + 1; k < len(j.judges); k++ {
			table := agreement.Confusion(j.said[i], j.said[k], j.outcomes)
			two, err := agreement.Cohen(table, c.Level)
			if err != nil {
				continue // the two judged no trial in common
			}
			r.Pairs = append(r.Pairs, judgePair{
				First: j.judges[i], Second: j.judges[k], Trials: int(two.N), Agreed: two.Agreed, Kappa: finite(two.Kappa), Low: finite(two.Low), High: finite(two.High),
				PABAK: two.PABAK, AC1: two.AC1, Misleads: two.Trap, Confusion: table,
			})
		}
	}
	for i, t := range agreement.LookAgain(j.said, string(domain.OutcomeHeld)) {
		if i == c.Most {
			break
		}
		said := map[string]string{}
		for k, name := range j.judges {
			if w := j.said[k][t.Trial]; w != "" {
				said[name] = w
			}
		}
		r.Again = append(r.Again, againTrial{j.trials[t.Trial], said, t.Decisive})
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	return r.print(env.stdout)
}

func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// readJudgements reads the file; every fault names its line.
func readJudgements(path string) (*judgements, error) {
	f, in, column, err := openColumnFile(path, []string{"trial", "judge", "outcome"}, "trial, judge and outcome")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	name := filepath.Base(path)
	j := &judgements{}
	said := map[[2]int]string{}
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		line, _ := in.FieldPos(0)
		trial, judge, outcome := strings.TrimSpace(row[column[0]]), strings.TrimSpace(row[column[1]]), strings.ToLower(strings.TrimSpace(row[column[2]]))
		if trial == "" || judge == "" {
			return nil, fmt.Errorf("%s, line %d: trial and judge must both be given", name, line)
		}
		if !domain.Outcome(outcome).Valid() {
			return nil, fmt.Errorf("%s, line %d, column outcome: %q is none of %v", name, line, outcome, domain.Outcomes)
		}
		at := [2]int{place(&j.judges, judge), place(&j.trials, trial)}
		if was, twice := said[at]; twice {
			return nil, fmt.Errorf("%s, line %d: %s judged trial %s already (%s); each judge has one word a trial", name, line, judge, trial, was)
		}
		said[at] = outcome
		if !slices.Contains(j.outcomes, outcome) {
			j.outcomes = append(j.outcomes, outcome)
		}
	}
	if len(j.judges) < 2 {
		return nil, fmt.Errorf("%s holds the judgements of %s; at least two judges can be compared", name, counted(len(j.judges), "judge"))
	}
	slices.SortFunc(j.outcomes, func(a, b string) int {
		return slices.Index(domain.Outcomes, domain.Outcome(a)) - slices.Index(domain.Outcomes, domain.Outcome(b))
	})
	if len(j.outcomes) == 1 {
		// One word alone gives no table; a second, unused one says so.
		j.outcomes = append(j.outcomes, string(domain.OutcomeFailed))
	}
	j.said = make([][]string, len(j.judges))
	for i := range j.said {
		j.said[i] = make([]string, len(j.trials))
	}
	for at, outcome := range said {
		j.said[at[0]][at[1]] = outcome
	}
	return j, nil
}

// place returns the index of a name in a list, which it joins when it is new.
func place(list *[]string, name string) int {
	if i := slices.Index(*list, name); i >= 0 {
		return i
	}
	*list = append(*list, name)
	return len(*list) - 1
}

func (j *judgements) ratings() agreement.Ratings {
	r := make(agreement.Ratings, len(j.judges))
	for i := range r {
		r[i] = make([]float64, len(j.trials))
		for u, w := range j.said[i] {
			r[i][u] = math.NaN()
			if w != "" {
				r[i][u] = float64(slices.Index(j.outcomes, w))
			}
		}
	}
	return r
}

func (r *agreeReport) print(w io.Writer) error {
	if r.Alpha == nil {
		fmt.Fprintf(w, "All judgements of %s are the same word, so there was nothing to agree on.\n", counted(r.Twice, "trial"))
	} else {
		fmt.Fprintf(w, "Krippendorff's alpha %.3f, %.3g %% interval %.3f to %.3f, from %s judged twice at least.\n", *r.Alpha, 100*r.Level, *r.Low, *r.High, counted(r.Twice, "trial"))
	}
	for _, p := range r.Pairs {
		fmt.Fprintf(w, "\n%s and %s judged %s alike in %.1f %%", p.First, p.Second, counted(p.Trials, "trial"), 100*p.Agreed)
		if p.Kappa != nil {
			fmt.Fprintf(w, "; kappa %.3f (%.3g %% interval %.3f to %.3f), PABAK %.3f, AC1 %.3f", *p.Kappa, 100*r.Level, *p.Low, *p.High, p.PABAK, p.AC1)
		}
		fmt.Fprintln(w, ".")
		if p.Misleads {
			fmt.Fprintln(w, "They agree on nearly all, but one outcome is rare: kappa alone would mislead here.")
		}
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
		fmt.Fprintf(t, "%s \\ %s\t%s\t\n", p.First, p.Second, strings.Join(r.Outcomes, "\t"))
		for i, row := range p.Confusion {
			fmt.Fprintf(t, "%s\t", r.Outcomes[i])
			for _, n := range row {
				fmt.Fprintf(t, "%.0f\t", n)
			}
			fmt.Fprintln(t)
		}
		if err := t.Flush(); err != nil {
			return err
		}
	}
	if len(r.Again) > 0 {
		fmt.Fprintln(w, "\nLook again at:")
		for _, a := range r.Again {
			var words []string
			for _, judge := range r.Judges {
				if s := a.Said[judge]; s != "" {
					words = append(words, judge+": "+s)
				}
			}
			fmt.Fprintf(w, "  %s (%s)\n", a.Trial, strings.Join(words, ", "))
		}
	}
	return nil
}
