package workflow

import (
	"context"
	"sync"

	"holdfast/domain"
)

// record is a study's trials as they count now, with what is asked of them most often. It is never changed.
type record struct {
	mark   int64
	trials []domain.CountedTrial // by root; nil when only the counts are kept
	counts
}

// counts is what lists show of a record.
type counts struct {
	done       map[int]bool // planned runs with a trial that counts
	trials     int          // trials that count, without reference trials
	held       int
	conditions map[domain.Condition]conditionCount // without reference trials
}

type conditionCount struct{ trials, held int }

// recordCache keeps the counts of every study and the trials of the few that were asked for last.
type recordCache struct {
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

func (l *Lab) recordAt(ctx context.Context, study domain.ID, full bool) (*record, error) {
	mark, err := l.Store.Mark(ctx, study)
	if err != nil {
		return nil, err
	}
	if r := l.records.get(study, mark, full); r != nil {
		return r, nil
	}
	// The mark is read before the trials: if entries arrive between, the record is newer than its mark says, and the
	// next question reads it again.
	list, err := l.Store.Counted(ctx, study, domain.TrialFilter{})
	if err != nil {
		return nil, err
	}
	r := &record{mark: mark, trials: list, counts: counts{done: map[int]bool{}, conditions: map[domain.Condition]conditionCount{}}}
	for i := range list {
		t := &list[i]
		if !t.Counted.Counts() {
			continue
		}
		if t.Order > 0 {
			r.done[t.Order] = true
		}
		if t.Reference {
			continue
		}
		c := conditionOf(&t.Trial)
		n := r.conditions[c]
		n.trials++
		r.counts.trials++
		if t.Held() {
			n.held++
			r.held++
		}
		r.conditions[c] = n
	}
	l.records.put(study, r)
	return r, nil
}

func conditionOf(t *domain.Trial) domain.Condition {
	return domain.Condition{Hand: t.Hand, Item: t.Item, Setting: t.Setting, Strategy: t.Strategy}
}
