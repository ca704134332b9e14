package main

import (
	"os"
	"path/filepath"

	"holdfast/domain"
	"holdfast/statistics/propose"
	"holdfast/store/sqlite"
)

// fromLab proposes for a study and, unless it is a dry run, adds the runs to its plan. A dry run reads only, so it also works
// beside a running server; a folder without a lab is refused, not made into one.
func (c *nextCommand) fromLab(env *environment) (r nextReport, runs []domain.PlannedRun, err error) {
	open := openLab
	if _, missing := os.Stat(filepath.Join(c.Lab, "lab.db")); c.DryRun || missing != nil {
		open = func(dir string) (*sqlite.Lab, error) {
			return sqlite.OpenReadOnly(dir, sqlite.Options{Clock: systemClock{}})
		}
	}
	store, err := open(c.Lab)
	if err != nil {
		return r, nil, badInput(err)
	}
	defer store.Close()
	lab := newWorkflow(store, labName(c.Lab))
	study, err := lab.StudyByName(env.ctx, c.Study)
	if err != nil {
		return r, nil, badInput(err)
	}
	next, err := lab.Propose(env.ctx, study.ID, c.N)
	if err == nil && !c.DryRun {
		next, err = lab.Extend(env.ctx, study.ID, c.N, next.PlanEnd)
		r.Stored = len(next.Runs)
	}
	if err != nil {
		return r, nil, badInput(err)
	}
	stored := r.Stored
	r = newNextReport(next.Aim.Question, propose.Proposal{Why: next.Why, State: propose.State{
		Known: next.Known, Loss: propose.Loss(next.Loss), Enough: next.Enough, Text: next.Text,
	}}, next.Aim.Tolerance, next.Runs)
	r.Stored, r.Trials = stored, next.Trials
	for _, choice := range next.Choices {
		n := nextChoice{Of: choice.Group, Strategy: string(choice.Condition.Strategy), Success: choice.Success, Low: choice.Low, High: choice.High}
		for _, o := range choice.Order {
			n.Order = append(n.Order, string(o.Condition.Strategy))
		}
		if choice.Nominal != nil {
			n.at(*choice.Nominal)
		}
		r.Choices = append(r.Choices, n)
	}
	r.money(next.Worth)
	return r, next.Runs, nil
}
