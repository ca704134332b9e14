package api

import (
	"bytes"
	"compress/gzip"
	"context"
	"net/http"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/workflow"
)

// MapParams picks a map. What a study has only one of can be left out. (It is exported because huma reads the parameters
// of an embedded struct only then.)
type MapParams struct {
	Study    string            `path:"study"`
	Hand     string            `query:"hand" doc:"May be left out when the study has one"`
	Item     string            `query:"item" doc:"May be left out when the study has one"`
	Setting  string            `query:"setting" doc:"May be left out when the study has one"`
	Strategy string            `query:"strategy" doc:"May be left out when the study has one"`
	BlurDeg  optional[float64] `query:"blur_deg" minimum:"0" maximum:"90" doc:"Root mean square turn between asked and actual hand orientation; the study's line error when left out"`
}

func (in *MapParams) query() workflow.MapQuery {
	q := workflow.MapQuery{Study: domain.ID(in.Study), Condition: domain.Condition{Hand: domain.ID(in.Hand), Item: domain.ID(in.Item), Setting: domain.ID(in.Setting), Strategy: domain.StrategyKind(in.Strategy)}}
	if in.BlurDeg.Given {
		blur := in.BlurDeg.Value * degree
		q.Blur = &blur
	}
	return q
}

type rasterInput struct {
	MapParams
	AcceptEncoding string `header:"Accept-Encoding" hidden:"true"`
	IfNoneMatch    string `header:"If-None-Match" hidden:"true"`
}

type pointInput struct {
	MapParams
	QW float64 `query:"qw" required:"true"`
	QX float64 `query:"qx" required:"true"`
	QY float64 `query:"qy" required:"true"`
	QZ float64 `query:"qz" required:"true"`
}

// file is a download.
type file struct {
	Status      int
	ContentType string `header:"Content-Type"`
	Disposition string `header:"Content-Disposition"`
	Encoding    string `header:"Content-Encoding"`
	ETag        string `header:"ETag"`
	Vary        string `header:"Vary"`
	Body        []byte
}

// fileOp describes a route that answers with a file of the media type.
func fileOp(path, id, tag, summary, mediaType string) huma.Operation {
	o := op(http.MethodGet, path, id, tag, summary, 200)
	schema := &huma.Schema{Type: huma.TypeString, Format: "binary"}
	if strings.HasPrefix(mediaType, "text/") || strings.HasSuffix(mediaType, "xml") {
		schema.Format = ""
	}
	o.Responses = map[string]*huma.Response{"200": {Description: "The file", Content: map[string]*huma.MediaType{mediaType: {Schema: schema}}}}
	return o
}

func (s *Server) mapRoutes(h huma.API) {
	register(s, h, op(http.MethodGet, "/studies/{study}/conditions", "list-conditions", "map", "The conditions that trials were made under, each with a map", 200), func(ctx context.Context, in *studyInput) (*listOf[Condition], error) {
		rows, err := s.lab.Conditions(ctx, domain.ID(in.Study))
		return &listOf[Condition]{Body: each(rows, fromCondition)}, err
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/map", "get-map", "map", "The success map of one condition", 200), func(ctx context.Context, in *MapParams) (*struct{ Body MapInfo }, error) {
		m, err := s.lab.Map(ctx, in.query())
		if err != nil {
			return nil, err
		}
		return &struct{ Body MapInfo }{fromMap(m)}, nil
	})
	register(s, h, fileOp("/studies/{study}/map/raster", "get-map-raster", "map", "The map as numbers for drawing; RasterInfo says how to read them", "application/octet-stream"), func(ctx context.Context, in *rasterInput) (*file, error) {
		r, err := s.lab.Raster(ctx, in.query())
		if err != nil {
			return nil, err
		}
		out := &file{Status: 200, ContentType: "application/octet-stream", ETag: `"` + r.Mark + `"`, Vary: "Accept-Encoding", Body: r.Data}
		if in.IfNoneMatch != "" && in.IfNoneMatch == out.ETag {
			out.Status, out.Body = http.StatusNotModified, nil
			return out, nil
		}
		if strings.Contains(in.AcceptEncoding, "gzip") {
			var b bytes.Buffer
			z, _ := gzip.NewWriterLevel(&b, gzip.BestSpeed)
			if _, err := z.Write(r.Data); err != nil {
				return nil, err
			}
			if err := z.Close(); err != nil {
				return nil, err
			}
			out.Body, out.Encoding = b.Bytes(), "gzip"
		}
		return out, nil
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/map/marks", "get-map-marks", "map", "The map's trials as columns", 200), func(ctx context.Context, in *MapParams) (*struct{ Body MapMarks }, error) {
		list, err := s.lab.MapTrials(ctx, in.query())
		return &struct{ Body MapMarks }{fromMarks(list)}, err
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/map/at", "get-map-point", "map", "The map at one orientation", 200), func(ctx context.Context, in *pointInput) (*struct{ Body MapPoint }, error) {
		r, bad := Orientation{QW: &in.QW, QX: &in.QX, QY: &in.QY, QZ: &in.QZ}.rotation("query.qw")
		if err := gathered(bad).err("orientation"); err != nil {
			return nil, err
		}
		p, err := s.lab.MapAt(ctx, in.query(), r)
		if err != nil {
			return nil, err
		}
		return &struct{ Body MapPoint }{fromPoint(p)}, nil
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/choice", "get-choice", "choose", "What could be handed to the line, best first", 200), func(ctx context.Context, in *struct {
		Study        string  `path:"study"`
		Hand         string  `query:"hand" doc:"Empty: all"`
		Item         string  `query:"item" doc:"Empty: all"`
		Setting      string  `query:"setting" doc:"Empty: all"`
		Strategy     string  `query:"strategy" doc:"Empty: all"`
		MinRadiusDeg float64 `query:"min_radius_deg" minimum:"0" maximum:"90" doc:"The region must tolerate at least this turn; 0: no demand"`
	}) (*struct{ Body Choice }, error) {
		c, err := s.lab.Choose(ctx, workflow.ChoiceQuery{
			Study: domain.ID(in.Study), MinRadius: in.MinRadiusDeg * degree,
			Condition: domain.Condition{Hand: domain.ID(in.Hand), Item: domain.ID(in.Item), Setting: domain.ID(in.Setting), Strategy: domain.StrategyKind(in.Strategy)},
		})
		return &struct{ Body Choice }{fromChoice(c)}, err
	})
	s.mapFileRoutes(h)
}
