package scenes

// handFile is a hand as its file has it.
type handFile struct {
	Name     string        `yaml:"name,needed" is:"What people call the hand."`
	Note     string        `yaml:"note" is:"A sentence on what it is."`
	_        struct{}      `one:"fingers|urdf"`
	Fingers  []fingerFile  `yaml:"fingers" few:"1" many:"12" is:"The fingers, in the order in which cords and chambers count their joints."`
	URDF     *urdfFile     `yaml:"urdf" is:"Links and joints of a URDF file in place of fingers."`
	Motors   []motorFile   `yaml:"motors" many:"12" is:"What draws cords."`
	Cords    []cordFile    `yaml:"cords" many:"40" is:"Tendons and rods over joints. One cord over many fingers has one tension, as behind an ideal differential; a cord for each finger with stretch equalises by springs."`
	Chambers []chamberFile `yaml:"chambers" many:"40" is:"Air lines and what they bend."`
	Wrist    *wristFile    `yaml:"wrist" is:"What gives between robot and palm. Left out: rigid."`
	Palm     palmFile      `yaml:"palm,needed" is:"The flat round palm between the fingers, in the plane z = 0."`
	Skin     skinFile      `yaml:"skin,needed" is:"How fingers and palm touch a clean dry item."`
	Symmetry *symmetryFile `yaml:"symmetry" is:"The hand's symmetry about the palm's axis. Left out: none."`
}

type fingerFile struct {
	Name     string        `yaml:"name" is:"Name; fingers made by around get a number behind it. Left out: finger-1 and so on."`
	_        struct{}      `most:"root_mm|around"`
	_        struct{}      `most:"turn|quaternion"`
	_        struct{}      `one:"joints|segments"`
	Root     *[3]float64   `yaml:"root_mm" from:"-500" to:"500" is:"Where the finger begins, in the palm's frame. Left out: the palm's middle."`
	Turn     []turnFile    `yaml:"turn" many:"10" is:"How the finger's frame is turned in the palm's: one turn after the other about the palm's axes. A finger that is not turned points along z, its inner side towards −x."`
	Rotation *[4]float64   `yaml:"quaternion" from:"-1" to:"1" is:"The same as turn, as a unit quaternion [w, x, y, z]."`
	Around   *aroundFile   `yaml:"around" is:"Repeats the finger around the palm's axis."`
	Joints   []jointFile   `yaml:"joints" few:"1" many:"12" is:"Joints from the palm to the tip, each with the link that it moves."`
	Segments *segmentsFile `yaml:"segments" is:"A straight elastic finger cut into equal segments, as an air finger or a leaf spring."`
}

type turnFile struct {
	About string  `yaml:"about,needed" words:"x|y|z" is:"Axis of the palm; right-handed."`
	By    float64 `yaml:"by_deg,needed" from:"-360" to:"360" is:"Angle."`
}

type aroundFile struct {
	Count  int     `yaml:"count,needed" from:"1" to:"12" is:"How many fingers, evenly around."`
	Radius float64 `yaml:"radius_mm,needed" from:"0" to:"500" is:"Of the circle on which the fingers begin."`
	Height float64 `yaml:"height_mm" from:"-500" to:"500" is:"Of that circle above the palm, along z."`
	Splay  float64 `yaml:"splay_deg" from:"-120" to:"120" is:"How far the fingers lean outward."`
	Start  float64 `yaml:"start_deg" from:"-360" to:"360" is:"Of the first finger around z, from x."`
}

type jointFile struct {
	Name   string      `yaml:"name" is:"Name that cords can use. Left out: its number."`
	Slides bool        `yaml:"slides" is:"It slides along its axis instead of turning about it."`
	Origin *[3]float64 `yaml:"origin_mm" from:"-1000" to:"1000" is:"Where the joint is in the frame of the link before; all frames of a finger are parallel while its joints are at 0. Left out: at the end of the link before."`
	Axis   *[3]float64 `yaml:"axis" from:"-1000000" to:"1000000" is:"Direction of the axis, of any length; right-handed. Left out: [0, −1, 0], about which positive angles close; one that slides needs it."`
	springFile
	Link linkFile `yaml:"link,needed" is:"The rigid part that it moves."`
}

