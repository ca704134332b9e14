package domain

import (
	"fmt"
	"slices"
	"strings"
)

// RetryStep says what follows a failed attempt.
type RetryStep string

// The steps of a retry policy. A chain that runs out of steps ends as RetryPerson does.
const (
	RetrySame   RetryStep = "same"   // the same strategy again
	RetryNext   RetryStep = "next"   // the next best strategy
	RetryPerson RetryStep = "person" // a person picks the item
	RetryLeave  RetryStep = "leave"  // the item goes by unpicked
)

// ItemEconomics holds what picking an item brings and costs, in the lab's currency. Its ID is the item's.
type ItemEconomics struct {
	ID            ID
	Good          float64             // money, an item placed undamaged
	Damaged       float64             // money, cost of a damaged item: the item and cleaning up
	Failed        float64             // money, cost of a failed attempt
	FailedBy      map[Outcome]float64 // money, where the cost of a failed attempt depends on how it failed; others: Failed
	PersonItem    float64             // money, cost of handing one item to a person during automatic picking
	PersonSeconds float64             // s, a person's time for an item when a person picks all
	ItemSeconds   float64             // s, added to every item: its arrival
	FailSeconds   float64             // s, added to every failed attempt
	WaitSeconds   float64             // s that the line waits for each item handed to a person
	CycleSeconds  float64             // s, an attempt's duration where no trial was timed; 0: not known
	Demand        float64             // items an hour that the line is fed; 0: as many as it can take
	Share         float64             // of the line's hours that the item takes, 0…1
	Target        float64             // success that an automated pick must reach; 0: the study's
	Confidence    float64             // that it is reached, ½ to 1
	Retry         []RetryStep         // what follows each failed attempt
	Shared        *float64            // latent correlation of attempts at one item, 0 to 0.95; nil: assumed
	RetryFactor   float64             // the odds of success at each further attempt are multiplied by it
	Note          string
	Meta
}

// DefaultItemEconomics is where an item without figures starts: no money, one repetition, then a person.
func DefaultItemEconomics(id ID) ItemEconomics {
	return ItemEconomics{ID: id, PersonSeconds: 5, Confidence: 0.95, Retry: []RetryStep{RetrySame, RetryPerson}, RetryFactor: 1}
}

// mostMoney bounds amounts, so that a slip of the keyboard is seen.
const mostMoney = 1e9

// Validate says which fields break a rule. Whether the item exists is the workflow's to check.
func (e *ItemEconomics) Validate() error {
	var c checks
	c.id("item", e.ID)
	for _, f := range []struct {
		field string
		v     float64
	}{{"value_per_good", e.Good}, {"cost_damaged", e.Damaged}, {"cost_failed", e.Failed}, {"cost_person_item", e.PersonItem}} {
		c.between(f.field, f.v, 0, mostMoney, "")
	}
	for _, o := range Outcomes {
		if v, ok := e.FailedBy[o]; ok {
			c.between("cost_failed_by."+string(o), v, 0, mostMoney, "")
		}
	}
	for o := range e.FailedBy {
		if !o.Valid() || o == OutcomeHeld || o == OutcomeVoid || o == OutcomeDamaged {
			c.fail("cost_failed_by", o, "must name dropped, slipped, missed, pushed, stopped or failed")
		}
	}
	if !(e.PersonSeconds > 0 && e.PersonSeconds <= 86400) {
		c.fail("person_s", e.PersonSeconds, "must be above 0 and at most 86400 s")
	}
	c.between("item_s", e.ItemSeconds, 0, 86400, " s")
	c.between("fail_s", e.FailSeconds, 0, 86400, " s")
	c.between("wait_s", e.WaitSeconds, 0, 86400, " s")
	c.between("cycle_s", e.CycleSeconds, 0, 86400, " s")
	c.between("demand_per_hour", e.Demand, 0, 1e6, " items an hour")
	c.between("share", e.Share, 0, 1, "")
	c.between("target", e.Target, 0, 0.9999, "")
	if !(e.Confidence >= 0.5 && e.Confidence < 1) {
		c.fail("confidence", e.Confidence, "must be at least 0.5 and less than 1")
	}
	if e.Shared != nil {
		c.between("shared", *e.Shared, 0, 0.95, "")
	}
	if !(e.RetryFactor > 0 && e.RetryFactor <= 100) {
		c.fail("retry_factor", e.RetryFactor, "must be above 0 and at most 100; 1 changes nothing")
	}
	if err := CheckRetry(e.Retry); err != nil {
		c.fail("retry", strings.Join(words(e.Retry), ","), "%v", err)
	}
	return c.err("item's economics")
}

