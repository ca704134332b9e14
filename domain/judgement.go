package domain

import "time"

// Judgement is how somebody says that a trial ended, from its recording or from the item, without seeing how it was
// recorded. It never changes how the trial counts: it shows how far people agree, and which trials to look at again. The
// newest judgement of a judge on a trial counts.
type Judgement struct {
	ID       int64   // set by the store, ascending
	Trial    TrialID // any entry of the trial's chain; the store keeps the root
	Key      string  // idempotency key
	Judge    string  // who judges
	Outcome  Outcome // how the trial ended; never void: a trial that can not be judged is left out
	Note     string
	JudgedAt time.Time
	Recorded time.Time // when the entry was stored
}

// Validate says which fields break a rule.
func (j *Judgement) Validate() error {
	var c checks
	if j.Trial <= 0 {
		c.fail("trial", j.Trial, "must be the number of a recorded trial")
	}
	if j.Key == "" || len(j.Key) > 200 {
		c.fail("key", j.Key, "must be 1 to 200 bytes: any text that is new for each judgement, repeated when a request is sent again")
	}
	c.name("judge", j.Judge)
	if !j.Outcome.Valid() || !j.Outcome.Counts() {
		c.fail("outcome", j.Outcome, "must be one of held, dropped, slipped, missed, pushed, damaged, stopped, failed; leave out a trial that can not be judged")
	}
	if len(j.Note) > 4000 {
		c.fail("note", len(j.Note), "must be at most 4000 bytes long")
	}
	return c.err("judgement")
}