// springFile is what resists a joint; it stands in a joint, and beside the joints of a URDF file.
type springFile struct {
	Stiffness      float64    `yaml:"stiffness_Nm_per_rad" from:"0" to:"10000" is:"Of the spring of a joint that turns."`
	Damping        float64    `yaml:"damping_Nms_per_rad" from:"0" to:"1000" is:"Of a joint that turns."`
	Rest           float64    `yaml:"rest_deg" from:"-720" to:"720" is:"Angle at which the spring is slack, and at which a trial begins."`
	Armature       float64    `yaml:"armature_g_mm2" from:"0" to:"1000000000" is:"Inertia of what turns with this joint alone, as a pulley on its shaft."`
	SlideStiffness float64    `yaml:"stiffness_N_per_mm" from:"0" to:"10000" is:"Of the spring of a joint that slides."`
	SlideDamping   float64    `yaml:"damping_Ns_per_mm" from:"0" to:"1000" is:"Of a joint that slides."`
	SlideRest      float64    `yaml:"rest_mm" from:"-1000" to:"1000" is:"Where a sliding joint's spring is slack."`
	SlideArmature  float64    `yaml:"armature_g" from:"0" to:"100000" is:"Mass of what slides with this joint alone."`
	Stops          *stopsFile `yaml:"stops" is:"Ends of the travel, as springs. Left out: none."`
}

type stopsFile struct {
	_              struct{} `one:"lower_deg|lower_mm"`
	_              struct{} `one:"upper_deg|upper_mm"`
	_              struct{} `one:"stiffness_Nm_per_rad|stiffness_N_per_mm"`
	Lower          *float64 `yaml:"lower_deg" from:"-720" to:"720" is:"Where the lower stop begins to act."`
	Upper          *float64 `yaml:"upper_deg" from:"-720" to:"720" is:"Where the upper stop begins to act."`
	Stiffness      float64  `yaml:"stiffness_Nm_per_rad" above:"0" to:"100000" is:"Beyond the stops."`
	Ramp           float64  `yaml:"ramp_deg" from:"0" to:"90" is:"Over which the stiffness comes in. Left out or 0: 0.02 rad."`
	SlideLower     *float64 `yaml:"lower_mm" from:"-1000" to:"1000" is:"The same for a joint that slides."`
	SlideUpper     *float64 `yaml:"upper_mm" from:"-1000" to:"1000" is:"The same for a joint that slides."`
	SlideStiffness float64  `yaml:"stiffness_N_per_mm" above:"0" to:"100000" is:"The same for a joint that slides."`
	SlideRamp      float64  `yaml:"ramp_mm" from:"0" to:"100" is:"The same for a joint that slides. Left out or 0: 0.2 mm."`
}

type linkFile struct {
	_       struct{}     `most:"length_mm|to_mm"`
	_       struct{}     `most:"mass_g|density_kg_per_m3"`
	Length  float64      `yaml:"length_mm" from:"0" to:"1000" is:"Of the capsule's middle line, from the joint along z."`
	From    [3]float64   `yaml:"from_mm" from:"-1000" to:"1000" is:"Where the capsule's middle line begins, in the link's frame. Left out: at the joint."`
	To      *[3]float64  `yaml:"to_mm" from:"-1000" to:"1000" is:"Where it ends, if not along z."`
	Radius  float64      `yaml:"radius_mm,needed" from:"0" to:"200" is:"Of the capsule."`
	Mass    float64      `yaml:"mass_g" from:"0" to:"100000" is:"Mass."`
	Density float64      `yaml:"density_kg_per_m3" above:"0" to:"30000" is:"In place of a mass: that of what fills the capsule."`
	Centre  *[3]float64  `yaml:"centre_mm" from:"-1000" to:"1000" is:"Centre of mass in the link's frame. Left out: the capsule's middle."`
	Inertia *inertiaFile `yaml:"inertia_g_mm2" is:"About the centre of mass. Left out: that of the capsule, evenly filled."`
}

