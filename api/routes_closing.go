package api

import (
	"context"
	"math"
	"net/http"
	"slices"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/mechanics/shape"
	"holdfast/mechanics/trialsim"
	"holdfast/orient"
)

// DescribedHand is a hand that can be simulated, under the ID that it has in a lab.
type DescribedHand struct {
	ID   domain.ID
	Hand *trialsim.Hand
}

// closingInput asks for a closing around one of a few items.
type closingInput struct {
	Hand       string            `path:"hand"`
	Item       string            `query:"item" enum:"none,sphere,box,plate" default:"none" doc:"What stands fixed on the palm's axis; a plate is 4 mm thick and stands on edge, across x"`
	SizeMM     float64           `query:"size_mm" minimum:"4" maximum:"300" default:"60" doc:"Diameter of the sphere, edge of box and plate"`
	DistanceMM optional[float64] `query:"distance_mm" minimum:"1" maximum:"1000" doc:"Of the item's middle from the palm; when left out, as deep as it goes but not deeper than 0.7 of the way to the tips"`
	Friction   optional[float64] `query:"friction" minimum:"0" maximum:"3" doc:"Coefficient between skin and item; the skin's own when left out"`
	Steps      int               `query:"steps" minimum:"1" maximum:"100" default:"40"`
}

type gripInput struct {
	Hand       string            `path:"hand"`
	Item       string            `query:"item" enum:"sphere,box,plate" default:"sphere"`
	SmallestMM float64           `query:"smallest_mm" minimum:"4" maximum:"300" default:"20"`
	LargestMM  float64           `query:"largest_mm" minimum:"4" maximum:"300" default:"100"`
	Sizes      int               `query:"sizes" minimum:"2" maximum:"20" default:"9"`
	Friction   optional[float64] `query:"friction" minimum:"0" maximum:"3" doc:"Coefficient between skin and item; the skin's own when left out"`
	Steps      int               `query:"steps" minimum:"1" maximum:"40" default:"10"`
}

func (s *Server) closingRoutes(h huma.API) {
	register(s, h, op(http.MethodGet, "/hand-descriptions", "list-hand-descriptions", "catalogue", "Hands that are described well enough to be simulated", 200), func(ctx context.Context, _ *struct{}) (*struct{ Body []HandDescription }, error) {
		return &struct{ Body []HandDescription }{each(s.hands, fromDescription)}, nil
	})
	register(s, h, op(http.MethodGet, "/hand-descriptions/{hand}/closing", "get-hand-closing", "catalogue", "A hand closed slowly in simulation, free or around an item", 200), func(ctx context.Context, in *closingInput) (*struct{ Body HandClosing }, error) {
		d, err := s.described(in.Hand)
		if err != nil {
			return nil, err
		}
		out := HandClosing{Item: in.Item, Friction: d.Hand.Skin.Friction}
		var c *trialsim.Closing
		if in.Item == "none" {
			c, err = trialsim.CloseFreely(ctx, d.Hand, in.Steps)
		} else {
			solid := solidOf(in.Item, in.SizeMM*mm)
			distance := trialsim.UsualDistance(d.Hand, solid)
			if in.DistanceMM.Given {
				distance = in.DistanceMM.Value * mm
			}
			share := 1.0
			share, out.Friction = frictionOf(d.Hand, in.Friction)
			out.SizeMM, out.DistanceMM = in.SizeMM, tidy(distance/mm)
			out.Outline = fromOutline(solid.Outline(8))
			c, err = trialsim.CloseAround(ctx, d.Hand, solid, distance, share, in.Steps)
		}
		if err != nil {
			return nil, closingFault(ctx, err)
		}
		out.fill(d, c)
		return &struct{ Body HandClosing }{out}, nil
	})
	register(s, h, op(http.MethodGet, "/hand-descriptions/{hand}/grip", "get-hand-grip", "catalogue", "A hand's grip over item size and closing command, in simulation", 200), func(ctx context.Context, in *gripInput) (*struct{ Body HandGrip }, error) {
		d, err := s.described(in.Hand)
		if err != nil {
			return nil, err
		}
		if !(in.SmallestMM < in.LargestMM) {
			return nil, domain.Errorf(domain.KindInvalid, "smallest_mm is %g and largest_mm %g; the first must be the smaller", in.SmallestMM, in.LargestMM)
		}
		out := HandGrip{Hand: fromDescription(d), Item: in.Item}
		var items []shape.Solid
		for i := range in.Sizes {
			size := in.SmallestMM + (in.LargestMM-in.SmallestMM)*float64(i)/float64(in.Sizes-1)
			out.SizesMM = append(out.SizesMM, tidy(size))
			items = append(items, solidOf(in.Item, size*mm))
		}
		share, friction := frictionOf(d.Hand, in.Friction)
		out.Friction = friction
		m, err := trialsim.MapGrip(ctx, d.Hand, items, share, in.Steps)
		if err != nil {
			return nil, closingFault(ctx, err)
		}
		out.DistanceMM, out.Commands, out.GripN, out.Touching = inUnit(m.Distances, mm), m.Commands, each(m.Grip, newtons), m.Fingers
		return &struct{ Body HandGrip }{out}, nil
	})
}

// described finds a description.
func (s *Server) described(id string) (DescribedHand, error) {
	i := slices.IndexFunc(s.hands, func(d DescribedHand) bool { return string(d.ID) == id })
	if i < 0 {
		return DescribedHand{}, domain.Errorf(domain.KindNotFound, "no hand is described for simulation under %q; docs/scenes.md says how to write a description", id)
	}
	return s.hands[i], nil
}

