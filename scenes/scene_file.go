package scenes

// sceneFile is a scene as its file has it.
type sceneFile struct {
	Name     string             `yaml:"name,needed" is:"What people call the scene."`
	Note     string             `yaml:"note" is:"A sentence on what it shows."`
	Hand     part[handFile]     `yaml:"hand,needed" is:"The hand: the path of its file from the folder of this one, or the hand itself."`
	Item     part[itemFile]     `yaml:"item,needed" is:"The item, in the same way."`
	Setting  part[settingFile]  `yaml:"setting,needed" is:"The setting, in the same way."`
	Strategy part[strategyFile] `yaml:"strategy,needed" is:"The strategy, in the same way."`
	Gravity  *float64           `yaml:"gravity_m_per_s2" from:"0" to:"100" is:"Downwards. Left out: 9.81."`
	Closing  *float64           `yaml:"closing" from:"0" to:"1" is:"Closing command of trials that name none, as a share of the hand's range. Left out: 1."`
	Error    *errorFile         `yaml:"placement_error" is:"How far items lie from where they are believed to be, and the hand from how it was asked to be. Left out: not at all."`
}

type errorFile struct {
	X     float64 `yaml:"x_mm" from:"0" to:"500" is:"Standard deviation along x."`
	Y     float64 `yaml:"y_mm" from:"0" to:"500" is:"Standard deviation along y."`
	Angle float64 `yaml:"angle_deg" from:"0" to:"90" is:"Standard deviation of the hand's orientation, about an axis of any direction."`
}

// itemFile is an item as its file has it.
type itemFile struct {
	Name           string      `yaml:"name,needed" is:"What people call the item."`
	Note           string      `yaml:"note" is:"A sentence on what it is."`
	Shape          shapeFile   `yaml:"shape,needed" is:"Its shape, of mean size, in its own frame: centre of mass and principal axes."`
	_              struct{}    `most:"turn|quaternion"`
	Turn           []turnFile  `yaml:"turn" many:"10" is:"How it lies: turns of its own frame one after the other about the setting's axes. Left out: its own z points up."`
	Rotation       *[4]float64 `yaml:"quaternion" from:"-1" to:"1" is:"The same, as a unit quaternion [w, x, y, z]."`
	Mass           float64     `yaml:"mass_g,needed" above:"0" to:"1000000" is:"Mean mass."`
	Centre         *[3]float64 `yaml:"centre_mm" from:"-1000" to:"1000" is:"Where the centre of mass lies from that of the evenly filled shape, along the shape's axes. Left out: evenly filled."`
	Inertia        *[3]float64 `yaml:"inertia_g_mm2" above:"0" to:"1000000000000" is:"Moments of inertia about the centre of mass along the shape's axes, which must be principal ones. Left out: as evenly filled about its middle. Not for a mesh."`
	Spread         *spreadFile `yaml:"spread" is:"Standard deviations as shares of the mean. Left out: all are alike."`
	Heading        float64     `yaml:"heading_deg" from:"0" to:"360" is:"Standard deviation of its turn about the vertical."`
	Friction       *float64    `yaml:"friction" from:"0" to:"10" is:"Multiplies that of the hand's skin. Left out: 1, a clean dry surface."`
	Stiffness      float64     `yaml:"stiffness_N_per_mm" from:"0" to:"100000" is:"How it yields under a finger, in series with the skin. Left out or 0: hard."`
	Rolling        float64     `yaml:"rolling_mm" from:"0" to:"1000" is:"Coefficient of rolling resistance as a length: a torque of at most this times the force it bears with. Left out or 0: it rolls for ever."`
	Modulus        float64     `yaml:"modulus_kPa" from:"0" to:"1000000000" is:"E/(1 − ν²) of its flesh, for the pressure under a finger. Left out or 0: hard."`
	DamagePressure float64     `yaml:"damage_pressure_kPa" from:"0" to:"1000000000" is:"Pressure that it stands. Left out or 0: not known."`
	DamageForce    float64     `yaml:"damage_force_N" from:"0" to:"1000000" is:"Force of one contact that it stands. Left out or 0: not known."`
}

