package api

import (
	"context"
	"net/http"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/workflow"
)

// figures ties a wire type to the use cases for one kind of economics. They are there from the start, with revision 0 until
// somebody states them, so they are only read and edited.
type figures[W, D any] struct {
	one, path string
	get       func(context.Context, domain.ID) (D, error)
	save      func(context.Context, D) (D, error)
	toWire    func(D) W
	toDomain  func(W) D
	idOf      func(*D) (*domain.ID, *domain.Meta)
}

func economics[W, D any](s *Server, h huma.API, f figures[W, D]) {
	show := func(d D) *edited[W] {
		_, meta := f.idOf(&d)
		return &edited[W]{ETag: etag(*meta), Body: f.toWire(d)}
	}
	register(s, h, op(http.MethodGet, "/economics/"+f.path+"/{id}", "get-"+f.one+"-economics", "value", "What the "+f.one+" brings and costs; revision 0 until somebody states it", 200), func(ctx context.Context, in *idInput) (*edited[W], error) {
		d, err := f.get(ctx, domain.ID(in.ID))
		if err != nil {
			return nil, err
		}
		return show(d), nil
	})
	register(s, h, op(http.MethodPut, "/economics/"+f.path+"/{id}", "edit-"+f.one+"-economics", "value", "State what the "+f.one+" brings and costs", 200), func(ctx context.Context, in *editInput[W]) (*edited[W], error) {
		rev := 0
		var err error
		if strings.TrimSpace(in.IfMatch) != `"0"` { // the tag of figures that nobody stated yet
			if rev, err = revision(in.IfMatch); err != nil {
				return nil, err
			}
		}
		d := f.toDomain(in.Body)
		id, meta := f.idOf(&d)
		if *id, err = sameID(in.ID, string(*id)); err != nil {
			return nil, err
		}
		meta.Revision = rev
		if d, err = f.save(ctx, d); err != nil {
			if rev == 0 && domain.KindOf(err) == domain.KindConflict { // somebody stated them first
				err = domain.Errorf(domain.KindStale, "these figures were stated meanwhile; load them again and repeat your change")
			}
			return nil, err
		}
		return show(d), nil
	})
}

func (s *Server) valueRoutes(h huma.API) {
	l := s.lab
	economics(s, h, figures[ItemEconomics, domain.ItemEconomics]{
		one: "item", path: "items", get: l.ItemEconomics, save: l.SaveItemEconomics, toWire: fromItemEconomics, toDomain: ItemEconomics.domain,
		idOf: func(e *domain.ItemEconomics) (*domain.ID, *domain.Meta) { return &e.ID, &e.Meta },
	})
	economics(s, h, figures[HandEconomics, domain.HandEconomics]{
		one: "hand", path: "hands", get: l.HandEconomics, save: l.SaveHandEconomics, toWire: fromHandEconomics, toDomain: HandEconomics.domain,
		idOf: func(e *domain.HandEconomics) (*domain.ID, *domain.Meta) { return &e.ID, &e.Meta },
	})
	economics(s, h, figures[LineEconomics, domain.LineEconomics]{
		one: "line", path: "lines", save: l.SaveLineEconomics, toWire: fromLineEconomics, toDomain: LineEconomics.domain,
		get: func(ctx context.Context, id domain.ID) (domain.LineEconomics, error) {
			if id != domain.LineID {
				return domain.LineEconomics{}, domain.Errorf(domain.KindNotFound, "there is one line in a lab, and its name is %s", domain.LineID)
			}
			return l.LineEconomics(ctx)
		},
		idOf: func(e *domain.LineEconomics) (*domain.ID, *domain.Meta) { return &e.ID, &e.Meta },
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/value", "get-value", "value", "What picking an item earns under each condition", 200), func(ctx context.Context, in *struct {
		Study string   `path:"study"`
		Item  string   `query:"item" doc:"May be left out when the study has one"`
		Retry []string `query:"retry" enum:"same,next,person,leave" doc:"What follows each failed attempt, with commas between; left out: as the item's figures say"`
	}) (*struct{ Body ItemValue }, error) {
		q := workflow.ValueQuery{Study: domain.ID(in.Study), Item: domain.ID(in.Item)}
		for _, step := range in.Retry {
			q.Retry = append(q.Retry, domain.RetryStep(step))
		}
		v, err := l.Value(ctx, q)
		if err != nil {
			return nil, err
		}
		return &struct{ Body ItemValue }{fromValue(v)}, nil
	})
	register(s, h, op(http.MethodGet, "/handset", "get-hand-set", "value", "Which few hands serve all items best; events of the topic handset say how far it is", 200), func(ctx context.Context, in *struct {
		MaxHands   int     `query:"max_hands" minimum:"1" maximum:"24" default:"2" doc:"Keep at most so many"`
		Confidence float64 `query:"confidence" minimum:"0" exclusiveMaximum:"1" doc:"With which an automated item must meet its target, 0.5 or more; 0 or left out: the strictest that an item's figures ask for"`
		Trials     int     `query:"trials" minimum:"0" maximum:"1000" default:"20" doc:"Further trials of a pair whose worth is told"`
	}) (*struct{ Body HandSet }, error) {
		set, err := l.HandSet(ctx, workflow.HandSetQuery{MaxHands: in.MaxHands, Confidence: in.Confidence, Trials: in.Trials})
		if err != nil {
			return nil, err
		}
		return &struct{ Body HandSet }{fromHandSet(set, in.MaxHands)}, nil
	})
}
