package workflow

import (
	"context"
	"maps"
	"slices"
	"sync"

	"holdfast/domain"
)

// record is a study's trials as they count now, with what is asked of them most often. It is never changed.
type record struct {
	mark     int64
	position domain.Position
	trials   []domain.CountedTrial // by root; nil when only the counts are kept
	counts
}

// counts is what lists show of a record.
type counts struct {
	done       doneRuns // planned runs with a trial that counts
	trials     int      // trials that count, without reference trials and those of proof runs
	held       int
	conditions map[domain.Condition]conditionCount // without reference trials and those of proof runs
}

type conditionCount struct{ trials, held int }

// recordCache keeps the counts of every study and the trials of the few that were asked for last.
type recordCache struct {
	reading sync.Mutex // held while the newest record of any study is lengthened

	mu     sync.Mutex
	counts map[domain.ID]*record // trials nil
	full   []keptRecord          // oldest first
}

type keptRecord struct {
	study  domain.ID
	record *record
}

// mostRecords is how many studies' trials are kept in memory.
const mostRecords = 3

func (c *recordCache) get(study domain.ID, mark int64, full bool) *record {
	c.mu.Lock()
	defer c.mu.Unlock()
	for i, k := range c.full {
		if k.study == study && k.record.mark == mark {
			c.full = append(append(c.full[:i:i], c.full[i+1:]...), k)
			return k.record
		}
	}
	if r := c.counts[study]; !full && r != nil && r.mark == mark {
		return r
	}
	return nil
}

// newest returns the record of the study that was kept last, with its trials; nil: none is kept.
func (c *recordCache) newest(study domain.ID) *record {
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, k := range c.full {
		if k.study == study {
			return k.record
		}
	}
	return nil
}

func (c *recordCache) put(study domain.ID, r *record) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.counts == nil {
		c.counts = map[domain.ID]*record{}
	}
	c.counts[study] = &record{mark: r.mark, counts: r.counts}
	kept := make([]keptRecord, 0, mostRecords)
	for _, k := range c.full {
		if k.study != study {
			kept = append(kept, k)
		}
	}
	kept = append(kept, keptRecord{study, r})
	c.full = kept[max(0, len(kept)-mostRecords):]
}

// record returns a study's trials as they count now.
func (l *Lab) record(ctx context.Context, study domain.ID) (*record, error) {
	return l.recordAt(ctx, study, true)
}

// counts returns a study's counts.
func (l *Lab) counts(ctx context.Context, study domain.ID) (*record, error) {
	return l.recordAt(ctx, study, false)
}

// recordAt brings what is kept up to date: after one more trial it reads that trial, not the hundred thousand before it.
func (l *Lab) recordAt(ctx context.Context, study domain.ID, full bool) (*record, error) {
	mark, err := l.Store.Mark(ctx, study)
	if err != nil {
		return nil, err
	}
	if r := l.records.get(study, mark, full); r != nil {
		return r, nil
	}
	// One reader at a time: two that start from the same kept record would both lengthen its list.
	l.records.reading.Lock()
	defer l.records.reading.Unlock()
	kept := l.records.newest(study)
	if kept == nil {
		kept = &record{}
	}
	changed, now, err := l.Store.Changes(ctx, study, kept.position)
	if err != nil {
		return nil, err
	}
	// The mark was read before the trials: if entries arrived between, the record is newer than its mark says, and the
	// next question finds nothing new to read.
	r := kept.with(changed)
	r.mark, r.position = mark, now
	l.records.put(study, r)
	return r, nil
}

// with returns the record after changes, which are ordered by root. What r holds stays as it is; the lists may share
// memory, since only the newest record of a study is ever lengthened.
func (r *record) with(changed []domain.CountedTrial) *record {
	n := &record{trials: r.trials, counts: r.counts}
	n.conditions = maps.Clone(r.conditions)
	if n.conditions == nil {
		n.conditions = map[domain.Condition]conditionCount{}
	}
	n.done = slices.Clone(r.done)
	old := len(r.trials)
	at := make([]int, len(changed)) // −1: a new root
	corrected := false
	// What was is taken out of all counts before anything new is put in: one reading may move a planned run from one
	// trial to another.
	for i := range changed {
		k, known := old, false
		if old > 0 && changed[i].Root <= r.trials[old-1].Root {
			k, known = slices.BinarySearchFunc(r.trials, changed[i].Root, func(t domain.CountedTrial, root domain.TrialID) int { return int(t.Root - root) })
		}
		at[i] = -1
		if known {
			at[i], corrected = k, true
			n.count(&r.trials[k], -1)
		}
	}
	if corrected {
		n.trials = slices.Clone(n.trials)
	}
	for i := range changed {
		if at[i] >= 0 {
			n.trials[at[i]] = changed[i]
		} else {
			n.trials = append(n.trials, changed[i])
		}
		n.count(&changed[i], 1)
	}
	return n
}

// count takes a trial in (1) or out (−1).
func (c *counts) count(t *domain.CountedTrial, by int) {
	if !t.Counted.Counts() {
		return
	}
	if t.Order > 0 {
		c.done.set(t.Order, by > 0)
	}
	if t.Apart() {
		return
	}
	condition := conditionOf(&t.Trial)
	n := c.conditions[condition]
	n.trials += by
	c.trials += by
	if t.Held() {
		n.held += by
		c.held += by
	}
	if n.trials == 0 {
		delete(c.conditions, condition)
		return
	}
	c.conditions[condition] = n
}

func conditionOf(t *domain.Trial) domain.Condition {
	return domain.Condition{Hand: t.Hand, Item: t.Item, Setting: t.Setting, Strategy: t.Strategy}
}

// doneRuns are the planned runs, by order, with a trial that counts.
type doneRuns []bool

func (d doneRuns) has(order int) bool { return order < len(d) && d[order] }

func (d doneRuns) count() (n int) {
	for _, is := range d {
		if is {
			n++
		}
	}
	return n
}

func (d *doneRuns) set(order int, done bool) {
	for len(*d) <= order {
		*d = append(*d, false)
	}
	(*d)[order] = done
}