type spreadFile struct {
	Size      float64 `yaml:"size" from:"0" to:"0.5" is:"Of all lengths of one item alike."`
	Mass      float64 `yaml:"mass" from:"0" to:"0.5" is:"Of the mass."`
	Friction  float64 `yaml:"friction" from:"0" to:"0.5" is:"Of the friction."`
	Stiffness float64 `yaml:"stiffness" from:"0" to:"0.5" is:"Of the stiffness."`
}

type shapeFile struct {
	_              struct{}            `one:"ellipsoid|superellipsoid|box|cylinder|cone|crescent|mesh"`
	Ellipsoid      *ellipsoidFile      `yaml:"ellipsoid" is:"An ellipsoid."`
	Superellipsoid *superellipsoidFile `yaml:"superellipsoid" is:"Between ellipsoid and box."`
	Box            *boxFile            `yaml:"box" is:"A box with rounded edges."`
	Cylinder       *cylinderFile       `yaml:"cylinder" is:"A cylinder along z with rounded rims."`
	Cone           *coneFile           `yaml:"cone" is:"A cone or frustum along z with rounded rims."`
	Crescent       *crescentFile       `yaml:"crescent" is:"A bent tube that gets thinner towards both ends."`
	Mesh           *meshFile           `yaml:"mesh" is:"A closed surface of triangles. Turns of the item begin from the file's own axes."`
}

type ellipsoidFile struct {
	Size [3]float64 `yaml:"size_mm,needed" above:"0" to:"2000" is:"Whole lengths along x, y, z."`
}

type boxFile struct {
	Size     [3]float64 `yaml:"size_mm,needed" above:"0" to:"2000" is:"Whole lengths along x, y, z."`
	Rounding float64    `yaml:"rounding_mm" from:"0" to:"1000" is:"Radius of edges and corners. Left out: sharp."`
}

type cylinderFile struct {
	Diameter float64 `yaml:"diameter_mm,needed" above:"0" to:"2000" is:"Diameter."`
	Height   float64 `yaml:"height_mm,needed" above:"0" to:"2000" is:"Whole length along z."`
	Rounding float64 `yaml:"rounding_mm" from:"0" to:"1000" is:"Radius of the rims. Left out: sharp."`
}

type coneFile struct {
	Bottom   float64 `yaml:"bottom_diameter_mm,needed" from:"0" to:"2000" is:"Diameter at the lower end."`
	Top      float64 `yaml:"top_diameter_mm,needed" from:"0" to:"2000" is:"Diameter at the upper end."`
	Height   float64 `yaml:"height_mm,needed" above:"0" to:"2000" is:"Whole length along z of the sharp cone."`
	Rounding float64 `yaml:"rounding_mm" from:"0" to:"1000" is:"Radius of rims and tip. Left out: sharp."`
}

type superellipsoidFile struct {
	Size    [3]float64 `yaml:"size_mm,needed" above:"0" to:"2000" is:"Whole lengths along x, y, z."`
	Upright float64    `yaml:"exponent_upright,needed" from:"0.1" to:"1" is:"How round it is seen from the side: 1 as an ellipsoid, 0.1 nearly as a box."`
	Across  float64    `yaml:"exponent_across,needed" from:"0.1" to:"1" is:"How round it is seen from above."`
}

type crescentFile struct {
	Radius float64 `yaml:"arc_radius_mm,needed" above:"0" to:"2000" is:"Radius of the arc that the tube's middle follows."`
	Arc    float64 `yaml:"arc_deg,needed" above:"0" to:"359" is:"Angle of that arc."`
	Thick  float64 `yaml:"thick_mm,needed" above:"0" to:"1000" is:"Diameter of the tube in its middle."`
	Thin   float64 `yaml:"thin_mm,needed" above:"0" to:"1000" is:"Diameter of the balls at its ends."`
}

type meshFile struct {
	File  string  `yaml:"file,needed" is:"Path of an STL or OBJ file, from the folder of this one."`
	Scale float64 `yaml:"mm_per_unit,needed" above:"0" to:"1000000" is:"How long a unit of that file is; such files say nothing of it."`
}

