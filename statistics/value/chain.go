package value

import (
	"math"
	"slices"

	"holdfast/domain"
)

// Failures lists the ways an attempt can miss, in the order of [Shares].
var Failures = [...]domain.Outcome{domain.OutcomeDropped, domain.OutcomeSlipped, domain.OutcomeMissed, domain.OutcomePushed,
	domain.OutcomeDamaged, domain.OutcomeStopped, domain.OutcomeFailed}

const kinds = len(Failures)

const (
	damaged = 4 // places in Failures that the chain treats on their own
	stopped = 5
)

// Shares splits the attempts that did not hold by how they ended, in the order of [Failures]; they sum to 1.
type Shares [kinds]float64

// Attempts describes one way of picking (a strategy with its region) at known probabilities.
type Attempts struct {
	Held        float64 // probability that a first attempt at an item holds, averaged over items
	Lost        Shares  // how the others end
	HeldSeconds float64 // s, mean duration of an attempt that held
	LostSeconds float64 // s, mean duration of one that did not
}

// End says what becomes of an item that the hand gives up.
type End string

// The two ends of a chain that did not hold.
const (
	ToPerson End = "person" // a person picks it; it counts as good
	LeaveIt  End = "leave"  // it goes by unpicked
)

// MaxAttempts bounds a chain.
const MaxAttempts = 20

// Policy says what follows a failed attempt.
type Policy struct {
	// Ways names the way of each attempt, the first included, as indices into the list of ways; 1 to MaxAttempts.
	Ways []int
	End  End
	// Again says after which kinds of failure, in the order of [Failures], the item still lies where the hand can try
	// again. Damage always ends the chain, and a stop for safety always calls a person; their entries are not read.
	Again [kinds]bool
	// Shared is the latent correlation ρ of attempts at the same item, 0 ≤ ρ < 1 (equation 1 in DESIGN.md).
	Shared float64
	// Factor multiplies the odds of success at every further attempt, for items that lie worse after a failure; 1: no change.
	Factor float64
}

// DefaultAgain allows another attempt after the failures that leave the item within reach: all but pushed.
func DefaultAgain() (again [kinds]bool) {
	for i, o := range Failures {
		again[i] = o == domain.OutcomeDropped || o == domain.OutcomeSlipped || o == domain.OutcomeMissed || o == domain.OutcomeFailed
	}
	return again
}

// DefaultShared is the latent correlation that is assumed where no item was tried twice: a bad item stays bad more often
// than not, so that a second attempt is not sold as an independent one. Common practice, no source.
const DefaultShared = 0.3

// Money holds what the ends of a chain bring and cost, in the caller's currency.
type Money struct {
	Good          float64         // an item placed undamaged, by the hand or by a person
	Damaged       float64         // cost of a damaged item: the item itself and cleaning up
	Failed        [kinds]float64  // cost of a failed attempt by its kind, in the order of [Failures]; that of damage is Damaged
	Person        float64         // cost of handing one item to a person
	Attempt       float64         // cost of an attempt: the hand's wear
	LineHour      float64         // cost of an hour of the line, whoever picks
	HandHour      float64         // cost of the hand's wear and price in an hour
	ItemSeconds   float64         // s, added to every item: its arrival
	FailSeconds   float64         // s, added to every failed attempt: going back
	PersonSeconds float64         // s that the line waits for each item handed to a person
	Demand        float64         // items an hour that the line is fed; 0: as many as it can take
	Alternative   PersonAtTheLine // what it is compared with
}

// PersonAtTheLine is the alternative without a hand: a person picks every item, and all turn out good.
type PersonAtTheLine struct {
	ItemSeconds float64 // s an item
	Hour        float64 // cost of the person's hour
}

// Step is one attempt of a chain, as probabilities that an item comes to it and leaves it so.
type Step struct {
	Way                                     int
	Reached, Held, Damaged, Again, GivenUp  float64
	HeldGiven                               float64 // Held / Reached: the chance that this attempt holds when it is made
	giveUpToPerson, giveUpUnpicked, seconds float64
}

