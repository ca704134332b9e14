package workflow

import (
	"context"

	"holdfast/domain"
)

// Summary tells what the lab holds and what to do next.
type Summary struct {
	Name, Version                                  string
	Invented                                       bool
	Hands, Items, Settings, Studies, Trials, Cards int
	Next                                           []Todo // most useful first
}

// Todo is one thing worth doing next.
type Todo struct {
	Kind   string // add-hand, add-item, add-setting, add-study, plan, run, inspect, map, choose or card
	Text   string
	Detail string
	Study  domain.ID
	Card   domain.ID
}

// Summary tells what the lab holds and what to do next.
func (l *Lab) Summary(ctx context.Context) (Summary, error) { return Summary{}, notYet }