// settingFile is a setting as its file has it.
type settingFile struct {
	Name       string       `yaml:"name,needed" is:"What people call the setting."`
	Note       string       `yaml:"note" is:"A sentence on what it is."`
	Support    surfaceFile  `yaml:"support,needed" is:"The plane z = 0."`
	Edge       *float64     `yaml:"edge_mm" from:"-5000" to:"5000" is:"The support ends there across x; beyond is nothing. Left out: it does not end."`
	Walls      []wallFile   `yaml:"walls" many:"10" is:"Walls across x that look back towards the item."`
	Tray       *trayFile    `yaml:"tray" is:"Four walls around the origin."`
	Blocks     []blockFile  `yaml:"blocks" many:"20" is:"Boxes along the axes that do not move."`
	Neighbours [][2]float64 `yaml:"neighbours_mm" many:"11" from:"-2000" to:"2000" is:"Where more items of the family lie loose, as [x, y] from the first."`
}

type wallFile struct {
	At      float64      `yaml:"at_mm,needed" from:"-5000" to:"5000" is:"Where its face is, along x."`
	Height  float64      `yaml:"height_mm,needed" above:"0" to:"5000" is:"Height."`
	Surface *surfaceFile `yaml:"surface" is:"Left out: as the support."`
}

type trayFile struct {
	Along   float64      `yaml:"along_mm,needed" above:"0" to:"5000" is:"Inner length along x."`
	Across  float64      `yaml:"across_mm,needed" above:"0" to:"5000" is:"Inner length along y."`
	Height  float64      `yaml:"height_mm,needed" above:"0" to:"5000" is:"Height of its walls."`
	Surface *surfaceFile `yaml:"surface" is:"Left out: as the support."`
}

type blockFile struct {
	Name    string       `yaml:"name,needed" is:"What it is."`
	Low     [3]float64   `yaml:"low_mm,needed" from:"-5000" to:"5000" is:"Its corner with the least x, y, z."`
	High    [3]float64   `yaml:"high_mm,needed" from:"-5000" to:"5000" is:"The opposite corner."`
	Surface *surfaceFile `yaml:"surface" is:"Left out: as the support."`
}

// strategyFile is a strategy as its file has it.
type strategyFile struct {
	Name      string      `yaml:"name,needed" is:"What people call the strategy."`
	Note      string      `yaml:"note" is:"A sentence on what it does."`
	Kind      string      `yaml:"kind,needed" is:"free, surface-guided, wall-guided, edge-pull, scoop, or a name of one's own."`
	Clearance float64     `yaml:"clearance_mm" from:"-200" to:"200" is:"Kept from what must not be touched; negative lets the tips press into the support that far."`
	Standoff  float64     `yaml:"standoff_mm" from:"0" to:"1000" is:"How far above lies behind the place that follows."`
	Overhang  float64     `yaml:"overhang_share" from:"0" to:"0.99" is:"Share of the item that an edge-pull draws out over the edge. Left out or 0: 0.45."`
	Nearest   float64     `yaml:"nearest_mm" from:"0" to:"1000" is:"Least distance of the palm from the item's middle at the grasp. Left out or 0: as the item's size allows."`
	Farthest  float64     `yaml:"farthest_mm" from:"0" to:"1000" is:"Largest such distance; it wins over the clearance: the fingers then bend on the support. Left out or 0: any."`
	Lean      float64     `yaml:"lean_deg" from:"0" to:"90" is:"Least that the approach direction must lean the way of the first slide. Left out or 0: any."`
	Phases    []phaseFile `yaml:"phases,needed" few:"1" many:"40" is:"What is done, one after the other. A trial begins where the first, a move, ends."`
}

