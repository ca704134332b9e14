package api

import (
	"context"
	"io"
	"mime"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"holdfast/domain"
	"holdfast/report"
	"holdfast/tables"
)

func (s *Server) planFileRoutes(h huma.API) {
	register(s, h, fileOp("/studies/{study}/plan.csv", "get-plan-csv", "plan", "The plan as CSV", "text/csv"), func(ctx context.Context, in *studyInput) (*file, error) {
		p, err := s.lab.Plan(ctx, domain.ID(in.Study))
		if err != nil {
			return nil, err
		}
		return table(tables.CSV, in.Study+"-plan", func(w io.Writer) error { return tables.WritePlan(w, tables.CSV, p.Runs) })
	})
	register(s, h, fileOp("/studies/{study}/runsheet.pdf", "get-run-sheet", "plan", "The plan as a sheet to print", "application/pdf"), func(ctx context.Context, in *studyInput) (*file, error) {
		return s.runSheet(ctx, domain.ID(in.Study))
	})
}

func (s *Server) trialFileRoutes(h huma.API) {
	register(s, h, fileOp("/studies/{study}/trials.csv", "get-trials-csv", "run", "The trials as CSV", "text/csv"), func(ctx context.Context, in *trialsInput) (*file, error) {
		return s.trialTable(ctx, in, tables.CSV)
	})
	register(s, h, fileOp("/studies/{study}/trials.parquet", "get-trials-parquet", "run", "The trials as Parquet", "application/vnd.apache.parquet"), func(ctx context.Context, in *trialsInput) (*file, error) {
		return s.trialTable(ctx, in, tables.Parquet)
	})
	o := op(http.MethodPost, "/studies/{study}/import", "import-trials", "run", "Record the rows of a CSV or Parquet file as trials, all or none", 200)
	o.RequestBody = anyBody("text/csv", "application/vnd.apache.parquet", "application/octet-stream")
	register(s, h, o, func(ctx context.Context, in *struct {
		stream
		Study  string `path:"study"`
		Name   string `query:"name" maxLength:"200" doc:"File name, for messages"`
		DryRun bool   `query:"dry_run" doc:"Check only, store nothing"`
	}) (*struct{ Body ImportResult }, error) {
		name := fileName(in.Name, "upload")
		f, err := takeFile(in.reader, mostImport)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		r, err := ImportTable(ctx, s.lab, domain.ID(in.Study), tables.Source{Name: name, Data: f, Size: f.size}, nil, in.DryRun)
		return &struct{ Body ImportResult }{r}, err
	})
	o = op(http.MethodPost, "/recordings", "store-recording", "run", "Store a file beside the record and learn its digest", 200)
	o.RequestBody = anyBody("application/octet-stream", "image/jpeg", "image/png", "video/mp4")
	register(s, h, o, func(ctx context.Context, in *struct {
		stream
		Name        string `query:"name" maxLength:"200"`
		ContentType string `header:"Content-Type"`
	}) (*struct{ Body Recording }, error) {
		mediaType, _, err := mime.ParseMediaType(in.ContentType)
		if err != nil {
			mediaType = "application/octet-stream"
		}
		r, err := s.lab.Store.PutRecording(ctx, fileName(in.Name, "recording"), mediaType, &capped{Reader: in.reader, left: mostRecording, most: mostRecording})
		return &struct{ Body Recording }{fromRecording(r)}, err
	})
	register(s, h, fileOp("/recordings/{sha256}", "get-recording", "run", "Read a stored file", "application/octet-stream"), func(ctx context.Context, in *struct {
		SHA256 string `path:"sha256"`
	}) (*huma.StreamResponse, error) {
		return s.recording(ctx, in.SHA256)
	})
}

func anyBody(types ...string) *huma.RequestBody {
	b := &huma.RequestBody{Required: true, Content: map[string]*huma.MediaType{}}
	for _, t := range types {
		b.Content[t] = &huma.MediaType{Schema: &huma.Schema{Type: huma.TypeString, Format: "binary"}}
	}
	return b
}

