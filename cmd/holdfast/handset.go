package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"holdfast/statistics/handset"
	"holdfast/store/sqlite"
	"holdfast/workflow"
)

type handsetCommand struct {
	File       string  `arg:"" optional:"" name:"catalogue" help:"CSV file with a row for each item and hand; see docs/formats.md."`
	Lab        string  `placeholder:"DIR" help:"Folder of a lab to take the catalogue from; a server may have it open."`
	MaxHands   int     `required:"" placeholder:"K" help:"How many hands the set may have."`
	Confidence float64 `default:"0.95" help:"With which each automated item must meet its target."`
	Trials     int     `default:"20" placeholder:"N" help:"How many further trials of a pair to weigh, where they could change the answer."`
	Most       int     `default:"10" help:"How many such pairs to list."`
	Out        string  `placeholder:"FILE.csv" help:"File to write each item's hand to; by default none."`
	JSON       bool    `name:"json" help:"Print the answer as JSON."`
}

// handsetReport is what handset tells.
type handsetReport struct {
	Hands       []string     `json:"hands"`
	Net         float64      `json:"net_per_hour"`
	People      float64      `json:"net_per_hour_by_people"`
	Certificate string       `json:"certificate"`
	Evaluated   int          `json:"sets_evaluated"`
	LeftOut     int          `json:"branches_left_out"`
	RunnersUp   []handsetSet `json:"runners_up"`
	Items       []itemHand   `json:"items"`
	Trials      []pairTrials `json:"trials_that_could_change_it"`
	PerPair     int          `json:"trials_per_pair"`
}

type handsetSet struct {
	Hands []string `json:"hands"`
	Net   float64  `json:"net_per_hour"`
}

type itemHand struct {
	Item   string `json:"item"`
	Hand   string `json:"hand"` // empty: a person
	Reason string `json:"reason"`
}

type pairTrials struct {
	Item    string  `json:"item"`
	Hand    string  `json:"hand"`
	Gain    float64 `json:"expected_gain_per_hour"`
	Perfect float64 `json:"gain_per_hour_if_known"`
	Change  float64 `json:"chance_of_change"`
}

// Run chooses the set.
func (c *handsetCommand) Run(env *environment) error {
	if (c.File == "") == (c.Lab == "") {
		return usageError{errors.New("name a file with the catalogue, or a lab with --lab")}
	}
	if c.Lab != "" {
		return c.fromLab(env)
	}
	q, err := readCatalogue(c.File)
	if err != nil {
		return badInput(err)
	}
	q.MaxHands, q.Confidence = c.MaxHands, c.Confidence
	return answerHandset(env, q, c)
}

// fromLab takes the catalogue out of a lab: its items' figures, and for each item and hand the condition that earns most.
func (c *handsetCommand) fromLab(env *environment) error {
	store, err := sqlite.OpenReadOnly(c.Lab, sqlite.Options{Clock: systemClock{}})
	if err != nil {
		return badInput(err)
	}
	defer store.Close()
	lab := newWorkflow(store, labName(c.Lab))
	stop := tellOfMaps(env, lab)
	s, err := lab.HandSet(env.ctx, workflow.HandSetQuery{MaxHands: c.MaxHands, Confidence: c.Confidence, Trials: c.Trials})
	stop()
	if err != nil {
		return badInput(err)
	}
	for _, w := range s.Warnings {
		fmt.Fprintln(env.stderr, "note:", w)
	}
	fmt.Fprintf(env.stderr, "note: Amounts are in %s.\n", s.Line.Currency)
	return c.tell(env, s.Question, s.Answer, s.Worth)
}

// tellOfMaps says how many maps are fitted while a lab's hands are weighed, until what it returns is called.
func tellOfMaps(env *environment, lab *workflow.Lab) (stop func()) {
	ctx, cancel := context.WithCancel(env.ctx)
	events, done := lab.Bus.Listen(ctx), make(chan struct{})
	tell := spaced(env.stderr, time.Now)
	go func() {
		defer close(done)
		for e := range events {
			if e.Topic == "handset" {
				tell("%s maps fitted", e.ID)
			}
		}
	}()
	return func() {
		cancel()
		<-done
	}
}

// answerHandset chooses, prints and writes.
func answerHandset(env *environment, q handset.Question, c *handsetCommand) error {
	if c.Trials < 0 || c.Trials > 1000 {
		return usageError{fmt.Errorf("--trials %d is not understood: write a number from 0 to 1000", c.Trials)}
	}
	a, err := handset.Choose(env.ctx, q)
	if err != nil {
		return badInput(err)
	}
	var worth []handset.Worth
	if c.Trials > 0 {
		if worth, err = handset.WhichTrials(env.ctx, q, a, c.Trials); err != nil {
			return err
		}
	}
	return c.tell(env, q, a, worth)
}

