package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"holdfast/domain"
	"holdfast/store/sqlite"
	"holdfast/workflow"
)

// fromLab judges a proof run of a lab by its own record. Nothing is written.
func (c *acceptRunCommand) fromLab(env *environment) (r runReport, err error) {
	if c.File != "" || c.Trials != "" || c.Columns != "" {
		return r, usageError{errors.New("a lab keeps plan and trials itself: leave out the plan, --trials and --columns, or --lab")}
	}
	store, err := sqlite.OpenReadOnly(c.Lab, sqlite.Options{Clock: systemClock{}})
	if err != nil {
		return r, err
	}
	defer store.Close()
	lab := newWorkflow(store, labName(c.Lab))
	studies, err := store.Studies(env.ctx)
	if err != nil {
		return r, err
	}
	var all []workflow.ProofState
	for _, s := range studies {
		proofs, err := lab.Proofs(env.ctx, s.ID)
		if err != nil {
			return r, err
		}
		all = append(all, proofs...)
	}
	names := make([]string, len(all))
	for i, p := range all {
		names[i] = string(p.ID)
		if names[i] == c.Proof || c.Proof == "" && len(all) == 1 {
			return proofReport(&p), nil
		}
	}
	switch {
	case len(all) == 0:
		return r, badInput(fmt.Errorf("%s has no proof run; sign one on the page Prove of a study", c.Lab))
	case c.Proof == "":
		return r, usageError{fmt.Errorf("name the proof run with --proof; the lab has %s", strings.Join(names, ", "))}
	}
	return r, usageError{fmt.Errorf("the lab has no proof run %q; it has %s", c.Proof, strings.Join(names, ", "))}
}

func proofReport(p *workflow.ProofState) runReport {
	r := runReport{
		Proof: string(p.ID), Verdict: p.Verdict, Rule: p.Rule, Trials: p.Trials, Failures: p.Failures, Void: p.Void, Beyond: p.Beyond, Longest: p.Longest,
		Low: p.Low, High: p.High, Level: workflow.IntervalLevel, Mean: p.Posterior.Mean(),
		SignedBy: p.SignedBy, SignedAt: p.SignedAt.UTC().Format(time.RFC3339), Digest: p.Digest, Changed: p.Changed, AsEntered: p.AsEntered,
	}
	if !p.Intact {
		r.Warning = "What was signed does not have its digest any more: somebody changed the plan. Do not rely on this run."
	}
	if p.Trials > 0 {
		success := 1 - float64(p.Failures)/float64(p.Trials)
		r.Success = &success
	}
	return r
}

// source says where the trials come from, and refuses a mixture.
func (c *acceptRunCommand) source() error {
	switch {
	case c.Lab == "" && c.Proof != "":
		return usageError{errors.New("--proof belongs to a lab; name it with --lab")}
	case c.Lab == "" && (c.File == "" || c.Trials == ""):
		return usageError{errors.New("name the signed plan and its --trials, or a lab with --lab")}
	case c.Lab != "" && (c.PriorGood != 1 || c.PriorBad != 1 || c.Level != 0.90):
		return usageError{domain.Errorf(domain.KindInvalid, "a proof run of a lab was signed with its prior, and its interval is stated at %.0f %%: leave out --level and the priors", 100*workflow.IntervalLevel)}
	}
	return nil
}
