package fernhollow

import (
	"context"
	"fmt"
	"math/rand/v2"
	"time"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/workflow"
)

// judgedTrials is how many trials of the finished study two more people judged from their recordings.
const judgedTrials = 60

// judge is an invented person with habits: how often each outcome is taken for another.
type judge struct {
	name  string
	skips float64 // share of the trials that this one did not get to
	takes map[domain.Outcome][]taken
}

// taken is a wrong word with its chance.
type taken struct {
	outcome domain.Outcome
	chance  float64
}

// The second judge is careful, the third looks more strictly at dents and can not well tell a slip from a drop.
var judges = []judge{
	{"bench B", 0, map[domain.Outcome][]taken{
		domain.OutcomeHeld:    {{domain.OutcomeDamaged, 0.03}},
		domain.OutcomeSlipped: {{domain.OutcomeDropped, 0.12}, {domain.OutcomeMissed, 0.06}},
		domain.OutcomeDropped: {{domain.OutcomeSlipped, 0.10}, {domain.OutcomeHeld, 0.05}},
		domain.OutcomeMissed:  {{domain.OutcomeSlipped, 0.05}},
		domain.OutcomePushed:  {{domain.OutcomeMissed, 0.10}},
		domain.OutcomeDamaged: {{domain.OutcomeHeld, 0.20}},
	}},
	{"line lead", 0.1, map[domain.Outcome][]taken{
		domain.OutcomeHeld:    {{domain.OutcomeDamaged, 0.10}, {domain.OutcomeDropped, 0.02}},
		domain.OutcomeSlipped: {{domain.OutcomeDropped, 0.35}, {domain.OutcomeMissed, 0.05}},
		domain.OutcomeDropped: {{domain.OutcomeSlipped, 0.30}},
		domain.OutcomeMissed:  {{domain.OutcomePushed, 0.15}},
		domain.OutcomePushed:  {{domain.OutcomeMissed, 0.20}},
		domain.OutcomeDamaged: {{domain.OutcomeHeld, 0.08}},
	}},
}

// say draws the judge's word for a trial that was recorded with an outcome.
func (j *judge) say(recorded domain.Outcome, rng *rand.Rand) domain.Outcome {
	u := rng.Float64()
	for _, t := range j.takes[recorded] {
		if u -= t.chance; u < 0 {
			return t.outcome
		}
	}
	return recorded
}

// judgeAgain has two more people judge some trials of a study, two days later.
func judgeAgain(ctx context.Context, lab *workflow.Lab, clock *bench, study domain.ID) error {
	clock.now = clock.now.Add(48 * time.Hour)
	trials, _, err := lab.ToJudge(ctx, study, judges[0].name, judgedTrials)
	if err != nil {
		return err
	}
	var list []domain.Judgement
	for k, j := range judges {
		rng := numeric.Stream(Seed, "fernhollow judge", k)
		for i := range trials {
			t := &trials[i]
			word := j.say(t.Outcome, rng)
			if rng.Float64() < j.skips {
				continue
			}
			clock.now = clock.now.Add(20 * time.Second)
			list = append(list, domain.Judgement{
				Trial: t.Root, Key: fmt.Sprintf("fernhollow-judge-%d-%d", k, t.Root), Judge: j.name, Outcome: word, JudgedAt: clock.now, Recorded: clock.now,
			})
		}
	}
	_, _, err = lab.Store.Judge(ctx, study, list)
	return err
}
