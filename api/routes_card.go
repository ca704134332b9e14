package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/workflow"
)

type cardInput struct {
	Card string `path:"card"`
}

type cardOutput struct {
	Location string `header:"Location"`
	Body     Card
}

func (s *Server) cardRoutes(h huma.API) {
	register(s, h, op(http.MethodGet, "/cards", "list-cards", "cards", "List the released cards, newest first", 200), func(ctx context.Context, _ *noInput) (*listOf[Card], error) {
		list, err := s.lab.Cards(ctx)
		return &listOf[Card]{Body: each(list, fromCard)}, err
	})
	register(s, h, op(http.MethodPost, "/cards", "release-card", "cards", "Choose the region and release a card", 201), func(ctx context.Context, in *struct{ Body ReleaseCard }) (*cardOutput, error) {
		b := in.Body
		c, err := s.lab.Release(ctx, workflow.ReleaseCard{
			ID: domain.ID(b.ID), Study: domain.ID(b.Study), ReleasedBy: b.ReleasedBy, MinRadius: b.MinRadiusDeg * degree,
			Condition: domain.Condition{Hand: domain.ID(b.Hand), Item: domain.ID(b.Item), Setting: domain.ID(b.Setting), Strategy: domain.StrategyKind(b.Strategy)},
		})
		if err != nil {
			return nil, err
		}
		return &cardOutput{Location: "/api/v1/cards/" + string(c.ID), Body: fromCard(c)}, nil
	})
	register(s, h, op(http.MethodGet, "/cards/{card}", "get-card", "cards", "Read one card", 200), func(ctx context.Context, in *cardInput) (*cardOutput, error) {
		c, err := s.lab.Card(ctx, domain.ID(in.Card))
		return &cardOutput{Body: fromCard(c)}, err
	})
	register(s, h, op(http.MethodPost, "/cards/{card}/withdraw", "withdraw-card", "cards", "Take a card back; it stays on record", 200), func(ctx context.Context, in *struct {
		Card string `path:"card"`
		Body Withdrawal
	}) (*cardOutput, error) {
		c, err := s.lab.Withdraw(ctx, domain.ID(in.Card), in.Body.By, in.Body.Reason)
		return &cardOutput{Body: fromCard(c)}, err
	})
	s.cardFileRoutes(h)
}