type pictureInput struct {
	MapParams
	HeadingDeg optional[float64] `query:"heading_deg" minimum:"0" maximum:"360" doc:"Heading drawn, azimuth + roll; 0 when left out"`
	View       string            `query:"view" enum:"heading,mean,best" doc:"One heading, the mean over headings, or the best over headings"`
	Threshold  optional[float64] `query:"threshold" minimum:"0" maximum:"1" doc:"Hatch where the interval is wider than this"`
}

func (s *Server) mapFileRoutes(h huma.API) {
	register(s, h, fileOp("/studies/{study}/map.csv", "get-map-csv", "map", "The map's table as CSV", "text/csv"), func(ctx context.Context, in *MapParams) (*file, error) {
		return s.mapFile(ctx, in, tables.CSV)
	})
	register(s, h, fileOp("/studies/{study}/map.parquet", "get-map-parquet", "map", "The map's table as Parquet", "application/vnd.apache.parquet"), func(ctx context.Context, in *MapParams) (*file, error) {
		return s.mapFile(ctx, in, tables.Parquet)
	})
	register(s, h, fileOp("/studies/{study}/map.png", "get-map-png", "map", "The map as a picture", "image/png"), func(ctx context.Context, in *pictureInput) (*file, error) {
		return s.picture(ctx, in, false)
	})
	register(s, h, fileOp("/studies/{study}/map.svg", "get-map-svg", "map", "The map as a drawing", "image/svg+xml"), func(ctx context.Context, in *pictureInput) (*file, error) {
		return s.picture(ctx, in, true)
	})
}

func (s *Server) cardFileRoutes(h huma.API) {
	register(s, h, fileOp("/cards/{card}/card.json", "get-card-document", "cards", "The card for machines; /api/v1/schemas/pick-card-1.json describes it", "application/json"), func(ctx context.Context, in *cardInput) (*file, error) {
		return s.cardDocument(ctx, domain.ID(in.Card))
	})
	register(s, h, fileOp("/cards/{card}/card.pdf", "get-card-pdf", "cards", "The card to print", "application/pdf"), func(ctx context.Context, in *cardInput) (*file, error) {
		return s.cardPDF(ctx, domain.ID(in.Card))
	})
	register(s, h, fileOp("/schemas/pick-card-1.json", "get-card-schema", "cards", "JSON Schema of the card document", "application/schema+json"), func(ctx context.Context, _ *noInput) (*file, error) {
		return shown("application/schema+json", "pick-card-1.json", report.CardSchema), nil
	})
}

func (s *Server) trialTable(ctx context.Context, in *trialsInput, format tables.Format) (*file, error) {
	list, _, err := s.lab.Trials(ctx, domain.ID(in.Study), in.query())
	if err != nil {
		return nil, err
	}
	return table(format, in.Study+"-trials", func(w io.Writer) error { return tables.WriteTrials(w, format, list) })
}

func (s *Server) mapFile(ctx context.Context, in *MapParams, format tables.Format) (*file, error) {
	m, err := s.lab.Map(ctx, in.query())
	if err != nil {
		return nil, err
	}
	return table(format, mapName(m.Condition.Condition), func(w io.Writer) error { return tables.WriteMap(w, format, mapTable(m)) })
}

// recording sends a stored file, in parts when the browser asks for parts.
func (s *Server) recording(ctx context.Context, sha string) (*huma.StreamResponse, error) {
	content, r, err := s.lab.Store.OpenRecording(ctx, sha)
	if err != nil {
		return nil, err
	}
	return &huma.StreamResponse{Body: func(hc huma.Context) {
		defer content.Close()
		req, w := humago.Unwrap(hc)
		h := w.Header()
		h.Set("ETag", `"`+r.SHA256+`"`)
		h.Set("Cache-Control", "private, max-age=31536000, immutable")
		h.Set("Content-Type", "application/octet-stream")
		if inlineTypes[r.Type] {
			h.Set("Content-Type", r.Type)
		} else {
			h.Set("Content-Disposition", "attachment")
		}
		http.ServeContent(w, req, "", time.Time{}, content)
	}}, nil
}
