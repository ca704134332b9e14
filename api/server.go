package api

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"sync"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"holdfast/domain"
	"holdfast/mechanics/trialsim"
	"holdfast/workflow"
)

// ContractVersion is the version of the HTTP contract. It does not follow the program's version, so that a new build
// with the same contract gives the same document.
const ContractVersion = "1.0.0"

// Options wires a [Server].
type Options struct {
	Lab  *workflow.Lab
	Page http.Handler // everything that is not the API; nil: not found
	Log  *slog.Logger // for the operator; nil: nothing is logged
	// Hands are those that can be simulated.
	Hands []DescribedHand
	// Scenes gives the scene in which a condition's trials are simulated; nil: no condition can be.
	Scenes func(domain.Condition) (*trialsim.Scene, error)
}

// Server answers HTTP requests for one lab.
type Server struct {
	lab      *workflow.Lab
	log      *slog.Logger
	hands    []DescribedHand
	scenes   func(domain.Condition) (*trialsim.Scene, error)
	handler  http.Handler
	contract []byte
	closing  chan struct{}
	rigs     rigStreams // of rigs' sensors
	once     sync.Once
}

// New returns a server with all routes.
func New(o Options) (*Server, error) {
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	s := &Server{lab: o.Lab, log: o.Log, hands: o.Hands, scenes: o.Scenes, closing: make(chan struct{})}
	mux := http.NewServeMux()
	contract, err := s.routes(mux)
	if err != nil {
		return nil, err
	}
	s.contract = contract
	mux.HandleFunc("GET /api/v1/hands/{hand}/touch/live", s.live)
	mux.HandleFunc("GET /api/v1/hands/{hand}/pads/follow", func(w http.ResponseWriter, r *http.Request) { s.follow(w, r, sensorPads) })
	mux.HandleFunc("GET /api/v1/hands/{hand}/strips/follow", func(w http.ResponseWriter, r *http.Request) { s.follow(w, r, sensorStrips) })
	mux.HandleFunc("GET /api/openapi.json", s.serveContract)
	mux.HandleFunc("/api/", notHere)
	if o.Page != nil {
		mux.Handle("/", o.Page)
	} else {
		mux.HandleFunc("/", notHere)
	}
	s.handler = guard(mux)
	return s, nil
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// Close ends the event streams, so that a graceful shutdown does not wait for open pages, and stops long work.
func (s *Server) Close() {
	s.once.Do(func() {
		close(s.closing)
		s.lab.StopWork()
	})
}

// Contract returns the OpenAPI 3.1 document of all routes as indented JSON, the same bytes each time.
func Contract() ([]byte, error) {
	s := &Server{log: slog.New(slog.DiscardHandler), closing: make(chan struct{})}
	return s.routes(http.NewServeMux())
}

func (s *Server) routes(mux *http.ServeMux) (contract []byte, err error) {
	registry := huma.NewMapRegistry("#/components/schemas/", huma.DefaultSchemaNamer)
	config := huma.Config{
		OpenAPI: &huma.OpenAPI{
			OpenAPI: "3.1.0",
			Info: &huma.Info{
				Title:   "Holdfast",
				Version: ContractVersion,
				Description: "Plan trials of a compliant hand, run them, map the success over hand orientations, choose a region " +
					"and hand over a pick card. Angles are degrees, lengths mm, forces N, masses g and times s unless a name says " +
					"otherwise. Errors are problem documents (RFC 9457). Edited things carry an ETag; send it back in If-Match.",
				License: &huma.License{Name: "Apache-2.0", Identifier: "Apache-2.0"},
			},
			Components: &huma.Components{Schemas: registry},
		},
		Formats:                      map[string]huma.Format{"application/json": strictJSON, "json": strictJSON},
		DefaultFormat:                "application/json",
		RejectUnknownQueryParameters: true,
	}
	h := humago.New(mux, config)
	s.catalogueRoutes(h)
	s.closingRoutes(h)
	s.benchRoutes(h)
	s.feedRoutes(h)
	s.touchRoutes(h)
	s.feelRoutes(h)
	s.studyRoutes(h)
	s.trialRoutes(h)
	s.mapRoutes(h)
	s.compareRoutes(h)
	s.factorRoutes(h)
	s.familyRoutes(h)
	s.proofRoutes(h)
	s.toleranceRoutes(h)
	s.nextRoutes(h)
	s.modelRoutes(h)
	s.padRoutes(h)
	s.cardRoutes(h)
	s.valueRoutes(h)
	s.eventRoutes(h)
	raw, err := json.Marshal(h.OpenAPI())
	if err != nil {
		return nil, fmt.Errorf("write the contract: %w", err)
	}
	var b bytes.Buffer
	if err := json.Indent(&b, raw, "", "  "); err != nil {
		return nil, fmt.Errorf("write the contract: %w", err)
	}
	b.WriteByte('\n')
	return b.Bytes(), nil
}

// strictJSON reads one JSON value and nothing after it.
var strictJSON = huma.Format{
	Marshal: huma.DefaultJSONFormat.Marshal,
	Unmarshal: func(data []byte, v any) error {
		err := json.Unmarshal(data, v)
		var syntax *json.SyntaxError
		if errors.As(err, &syntax) {
			return fmt.Errorf("the body is not valid JSON at byte %d: %s", syntax.Offset, syntax.Error())
		}
		return err
	},
}

func (s *Server) serveContract(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(s.contract)
}

func notHere(w http.ResponseWriter, r *http.Request) {
	writeProblem(w, newProblem(http.StatusNotFound, domain.KindNotFound,
		"There is nothing at this address; the contract at /api/openapi.json lists what there is."))
}

func writeProblem(w http.ResponseWriter, p *Problem) {
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(p.Status)
	_ = json.NewEncoder(w).Encode(p)
}

// op describes a route.
func op(method, path, id, tag, summary string, status int) huma.Operation {
	return huma.Operation{
		OperationID: id, Method: method, Path: "/api/v1" + path, Tags: []string{tag}, Summary: summary, DefaultStatus: status,
		MaxBodyBytes: 1 << 20,
	}
}

// register adds a route whose errors are told to the caller by kind and to the log in full.
func register[I, O any](s *Server, h huma.API, o huma.Operation, f func(context.Context, *I) (*O, error)) {
	huma.Register(h, o, func(ctx context.Context, in *I) (*O, error) {
		out, err := f(ctx, in)
		if err == nil {
			return out, nil
		}
		return nil, s.told(ctx, o.OperationID, err)
	})
}

// told turns an error into a problem and logs what is ours to mend.
func (s *Server) told(ctx context.Context, operation string, err error) error {
	problem := asProblem(err)
	var p *Problem
	if errors.As(problem, &p) && p.Status >= 500 && ctx.Err() == nil {
		s.log.Error("request failed", "operation", operation, "error", err)
	}
	return problem
}

// stream is a raw request body that is read as it comes.
type stream struct{ reader io.Reader }

// Resolve takes hold of the body; huma calls it before the handler.
func (b *stream) Resolve(ctx huma.Context) []error {
	b.reader = ctx.BodyReader()
	return nil
}

// optional is a parameter that may be left out.
type optional[T any] struct {
	Value T
	Given bool
}
