package api

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"reflect"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"holdfast/domain"
)

// heartbeat is how often a silent stream says that it is alive.
const heartbeat = 15 * time.Second

func (s *Server) eventRoutes(h huma.API) {
	o := op(http.MethodGet, "/events", "watch-events", "lab", "Server-sent events: hello first, then change for everything that changes, resync when events were lost", 200)
	change := h.OpenAPI().Components.Schemas.Schema(reflect.TypeFor[Change](), true, "Change")
	o.Responses = map[string]*huma.Response{"200": {
		Description: "An endless stream. Event change carries a Change as its data; ask again for what you show.",
		Content:     map[string]*huma.MediaType{"text/event-stream": {Schema: change}},
	}}
	register(s, h, o, func(_ context.Context, in *struct {
		Study string `query:"study" doc:"Only this study's events, and those of the catalogue and of cards; empty: all"`
	}) (*huma.StreamResponse, error) {
		return &huma.StreamResponse{Body: func(ctx huma.Context) { s.watch(ctx, domain.ID(in.Study)) }}, nil
	})
}

// watch sends events until the client leaves or the server closes.
func (s *Server) watch(hc huma.Context, study domain.ID) {
	ctx, stop := context.WithCancel(hc.Context())
	defer stop()
	events := s.lab.Bus.Listen(ctx)
	_, w := humago.Unwrap(hc)
	out := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(http.StatusOK)
	send := func(format string, args ...any) bool {
		// Without a deadline a client that stopped reading would keep this goroutine for ever.
		_ = out.SetWriteDeadline(time.Now().Add(10 * time.Second))
		if _, err := fmt.Fprintf(w, format, args...); err != nil {
			return false
		}
		return out.Flush() == nil
	}
	if !send("retry: 2000\nevent: hello\ndata: {}\n\n") {
		return
	}
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	for {
		select {
		case <-s.closing:
			return
		case <-beat.C:
			if !send(": beat\n\n") {
				return
			}
		case e, ok := <-events:
			switch {
			case !ok:
				return
			case e.Topic == "resync":
				if !send("event: resync\ndata: {}\n\n") {
					return
				}
			case study != "" && e.Study != "" && e.Study != study:
			default:
				data, err := json.Marshal(Change{Topic: e.Topic, Study: string(e.Study), ID: e.ID})
				if err != nil || !send("event: change\ndata: %s\n\n", data) {
					return
				}
			}
		}
	}
}
