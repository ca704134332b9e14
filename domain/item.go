package domain

// Shape is the coarse form of an item.
type Shape string

// The shapes that pictures and simulations know.
const (
	ShapeEllipsoid Shape = "ellipsoid"
	ShapeCylinder  Shape = "cylinder" // axis along the item's x when lying, z when upright: the longest size tells
	ShapeBox       Shape = "box"
	ShapeCrescent  Shape = "crescent"
)

// Turning is the symmetry of a thing about the vertical.
type Turning struct {
	Axial  bool // every turn about the vertical leaves it the same
	Fold   int  // a turn of 1/Fold leaves it the same; 1: none; ignored when Axial
	Mirror bool // the vertical x–z plane (any vertical plane, when Axial) is a mirror plane
}

func (t Turning) check(c *checks, field string) {
	if !t.Axial {
		c.between(field+".fold", float64(t.Fold), 1, 12, "")
	}
}

// Item is a thing to pick: a family of shapes with spreads.
type Item struct {
	ID          ID
	Name        string
	Shape       Shape
	Size        [3]float64 // m, mean extents along x, y, z as it lies
	SizeSpread  float64    // standard deviation of size as a share of the mean
	Mass        float64    // kg, mean
	MassSpread  float64    // standard deviation of mass as a share of the mean
	Friction    float64    // coefficient of friction against the hand
	Stiffness   float64    // N/m, how it yields under a finger; 0: not known
	DamageForce float64    // N, peak force above which damage is expected; 0: not known
	LateDamage  float64    // s, how long after the trial damage may first show; 0: at once
	Turning     Turning
	Food        bool // people eat it
	Note        string
	Meta
}

// Validate says which fields break a rule.
func (it *Item) Validate() error {
	var c checks
	c.id("id", it.ID)
	c.name("name", it.Name)
	switch it.Shape {
	case ShapeEllipsoid, ShapeCylinder, ShapeBox, ShapeCrescent:
	default:
		c.fail("shape", it.Shape, "must be ellipsoid, cylinder, box or crescent")
	}
	for i, f := range []string{"size_x_mm", "size_y_mm", "size_z_mm"} {
		c.between(f, it.Size[i]*1e3, 1, 1000, " mm")
	}
	c.between("size_spread", it.SizeSpread, 0, 1, "")
	c.between("mass_g", it.Mass*1e3, 0.01, 50000, " g")
	c.between("mass_spread", it.MassSpread, 0, 1, "")
	c.between("friction", it.Friction, 0, 3, "")
	c.between("stiffness_N_per_mm", it.Stiffness/1e3, 0, 1e4, " N/mm")
	c.between("damage_force_N", it.DamageForce, 0, 1e4, " N")
	c.between("late_damage_h", it.LateDamage/3600, 0, 1000, " h")
	it.Turning.check(&c, "turning")
	return c.err("item")
}

// Support is what an item rests on.
type Support string

// The supports.
const (
	SupportTable    Support = "table"
	SupportConveyor Support = "conveyor"
	SupportTray     Support = "tray"
)

// Setting is what surrounds the item: support surface, walls, edges.
type Setting struct {
	ID       ID
	Name     string
	Support  Support
	Wall     bool    // a wall stands beside the item, across the setting's +x
	WallGap  float64 // m, from the item's side to the wall; only with Wall
	Edge     bool    // the support ends in an edge across the setting's +x
	EdgeGap  float64 // m, from the item's side to the edge; only with Edge
	Friction float64 // coefficient of friction between item and support
	Turning  Turning
	Note     string
	Meta
}

// Validate says which fields break a rule.
func (s *Setting) Validate() error {
	var c checks
	c.id("id", s.ID)
	c.name("name", s.Name)
	switch s.Support {
	case SupportTable, SupportConveyor, SupportTray:
	default:
		c.fail("support", s.Support, "must be table, conveyor or tray")
	}
	c.between("wall_gap_mm", s.WallGap*1e3, 0, 1000, " mm")
	c.between("edge_gap_mm", s.EdgeGap*1e3, 0, 1000, " mm")
	c.between("friction", s.Friction, 0, 3, "")
	s.Turning.check(&c, "turning")
	if (s.Wall || s.Edge) && (s.Turning.Axial || s.Turning.Fold > 1) {
		c.fail("turning", "", "a wall or an edge stands on one side only, so the setting has no symmetry about the vertical")
	}
	return c.err("setting")
}
