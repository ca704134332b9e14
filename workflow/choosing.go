package workflow

import (
	"context"

	"holdfast/domain"
	"holdfast/orient"
)

// ChoiceQuery asks what could be handed to the line.
type ChoiceQuery struct {
	Study     domain.ID
	Condition domain.Condition // empty fields: all
	MinRadius float64          // rad, smallest turn that the region must tolerate; 0: no demand
}

// Choice ranks what could be handed to the line.
type Choice struct {
	Blur     float64 // rad
	Target   float64
	Options  []Option // best lower bound first
	Warnings []string
}

// Option is one condition with its best region.
type Option struct {
	Condition          ConditionRow
	Closing            float64 // 0…1
	Nominal            orient.Rotation
	Region             domain.Region
	Success, Low, High float64
	MeetsTarget        bool
	Reason             string
}

// Choose ranks the conditions of a study that have trials by the lower bound of their best region.
func (l *Lab) Choose(ctx context.Context, q ChoiceQuery) (Choice, error) { return Choice{}, notYet }