type inertiaFile struct {
	XX float64 `yaml:"xx,needed" from:"0" to:"1000000000000" is:"Moment of inertia about an axis along x."`
	YY float64 `yaml:"yy,needed" from:"0" to:"1000000000000" is:"About y."`
	ZZ float64 `yaml:"zz,needed" from:"0" to:"1000000000000" is:"About z."`
	XY float64 `yaml:"xy" from:"-1000000000000" to:"1000000000000" is:"Entry of the tensor, the negative of the product of inertia."`
	XZ float64 `yaml:"xz" from:"-1000000000000" to:"1000000000000" is:"The same."`
	YZ float64 `yaml:"yz" from:"-1000000000000" to:"1000000000000" is:"The same."`
}

type segmentsFile struct {
	_        struct{}      `one:"bend_closing_Nmm2|measured"`
	Count    int           `yaml:"count,needed" from:"1" to:"12" is:"How many segments; each has a joint for every direction in which the finger gives, 12 in all at most. Four to six are enough."`
	Length   float64       `yaml:"length_mm,needed" above:"0" to:"1000" is:"Of the finger."`
	Radius   float64       `yaml:"radius_mm,needed" above:"0" to:"200" is:"Of its capsules."`
	Mass     float64       `yaml:"mass_g,needed" above:"0" to:"100000" is:"Of the finger, spread evenly."`
	Closing  float64       `yaml:"bend_closing_Nmm2" above:"0" to:"1000000000" is:"Bending stiffness EI against closing (about y)."`
	Sideways float64       `yaml:"bend_sideways_Nmm2" from:"0" to:"1000000000" is:"Bending stiffness sideways (about x). Left out or 0: it does not give."`
	Twist    float64       `yaml:"twist_Nmm2" from:"0" to:"1000000000" is:"Torsional stiffness GJ about its length. Left out or 0: it does not give."`
	Loss     float64       `yaml:"loss_s" from:"0" to:"10" is:"Damping over stiffness of every joint."`
	Measured *measuredFile `yaml:"measured" is:"What a bench has measured, in place of bend_closing_Nmm2; it also gives chambers their moment."`
}

type measuredFile struct {
	Bench   string        `yaml:"bench,needed" words:"guided|tip-held" is:"How the blocked force was measured: a rail keeps the finger straight, or only its tip is held and it arches."`
	Free    []freeFile    `yaml:"free,needed" few:"1" many:"100" is:"Angles to which the free finger bends."`
	Blocked []blockedFile `yaml:"blocked,needed" few:"1" many:"100" is:"Forces of the blocked tip."`
}

type freeFile struct {
	Pressure float64 `yaml:"pressure_kPa,needed" above:"0" to:"10000" is:"Pressure above the surroundings."`
	Angle    float64 `yaml:"angle_deg,needed" above:"0" to:"720" is:"Angle between root and tip."`
}

type blockedFile struct {
	Pressure float64 `yaml:"pressure_kPa,needed" above:"0" to:"10000" is:"Pressure above the surroundings."`
	Force    float64 `yaml:"force_N,needed" above:"0" to:"10000" is:"Force of the tip."`
}