func (c *handsetCommand) tell(env *environment, q handset.Question, a *handset.Answer, worth []handset.Worth) error {
	names := func(hands []int) []string {
		list := make([]string, len(hands))
		for i, h := range hands {
			list[i] = q.Hands[h].Name
		}
		return list
	}
	r := handsetReport{
		Hands: names(a.Hands), Net: a.Value, People: a.People, Certificate: a.Certificate(), Evaluated: a.Evaluated, LeftOut: a.LeftOut,
		RunnersUp: []handsetSet{}, Trials: []pairTrials{}, PerPair: c.Trials,
	}
	for _, s := range a.RunnersUp {
		r.RunnersUp = append(r.RunnersUp, handsetSet{names(s.Hands), s.Value})
	}
	for i, it := range q.Items {
		hand := ""
		if h := a.Assigned[i]; h >= 0 {
			hand = q.Hands[h].Name
		}
		r.Items = append(r.Items, itemHand{it.Name, hand, string(a.Reasons[i])})
	}
	for _, w := range worth[:min(len(worth), max(c.Most, 0))] {
		r.Trials = append(r.Trials, pairTrials{q.Items[w.Item].Name, q.Hands[w.Hand].Name, w.Gain, w.Perfect, w.Change})
	}
	if c.Out != "" {
		if err := writeFile(c.Out, r.writeItems); err != nil {
			return err
		}
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	return r.print(env.stdout)
}

func (r *handsetReport) writeItems(w io.Writer) error {
	out := csv.NewWriter(w)
	_ = out.Write([]string{"item", "hand", "reason"})
	for _, i := range r.Items {
		_ = out.Write([]string{i.Item, i.Hand, i.Reason})
	}
	out.Flush()
	return out.Error()
}

func (r *handsetReport) print(w io.Writer) error {
	if len(r.Hands) == 0 {
		fmt.Fprintf(w, "No hand is worth its cost: people handle everything, net %.4g an hour.\n", r.Net)
	} else {
		fmt.Fprintf(w, "Best set: %s. Net %.4g an hour; people alone %.4g.\n", strings.Join(r.Hands, ", "), r.Net, r.People)
	}
	fmt.Fprintln(w, r.Certificate)
	for _, s := range r.RunnersUp {
		name := strings.Join(s.Hands, ", ")
		if name == "" {
			name = "no hand"
		}
		fmt.Fprintf(w, "  next: %s, %.4g less\n", name, r.Net-s.Net)
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "\nitem\thand\twhy")
	for _, i := range r.Items {
		hand := i.Hand
		if hand == "" {
			hand = "a person"
		}
		fmt.Fprintf(t, "%s\t%s\t%s\n", i.Item, hand, i.Reason)
	}
	if len(r.Trials) > 0 {
		fmt.Fprintf(t, "\nWhat %d more trials could change\n", r.PerPair)
		fmt.Fprintln(t, "item\thand\texpected gain an hour\tchance of a change")
		for _, p := range r.Trials {
			fmt.Fprintf(t, "%s\t%s\t%.3g\t%.3f\n", p.Item, p.Hand, p.Gain, p.Change)
		}
	}
	return t.Flush()
}

// The columns of a catalogue file. Those of an item stand in each of its rows, those of a hand in each of its.
var catalogueColumns = []string{
	"item", "hand", "trials", "held", "target", "net_per_hour_always", "net_per_hour_if_held", "person_net_per_hour", "hand_cost_per_hour", "change_cost_per_hour",
}

// readCatalogue reads a catalogue; every fault names line and column. Pairs without a row were not tested and can't be used.
func readCatalogue(path string) (q handset.Question, err error) {
	f, in, at, err := openColumnFile(path, catalogueColumns, strings.Join(catalogueColumns, ", "))
	if err != nil {
		return q, err
	}
	defer f.Close()
	name := filepath.Base(path)
	var items, hands []string
	type cell struct{ item, hand int }
	pairs := map[cell]handset.Pair{}
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return q, fmt.Errorf("%s: %w", name, err)
		}
		line, _ := in.FieldPos(0)
		word := func(i int) string { return strings.TrimSpace(row[at[i]]) }
		var v [10]float64
		for i := 2; i < len(v); i++ {
			if v[i], err = strconv.ParseFloat(word(i), 64); err != nil {
				return q, fmt.Errorf("%s, line %d, column %s: %q is not a number", name, line, catalogueColumns[i], word(i))
			}
		}
		for i, what := range []string{"trials", "held"} {
			if n := v[2+i]; n < 0 || n > 1e9 || n != float64(int(n)) {
				return q, fmt.Errorf("%s, line %d, column %s: %q is not a count", name, line, what, word(2+i))
			}
		}
		if word(0) == "" || word(1) == "" {
			return q, fmt.Errorf("%s, line %d: item and hand must both be given", name, line)
		}
		item, hand := handset.Item{Name: word(0), Target: v[4], Person: v[7]}, handset.Hand{Name: word(1), Cost: v[8], Change: v[9]}
		k := cell{place(&items, item.Name), place(&hands, hand.Name)}
		if k.item == len(q.Items) {
			q.Items = append(q.Items, item)
		} else if q.Items[k.item] != item {
			return q, fmt.Errorf("%s, line %d: target or person_net_per_hour of %s differ from an earlier row; both belong to the item", name, line, item.Name)
		}
		if k.hand == len(q.Hands) {
			q.Hands = append(q.Hands, hand)
		} else if q.Hands[k.hand] != hand {
			return q, fmt.Errorf("%s, line %d: the costs of %s differ from an earlier row; they belong to the hand", name, line, hand.Name)
		}
		if _, twice := pairs[k]; twice {
			return q, fmt.Errorf("%s, line %d: %s with %s stands there twice", name, line, item.Name, hand.Name)
		}
		pairs[k] = handset.Pair{Trials: int(v[2]), Held: int(v[3]), Intercept: v[5], Slope: v[6]}
	}
	for i := range q.Items {
		row := make([]handset.Pair, len(q.Hands))
		for h := range row {
			row[h] = pairs[cell{i, h}]
		}
		q.Pairs = append(q.Pairs, row)
	}
	return q, nil
}