// Ends sums a chain over one item.
type Ends struct {
	Held, Damaged, Person, Left float64 // probabilities of the four ends; they sum to 1
	Attempts                    float64 // expected number
	Seconds                     float64 // s, expected time of the line
	Money                       float64 // expected money, without the cost of the hour
	Steps                       []Step
}

// Chain sums the retry chain of one item exactly, up to the quadrature over the items' shared effect (equations 1 to 4 in
// DESIGN.md). The policy's indices must be valid; [Assess] checks them.
func Chain(ways []Attempts, p Policy, m Money) Ends {
	e := Ends{Steps: make([]Step, len(p.Ways))}
	for k, w := range p.Ways {
		e.Steps[k].Way = w
	}
	spread := latentSpread(p.Shared)
	nodes, weights := itemNodes(spread)
	centres := make([]float64, len(ways))
	for i, w := range ways {
		if slices.Contains(p.Ways, i) {
			centres[i] = centre(w.Held, spread)
		}
	}
	for i, z := range nodes {
		alive, bonus := weights[i], 0.0
		for k, w := range p.Ways {
			way, s := &ways[w], &e.Steps[k]
			held := alive * logistic(centres[w]+spread*z+bonus)
			lost := alive - held
			s.Reached += alive
			s.Held += held
			s.Damaged += lost * way.Lost[damaged]
			again := 0.0
			for kind, share := range way.Lost {
				switch {
				case kind == damaged:
				case kind == stopped:
					s.giveUpToPerson += lost * share
				case p.Again[kind] && k+1 < len(p.Ways):
					again += lost * share
				case p.End == ToPerson:
					s.giveUpToPerson += lost * share
				default:
					s.giveUpUnpicked += lost * share
				}
			}
			s.Again += again
			s.seconds += held*way.HeldSeconds + lost*(way.LostSeconds+m.FailSeconds)
			for kind, share := range way.Lost {
				if kind != damaged {
					e.Money -= lost * share * m.Failed[kind]
				}
			}
			alive = again
			bonus += math.Log(p.Factor)
		}
	}
	e.Seconds = m.ItemSeconds
	for k := range e.Steps {
		s := &e.Steps[k]
		s.GivenUp = s.giveUpToPerson + s.giveUpUnpicked
		if s.Reached > 0 {
			s.HeldGiven = s.Held / s.Reached
		}
		e.Held += s.Held
		e.Damaged += s.Damaged
		e.Person += s.giveUpToPerson
		e.Left += s.giveUpUnpicked
		e.Attempts += s.Reached
		e.Seconds += s.seconds
	}
	e.Seconds += e.Person * m.PersonSeconds
	e.Money += (e.Held+e.Person)*m.Good - e.Damaged*m.Damaged - e.Person*m.Person - e.Attempts*m.Attempt
	return e
}

// Hour is what an hour of the line brings.
type Hour struct {
	Items float64 // handled, whatever their end
	Picks float64 // held by the hand and not damaged
	Good  float64 // picks and items that a person took over
	Net   float64 // money, all costs taken off
}

// PerHour applies the renewal-reward theorem: the long-run rate is the expected money of an item over its expected time
// (S. M. Ross, "Introduction to Probability Models", ch. 7, proposition 7.3; from memory). A line that is fed less than
// it can take handles what it is fed.
func (e Ends) PerHour(m Money) Hour {
	items := capacity(e.Seconds, m.Demand)
	return Hour{
		Items: items, Picks: items * e.Held, Good: items * (e.Held + e.Person),
		Net: items*e.Money - m.LineHour - m.HandHour,
	}
}

// PersonHour returns the alternative's hour: every item is picked by a person.
func (m Money) PersonHour() Hour {
	items := capacity(m.Alternative.ItemSeconds, m.Demand)
	return Hour{Items: items, Picks: 0, Good: items, Net: items*m.Good - m.Alternative.Hour - m.LineHour}
}

func capacity(seconds, demand float64) float64 {
	if demand > 0 && demand*seconds < 3600 {
		return demand
	}
	return 3600 / seconds
}