type motorFile struct {
	Name      string  `yaml:"name" is:"Name that cords use. Left out: motor-1 and so on."`
	Travel    float64 `yaml:"travel_mm,needed" from:"0" to:"1000" is:"At a closing command of 1."`
	Stiffness float64 `yaml:"stiffness_N_per_mm,needed" above:"0" to:"100000" is:"Of what keeps it where it is told to be."`
	MostForce float64 `yaml:"most_force_N,needed" from:"0" to:"100000" is:"The largest that it pulls with."`
	Inertia   float64 `yaml:"inertia_g" from:"0" to:"1000000" is:"Of rotor and gear as a mass that the cords feel. Needed with several cords or with friction."`
	Friction  float64 `yaml:"friction_N" from:"0" to:"100000" is:"Of the gear: what the motor loses of its force, and what has to be overcome from outside to drive it back."`
}

type cordFile struct {
	Name      string        `yaml:"name" is:"Name."`
	Motor     string        `yaml:"motor" is:"The motor that draws it. Left out: the only one."`
	Gain      float64       `yaml:"gain" from:"0" to:"100" is:"mm drawn per mm of the motor's travel. Left out or 0: 1."`
	Stiffness float64       `yaml:"stiffness_N_per_mm" from:"0" to:"100000" is:"Of its stretch. Left out or 0: it does not stretch."`
	Pushes    bool          `yaml:"pushes" is:"It is a rod: it pushes as well."`
	Friction  float64       `yaml:"friction" from:"0" to:"2" is:"Coefficient with which it rubs over curves (capstan)."`
	OneEach   bool          `yaml:"one_per_finger" is:"Stands for a cord like this over each finger by itself."`
	Over      []overFile    `yaml:"over" many:"12" is:"The fingers that it runs over."`
	Joints    []byJointFile `yaml:"by_joint" many:"144" is:"Single joints that it runs over, by name."`
}

type overFile struct {
	Fingers []string  `yaml:"fingers" few:"1" many:"12" is:"Names of fingers, or of one entry of fingers with all that it repeats. Left out: all."`
	Arms    []float64 `yaml:"arms_mm" many:"12" from:"-500" to:"500" is:"Moment arm at each joint of such a finger: pulling turns joints with a positive arm towards positive angles; 0 where the cord passes by or the joint slides."`
	Slides  []float64 `yaml:"per_mm" many:"12" from:"-100" to:"100" is:"The same for joints that slide: mm of cord drawn per mm; 0 for joints that turn."`
	Wraps   []float64 `yaml:"wraps_deg" many:"12" from:"0" to:"3600" is:"Curve around which it rubs on the way to each joint."`
}

type byJointFile struct {
	Joint string  `yaml:"joint,needed" is:"Name of the joint, with its finger's before it and a slash between if several have that name."`
	Arm   float64 `yaml:"arm_mm" from:"-500" to:"500" is:"Moment arm there."`
	Slide float64 `yaml:"per_mm" from:"-100" to:"100" is:"mm of cord drawn per mm of a joint that slides."`
	Wrap  float64 `yaml:"wrap_deg" from:"0" to:"3600" is:"Curve around which it rubs on the way there."`
}

type chamberFile struct {
	Name     string    `yaml:"name" is:"Name."`
	Pressure float64   `yaml:"pressure_kPa,needed" from:"0" to:"10000" is:"Above the surroundings, at a closing command of 1."`
	Filling  float64   `yaml:"filling_s" from:"0" to:"60" is:"Time constant of filling."`
	Venting  float64   `yaml:"venting_s" from:"0" to:"60" is:"Time constant of venting."`
	Fingers  []string  `yaml:"fingers" few:"1" many:"12" is:"Names of fingers, or of one entry of fingers with all that it repeats. Left out: all."`
	_        struct{}  `most:"moment_Nmm_per_kPa|torques_Nmm_per_kPa"`
	_        struct{}  `most:"towards_deg|torques_Nmm_per_kPa"`
	Moment   float64   `yaml:"moment_Nmm_per_kPa" above:"0" to:"100000" is:"Bending moment per pressure, the same all along a finger of segments. Left out: as measured."`
	Towards  *float64  `yaml:"towards_deg" from:"-360" to:"360" is:"Where the tip of a finger of segments goes under pressure: about its z from its x. Left out: 180, which closes."`
	Torques  []float64 `yaml:"torques_Nmm_per_kPa" few:"1" many:"12" from:"-100000" to:"100000" is:"Torque on each joint per pressure, for fingers of joints; N/kPa for joints that slide."`
}