type phaseFile struct {
	Name         string   `yaml:"name" is:"What it is for."`
	Do           string   `yaml:"do,needed" words:"move|press|slide|close|comply|lift|hold|shake|adjust" is:"move to a place; press on along the approach direction; slide along the support; close the hand alone; comply: give way to what pushes; lift straight up; hold still; shake to and fro sideways; adjust: move the palm by what the hand's first touch asks for."`
	To           string   `yaml:"to" words:"above|grasp|tips|behind|back|top|beyond|around" is:"Where a move ends: above by the standoff; grasp as deep as palm and support allow; tips where they meet the support; behind the item, away from where it will be slid; back as behind, with the hand pointing down; top above it, pointing down; beyond the edge; around what stands out over it."`
	Toward       string   `yaml:"toward" words:"wall|edge|approach" is:"Where a slide goes: to the nearest wall, to the edge, or where the approach direction points on the support."`
	Distance     float64  `yaml:"distance_mm" from:"0" to:"2000" is:"How far a press or slide goes at most, how high a lift goes, how wide a shake swings to each side."`
	Speed        float64  `yaml:"speed_mm_per_s" from:"0" to:"3000" is:"The largest on the way. Left out or 0: 250."`
	Seconds      float64  `yaml:"time_s" from:"0" to:"60" is:"Of a close, comply, hold or shake; the least of a move or lift."`
	Hertz        float64  `yaml:"frequency_Hz" from:"0" to:"20" is:"Of a shake."`
	Command      *float64 `yaml:"command" from:"0" to:"1" is:"Closing command at the phase's end as a share of the trial's, reached evenly. Left out: it stays."`
	UntilForce   float64  `yaml:"until_force_N" from:"0" to:"1000" is:"Ends a press, slide, move or close as soon as the hand feels it."`
	UntilContact bool     `yaml:"until_contact" is:"Ends it at the first touch that the wrist feels."`
	UntilTouch   bool     `yaml:"until_touch" is:"Ends it at the first touch that a pad of the hand feels."`
	KeepForce    float64  `yaml:"keep_force_N" from:"0" to:"1000" is:"Held along the approach direction while the phase lasts."`
	MostForce    float64  `yaml:"most_force_N" from:"0" to:"10000" is:"On the hand: more stops the trial."`

	Adjustments []adjustmentFile `yaml:"adjustments" many:"400" is:"Of an adjust: what to do by which link was touched first."`
}

type adjustmentFile struct {
	Finger      int              `yaml:"finger,needed" from:"0" to:"40" is:"Touched first, counted from 1; 0 is the palm."`
	Link        int              `yaml:"link" from:"0" to:"40" is:"Of the finger, counted from 1. Left out or 0: any that has no entry of its own."`
	Move        [3]float64       `yaml:"move_mm,needed" from:"-100" to:"100" is:"Of the palm in its own frame: x across the fingers' opening, z out of the palm. What points up or down is left out."`
	PerCommand  [3]float64       `yaml:"per_command_mm" from:"-1000" to:"1000" is:"Added for each unit of closing command by which the touch came later than at_command."`
	At          float64          `yaml:"at_command" from:"0" to:"1" is:"The closing command at which the move alone holds."`
	Low         float64          `yaml:"low_command" from:"0" to:"1" is:"The least command that per_command_mm goes by: a touch that came earlier counts as this."`
	High        float64          `yaml:"high_command" from:"0" to:"1" is:"The most. Left out or 0: unbounded."`
	Turn        float64          `yaml:"turn_deg" from:"-90" to:"90" is:"Of the palm about its z, after the move."`
	ByDirection *byDirectionFile `yaml:"by_direction" is:"What the direction in which the item lies from the touched pad adds to the move."`
}

type byDirectionFile struct {
	PerX [3]float64 `yaml:"per_x_mm,needed" from:"-1000" to:"1000" is:"Added for each unit by which the x of the direction (a unit vector in the palm's x and y) is above that of at."`
	PerY [3]float64 `yaml:"per_y_mm,needed" from:"-1000" to:"1000" is:"The same for its y."`
	At   [2]float64 `yaml:"at,needed" from:"-1" to:"1" is:"The direction's x and y at which the move alone holds."`
	Low  [2]float64 `yaml:"low,needed" from:"-1" to:"1" is:"The least x and y that the move goes by."`
	High [2]float64 `yaml:"high,needed" from:"-1" to:"1" is:"The most."`
}
