package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/workflow"
)

type nextTrialsInput struct {
	Study   string `path:"study"`
	Trials  int    `query:"trials" minimum:"0" maximum:"200" doc:"How many to propose; the aim's batch when left out"`
	History bool   `query:"history" doc:"Also say what choosing would have lost after fewer trials; takes longer"`
}

func (s *Server) nextRoutes(h huma.API) {
	register(s, h, op(http.MethodGet, "/studies/{study}/next-trials", "get-next-trials", "next trials", "Which trials to make next, and what choosing now would lose", 200), func(ctx context.Context, in *nextTrialsInput) (*struct{ Body NextTrials }, error) {
		n, err := s.lab.Propose(ctx, domain.ID(in.Study), in.Trials)
		if err != nil {
			return nil, err
		}
		out := fromNextTrials(n)
		if in.History {
			points, err := s.lab.LossHistory(ctx, domain.ID(in.Study))
			if err != nil {
				return nil, err
			}
			out.History = each(points, func(p workflow.LossPoint) LossPoint {
				return LossPoint{p.Trials, p.Expected, p.Low, p.High}
			})
		}
		return &struct{ Body NextTrials }{out}, nil
	})
	register(s, h, op(http.MethodPost, "/studies/{study}/next-trials", "add-next-trials", "next trials", "Add the proposed trials to the plan", 201), func(ctx context.Context, in *struct {
		Study string `path:"study"`
		Body  ExtendPlan
	}) (*struct{ Body NextTrials }, error) {
		n, err := s.lab.Extend(ctx, domain.ID(in.Study), in.Body.Trials, in.Body.PlanEnd)
		if err != nil {
			return nil, err
		}
		return &struct{ Body NextTrials }{fromNextTrials(n)}, nil
	})
}

func fromAim(a domain.Aim) Aim {
	a = a.Filled()
	return Aim{Question: a.Question, Batch: a.Batch, FirstCover: a.FirstCover, Tolerance: a.Tolerance, ValuePerPick: a.ValuePerPick}
}

func (a *Aim) domain() domain.Aim {
	if a == nil {
		return domain.Aim{}
	}
	return domain.Aim{Question: a.Question, Batch: a.Batch, FirstCover: a.FirstCover, Tolerance: a.Tolerance, ValuePerPick: a.ValuePerPick}
}

func fromNextTrials(n workflow.NextTrials) NextTrials {
	out := NextTrials{
		Aim: fromAim(n.Aim), Trials: n.Trials, Pending: n.Pending, PlanEnd: n.PlanEnd, Known: n.Known, Loss: NextLoss(n.Loss), LossUnit: "success",
		Worth: n.Worth, Enough: n.Enough, Text: n.Text, Why: n.Why, Invented: n.Invented, Choices: []NextChoice{},
		Runs: each(n.Runs, func(r domain.PlannedRun) PlannedRun { return fromRun(r, false) }),
	}
	if n.Aim.Question == "border" {
		out.LossUnit, out.Worth = "share of orientations", 0
	}
	for _, c := range n.Choices {
		choice := NextChoice{
			Group: c.Group, Hand: string(c.Condition.Hand), Item: string(c.Condition.Item), Setting: string(c.Condition.Setting), Strategy: string(c.Condition.Strategy),
			Success: c.Success, Low: c.Low, High: c.High, Share: c.Share,
		}
		if c.Nominal != nil {
			o := fromRotation(*c.Nominal)
			choice.Orientation = &o
		}
		for _, r := range c.Order {
			choice.Order = append(choice.Order, NextRank{string(r.Condition.Hand), string(r.Condition.Strategy), r.Success})
		}
		out.Choices = append(out.Choices, choice)
	}
	return out
}
