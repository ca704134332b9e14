package workflow

import (
	"context"

	"holdfast/domain"
)

// ReleaseCard asks for a pick card; everything else on it is computed here.
type ReleaseCard struct {
	ID         domain.ID // made from item and hand when empty
	Study      domain.ID
	Condition  domain.Condition
	ReleasedBy string
	MinRadius  float64 // rad
}

// Card is a released card, and whether what it came from is still the same.
type Card struct {
	domain.Card
	Matches bool
}

// Release chooses the region and releases a pick card.
func (l *Lab) Release(ctx context.Context, q ReleaseCard) (Card, error) { return Card{}, notYet }

// Cards returns all cards, newest first.
func (l *Lab) Cards(ctx context.Context) ([]Card, error) { return nil, notYet }

// Card returns one card; KindNotFound if there is none.
func (l *Lab) Card(ctx context.Context, id domain.ID) (Card, error) { return Card{}, notYet }

// Withdraw marks a card as withdrawn; KindRefused if it is already.
func (l *Lab) Withdraw(ctx context.Context, id domain.ID, by, reason string) (Card, error) {
	return Card{}, notYet
}
