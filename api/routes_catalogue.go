package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
)

type noInput struct{}

type idInput struct {
	ID string `path:"id" doc:"As in the list"`
}

type listOf[T any] struct{ Body []T }

type edited[T any] struct {
	ETag     string `header:"ETag"`
	Location string `header:"Location"`
	Body     T
}

type createInput[T any] struct{ Body T }

type editInput[T any] struct {
	ID      string `path:"id"`
	IfMatch string `header:"If-Match" doc:"The ETag of what you edit"`
	Body    T
}

// noun ties a wire type to the use cases for one kind of thing in the catalogue.
type noun[W, D any] struct {
	one, many, path string
	list            func(context.Context) ([]D, error)
	get             func(context.Context, domain.ID) (D, error)
	save            func(context.Context, D) (D, error)
	toWire          func(D) W
	toDomain        func(W) D
	idOf            func(*D) (*domain.ID, *domain.Meta)
}

func catalogue[W, D any](s *Server, h huma.API, n noun[W, D]) {
	show := func(d D, created bool) *edited[W] {
		id, meta := n.idOf(&d)
		out := &edited[W]{ETag: etag(*meta), Body: n.toWire(d)}
		if created {
			out.Location = "/api/v1/" + n.path + "/" + string(*id)
		}
		return out
	}
	register(s, h, op(http.MethodGet, "/"+n.path, "list-"+n.many, "catalogue", "List the "+n.many, 200), func(ctx context.Context, _ *noInput) (*listOf[W], error) {
		list, err := n.list(ctx)
		return &listOf[W]{Body: each(list, n.toWire)}, err
	})
	register(s, h, op(http.MethodPost, "/"+n.path, "create-"+n.one, "catalogue", "Add a new "+n.one, 201), func(ctx context.Context, in *createInput[W]) (*edited[W], error) {
		d, err := n.save(ctx, n.toDomain(in.Body))
		if err != nil {
			return nil, err
		}
		return show(d, true), nil
	})
	register(s, h, op(http.MethodGet, "/"+n.path+"/{id}", "get-"+n.one, "catalogue", "Read one "+n.one, 200), func(ctx context.Context, in *idInput) (*edited[W], error) {
		d, err := n.get(ctx, domain.ID(in.ID))
		if err != nil {
			return nil, err
		}
		return show(d, false), nil
	})
	register(s, h, op(http.MethodPut, "/"+n.path+"/{id}", "edit-"+n.one, "catalogue", "Edit one "+n.one, 200), func(ctx context.Context, in *editInput[W]) (*edited[W], error) {
		rev, err := revision(in.IfMatch)
		if err != nil {
			return nil, err
		}
		d := n.toDomain(in.Body)
		id, meta := n.idOf(&d)
		if *id, err = sameID(in.ID, string(*id)); err != nil {
			return nil, err
		}
		meta.Revision = rev
		if d, err = n.save(ctx, d); err != nil {
			return nil, err
		}
		return show(d, false), nil
	})
}

func (s *Server) catalogueRoutes(h huma.API) {
	l := s.lab
	register(s, h, op(http.MethodGet, "/lab", "get-lab", "lab", "What the lab holds and what to do next", 200), func(ctx context.Context, _ *noInput) (*struct{ Body Lab }, error) {
		sum, err := l.Summary(ctx)
		return &struct{ Body Lab }{fromLab(sum)}, err
	})
	catalogue(s, h, noun[Hand, domain.Hand]{
		one: "hand", many: "hands", path: "hands", list: l.Hands, get: l.Hand, save: l.SaveHand, toWire: fromHand, toDomain: Hand.domain,
		idOf: func(d *domain.Hand) (*domain.ID, *domain.Meta) { return &d.ID, &d.Meta },
	})
	catalogue(s, h, noun[Item, domain.Item]{
		one: "item", many: "items", path: "items", list: l.Items, get: l.Item, save: l.SaveItem, toWire: fromItem, toDomain: Item.domain,
		idOf: func(d *domain.Item) (*domain.ID, *domain.Meta) { return &d.ID, &d.Meta },
	})
	catalogue(s, h, noun[Setting, domain.Setting]{
		one: "setting", many: "settings", path: "settings", list: l.Settings, get: l.Setting, save: l.SaveSetting, toWire: fromSetting, toDomain: Setting.domain,
		idOf: func(d *domain.Setting) (*domain.ID, *domain.Meta) { return &d.ID, &d.Meta },
	})
}
