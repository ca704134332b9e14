package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
)

var notYetFile = domain.Errorf("unavailable", "this part is being built")

func (s *Server) planFileRoutes(h huma.API) {
	register(s, h, fileOp("/studies/{study}/plan.csv", "get-plan-csv", "plan", "The plan as CSV", "text/csv"), func(ctx context.Context, in *studyInput) (*file, error) {
		return nil, notYetFile
	})
	register(s, h, fileOp("/studies/{study}/runsheet.pdf", "get-run-sheet", "plan", "The plan as a sheet to print", "application/pdf"), func(ctx context.Context, in *studyInput) (*file, error) {
		return nil, notYetFile
	})
}

func (s *Server) trialFileRoutes(h huma.API) {
	register(s, h, fileOp("/studies/{study}/trials.csv", "get-trials-csv", "run", "The trials as CSV", "text/csv"), func(ctx context.Context, in *trialsInput) (*file, error) {
		return nil, notYetFile
	})
	register(s, h, fileOp("/studies/{study}/trials.parquet", "get-trials-parquet", "run", "The trials as Parquet", "application/vnd.apache.parquet"), func(ctx context.Context, in *trialsInput) (*file, error) {
		return nil, notYetFile
	})
	o := op(http.MethodPost, "/studies/{study}/import", "import-trials", "run", "Record the rows of a CSV or Parquet file as trials, all or none", 200)
	o.RequestBody = anyBody("text/csv", "application/vnd.apache.parquet", "application/octet-stream")
	register(s, h, o, func(ctx context.Context, in *struct {
		stream
		Study  string `path:"study"`
		Name   string `query:"name" maxLength:"200" doc:"File name, for messages"`
		DryRun bool   `query:"dry_run" doc:"Check only, store nothing"`
	}) (*struct{ Body ImportResult }, error) {
		return nil, notYetFile
	})
	o = op(http.MethodPost, "/recordings", "store-recording", "run", "Store a file beside the record and learn its digest", 200)
	o.RequestBody = anyBody("application/octet-stream", "image/jpeg", "image/png", "video/mp4")
	register(s, h, o, func(ctx context.Context, in *struct {
		stream
		Name        string `query:"name" maxLength:"200"`
		ContentType string `header:"Content-Type"`
	}) (*struct{ Body Recording }, error) {
		return nil, notYetFile
	})
	register(s, h, fileOp("/recordings/{sha256}", "get-recording", "run", "Read a stored file", "application/octet-stream"), func(ctx context.Context, in *struct {
		SHA256 string `path:"sha256"`
	}) (*huma.StreamResponse, error) {
		return nil, notYetFile
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
	mapInput
	HeadingDeg optional[float64] `query:"heading_deg" minimum:"0" maximum:"360" doc:"Heading drawn, azimuth + roll; 0 when left out"`
	View       string            `query:"view" enum:"heading,mean,best" doc:"One heading, the mean over headings, or the best over headings"`
	Threshold  optional[float64] `query:"threshold" minimum:"0" maximum:"1" doc:"Hatch where the interval is wider than this"`
}

func (s *Server) mapFileRoutes(h huma.API) {
	register(s, h, fileOp("/studies/{study}/map.csv", "get-map-csv", "map", "The map's table as CSV", "text/csv"), func(ctx context.Context, in *mapInput) (*file, error) {
		return nil, notYetFile
	})
	register(s, h, fileOp("/studies/{study}/map.parquet", "get-map-parquet", "map", "The map's table as Parquet", "application/vnd.apache.parquet"), func(ctx context.Context, in *mapInput) (*file, error) {
		return nil, notYetFile
	})
	register(s, h, fileOp("/studies/{study}/map.png", "get-map-png", "map", "The map as a picture", "image/png"), func(ctx context.Context, in *pictureInput) (*file, error) {
		return nil, notYetFile
	})
	register(s, h, fileOp("/studies/{study}/map.svg", "get-map-svg", "map", "The map as a drawing", "image/svg+xml"), func(ctx context.Context, in *pictureInput) (*file, error) {
		return nil, notYetFile
	})
}

func (s *Server) cardFileRoutes(h huma.API) {
	register(s, h, fileOp("/cards/{card}/card.json", "get-card-document", "cards", "The card for machines; /api/v1/schemas/pick-card-1.json describes it", "application/json"), func(ctx context.Context, in *cardInput) (*file, error) {
		return nil, notYetFile
	})
	register(s, h, fileOp("/cards/{card}/card.pdf", "get-card-pdf", "cards", "The card to print", "application/pdf"), func(ctx context.Context, in *cardInput) (*file, error) {
		return nil, notYetFile
	})
	register(s, h, fileOp("/schemas/pick-card-1.json", "get-card-schema", "cards", "JSON Schema of the card document", "application/schema+json"), func(ctx context.Context, _ *noInput) (*file, error) {
		return nil, notYetFile
	})
}