// closingFault tells a stopped question from one that makes no sense.
func closingFault(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return domain.Errorf(domain.KindInvalid, "%v", err)
}

// plateThick is the thickness (m) of the plate that hands are closed around.
const plateThick = 4 * mm

// solidOf is one of the items by its name, of a size in m.
func solidOf(item string, size float64) shape.Solid {
	switch item {
	case "box":
		return shape.Box{Half: orient.Vec3{size / 2, size / 2, size / 2}, Rounding: size / 20}
	case "plate":
		half := math.Min(plateThick, size) / 2
		return shape.Box{Half: orient.Vec3{half, size / 2, size / 2}, Rounding: half / 2}
	}
	return shape.Ellipsoid{Semi: orient.Vec3{size / 2, size / 2, size / 2}}
}

// frictionOf is the coefficient asked for, and its share of the skin's.
func frictionOf(h *trialsim.Hand, asked optional[float64]) (share, coefficient float64) {
	if !asked.Given || h.Skin.Friction == 0 {
		return 1, h.Skin.Friction
	}
	return asked.Value / h.Skin.Friction, asked.Value
}

func fromDescription(d DescribedHand) HandDescription {
	return HandDescription{
		ID: string(d.ID), Name: d.Hand.Name, Note: d.Hand.Note, Fingers: len(d.Hand.Fingers), Joints: d.Hand.Joints(),
		Cords: len(d.Hand.Cords), Chambers: len(d.Hand.Chambers),
	}
}

func fromOutline(m shape.Mesh) *ClosingOutline {
	var o ClosingOutline
	for _, v := range m.Vertices {
		o.VerticesMM = appendMM(o.VerticesMM, v)
	}
	for _, t := range m.Triangles {
		o.Triangles = append(o.Triangles, t[:]...)
	}
	return &o
}

// rounded keeps a decimal or a few; more of a simulation mean nothing and cost bytes.
func rounded(x, digits float64) float64 { return math.Round(x*digits)/digits + 0 }

func appendMM(list []float64, v orient.Vec3) []float64 {
	return append(list, rounded(v[0]/mm, 1000), rounded(v[1]/mm, 1000), rounded(v[2]/mm, 1000))
}

func inUnit(list []float64, unit float64) []float64 {
	return each(list, func(x float64) float64 { return rounded(x/unit, 1000) })
}

func newtons(list []float64) []float64 { return inUnit(list, 1) }

// fill takes over a closing.
func (out *HandClosing) fill(d DescribedHand, c *trialsim.Closing) {
	h := d.Hand
	out.Hand, out.PalmRadiusMM = fromDescription(d), tidy(h.PalmRadius/mm)
	out.Joints, out.Cords = []ClosingJoint{}, []ClosingCord{}
	for i := range h.Fingers {
		f := &h.Fingers[i]
		out.Fingers = append(out.Fingers, f.Name)
		for j := range f.Chain.Joints() {
			out.Joints = append(out.Joints, ClosingJoint{Finger: i, Slides: f.Chain.Joint(j).Slides})
		}
	}
	for _, k := range h.Cords {
		cord := ClosingCord{Motor: k.Motor, Pushes: k.Pushes, Fingers: []int{}}
		for j, arm := range k.Arms {
			if f := out.Joints[j].Finger; arm != 0 && !slices.Contains(cord.Fingers, f) {
				cord.Fingers = append(cord.Fingers, f)
			}
		}
		out.Cords = append(out.Cords, cord)
	}
	for _, l := range c.Links {
		out.Links = append(out.Links, ClosingLink{l.Finger, l.Joint, tidy(l.Radius / mm)})
	}
	for i := range c.Steps {
		out.Steps = append(out.Steps, fromClosed(&c.Steps[i], out.Joints))
	}
}

func fromClosed(s *trialsim.Closed, joints []ClosingJoint) ClosingStep {
	w := ClosingStep{
		Command: s.Command, Settled: s.Rest, BentDeg: inUnit(s.Bent, degree), TensionN: newtons(s.Tensions), DrawnMM: inUnit(s.Drawn, mm),
		PressureKPa: inUnit(s.Pressures, 1e3), GripN: rounded(s.Grip, 1000), FingersN: newtons(s.Fingers), PalmN: rounded(s.OnPalm, 1000),
		Contacts: each(s.Contacts, func(c trialsim.Contact) ClosingContact {
			w := ClosingContact{Finger: -1, Sliding: c.Sliding}
			if c.From.Kind == trialsim.Link {
				w.Finger, w.Link = c.From.Index, c.From.Link
			}
			for k := range 3 {
				w.PointMM[k], w.ForceN[k] = rounded(c.Point[k]/mm, 1000), rounded(c.Force[k], 1000)
			}
			return w
		}),
	}
	for _, l := range s.Links {
		w.LinksMM = appendMM(appendMM(w.LinksMM, l[0]), l[1])
	}
	for _, t := range s.Tips {
		w.TipsMM = appendMM(w.TipsMM, t)
	}
	for j, q := range s.Joints {
		unit := degree
		if joints[j].Slides {
			unit = mm
		}
		w.JointsDegMM = append(w.JointsDegMM, rounded(q/unit, 1000))
	}
	return w
}