type wristFile struct {
	Stiffness [3]float64 `yaml:"stiffness_N_per_mm,needed" above:"0" to:"100000" is:"Along the palm's x, y, z."`
	Turning   [3]float64 `yaml:"stiffness_Nm_per_rad,needed" above:"0" to:"1000000" is:"About the palm's x, y, z."`
	Damping   float64    `yaml:"damping_share" from:"0" to:"10" is:"Share of the critical damping. Left out or 0: 0.7."`
	Mass      float64    `yaml:"mass_g,needed" above:"0" to:"1000000" is:"Of all that it carries: palm, motors and fingers."`
}

type palmFile struct {
	Radius float64 `yaml:"radius_mm,needed" above:"0" to:"1000" is:"Radius."`
}

type skinFile struct {
	surfaceFile
	Modulus   float64 `yaml:"modulus_kPa" from:"0" to:"1000000000" is:"E/(1 − ν²) of the skin, for the pressure under it. Left out or 0: not known."`
	Thickness float64 `yaml:"thickness_mm" from:"0" to:"1000" is:"Of the skin on what is hard below it, for the pressure under it. Left out or 0: so thick that it does not matter."`
}

type surfaceFile struct {
	Friction  float64  `yaml:"friction,needed" from:"0" to:"10" is:"Coulomb's coefficient."`
	Stiffness float64  `yaml:"stiffness_N_per_mm,needed" above:"0" to:"100000" is:"Of a touch along the normal."`
	Damping   float64  `yaml:"damping_Ns_per_mm" from:"0" to:"1000" is:"Of a touch along the normal. Left out: none."`
	Shear     *float64 `yaml:"shear_N_per_mm" above:"0" to:"100000" is:"Stiffness along the surface before it slips. Left out: two thirds of the normal one, as of skin that keeps its volume (Mindlin)."`
}

type symmetryFile struct {
	Fold   int  `yaml:"roll_fold,needed" from:"1" to:"12" is:"How often the hand looks the same in a whole turn about the palm's axis."`
	Mirror bool `yaml:"mirror" is:"It is its own mirror image in the plane of x and z."`
}

type urdfFile struct {
	File       string          `yaml:"file,needed" is:"Path of the URDF file, from the folder of this one."`
	Palm       string          `yaml:"palm" is:"The link that is the palm; each chain of joints that leaves it is a finger. Left out: the root link."`
	Origin     [3]float64      `yaml:"palm_origin_mm" from:"-1000" to:"1000" is:"Where the palm's frame is in the frame of that link."`
	_          struct{}        `most:"palm_turn|palm_quaternion"`
	Turn       []turnFile      `yaml:"palm_turn" many:"10" is:"How the palm's frame is turned in that link's: z out of the palm, x across the fingers' opening."`
	Rotation   *[4]float64     `yaml:"palm_quaternion" from:"-1" to:"1" is:"The same, as a unit quaternion [w, x, y, z]."`
	Stop       float64         `yaml:"stop_stiffness_Nm_per_rad" from:"0" to:"100000" is:"Of the limits of revolute joints. Left out or 0: 5."`
	SlideStop  float64         `yaml:"stop_stiffness_N_per_mm" from:"0" to:"100000" is:"Of the limits of prismatic joints. Left out or 0: 100."`
	EveryJoint *springFile     `yaml:"every_joint" is:"Spring and damping of all joints that have no entry of their own."`
	Joints     []urdfJointFile `yaml:"joints" many:"144" is:"Springs of single joints."`
}

type urdfJointFile struct {
	Joint string `yaml:"joint,needed" is:"Its name in the URDF file."`
	springFile
}