// CheckRetry says what is wrong with a retry policy.
func CheckRetry(steps []RetryStep) error {
	if len(steps) > 19 {
		return fmt.Errorf("must have at most 19 steps")
	}
	for i, s := range steps {
		switch {
		case !slices.Contains([]RetryStep{RetrySame, RetryNext, RetryPerson, RetryLeave}, s):
			return fmt.Errorf("step %d is %q; each must be same, next, person or leave", i+1, s)
		case (s == RetryPerson || s == RetryLeave) && i+1 < len(steps):
			return fmt.Errorf("step %d, %s, ends the chain; no step can follow it", i+1, s)
		}
	}
	return nil
}

func words[T ~string](list []T) []string {
	out := make([]string, len(list))
	for i, w := range list {
		out[i] = string(w)
	}
	return out
}

// HandEconomics holds what keeping a hand costs. Its ID is the hand's.
type HandEconomics struct {
	ID            ID
	Price         float64 // money
	LifeHours     float64 // h of running after which it is replaced; 0: not by hours
	LifePicks     float64 // attempts after which it is replaced; 0: not by attempts
	ChangeSeconds float64 // s that the line stands while the hand is put on
	Note          string
	Meta
}

// Validate says which fields break a rule.
func (h *HandEconomics) Validate() error {
	var c checks
	c.id("hand", h.ID)
	c.between("price", h.Price, 0, mostMoney, "")
	c.between("life_h", h.LifeHours, 0, 1e7, " h")
	c.between("life_picks", h.LifePicks, 0, 1e12, " picks")
	c.between("change_s", h.ChangeSeconds, 0, 86400, " s")
	if h.Price > 0 && h.LifeHours == 0 && h.LifePicks == 0 {
		c.fail("life_h", 0, "a hand with a price needs a life, in hours or in picks")
	}
	return c.err("hand's economics")
}

// Hour returns the money that an hour of the hand's running costs by its life in hours.
func (h *HandEconomics) Hour() float64 {
	if h.LifeHours == 0 {
		return 0
	}
	return h.Price / h.LifeHours
}

// Attempt returns the money that an attempt costs by its life in picks.
func (h *HandEconomics) Attempt() float64 {
	if h.LifePicks == 0 {
		return 0
	}
	return h.Price / h.LifePicks
}

// LineID is the ID of the one line that a lab calculates for.
const LineID ID = "line"

// LineEconomics holds what the line costs, whatever it picks.
type LineEconomics struct {
	ID         ID      // LineID
	Currency   string  // ISO 4217 code of all amounts; nothing is converted
	Hour       float64 // money, an hour of the line, whoever picks
	Standing   float64 // money lost in an hour that the line stands, for tool changes
	PersonHour float64 // money, an hour of the person who would pick instead
	CycleHours float64 // h, a production cycle, in which each kept hand is put on once
	Note       string
	Meta
}

// DefaultLineEconomics is where a lab without figures starts.
func DefaultLineEconomics() LineEconomics {
	return LineEconomics{ID: LineID, Currency: "EUR", CycleHours: 8}
}

// Validate says which fields break a rule.
func (l *LineEconomics) Validate() error {
	var c checks
	if l.ID != LineID {
		c.fail("id", l.ID, "must be %s", LineID)
	}
	if !CurrencyCode(l.Currency) {
		c.fail("currency", l.Currency, "must be a code of three capital letters (ISO 4217), such as EUR")
	}
	c.between("line_per_hour", l.Hour, 0, mostMoney, "")
	c.between("standing_per_hour", l.Standing, 0, mostMoney, "")
	c.between("person_per_hour", l.PersonHour, 0, mostMoney, "")
	c.between("cycle_h", l.CycleHours, 0.01, 10000, " h")
	return c.err("line's economics")
}

// CurrencyCode says whether the text has the form of an ISO 4217 code: three capital letters.
func CurrencyCode(s string) bool {
	if len(s) != 3 {
		return false
	}
	for _, r := range s {
		if r < 'A' || r > 'Z' {
			return false
		}
	}
	return true
}
