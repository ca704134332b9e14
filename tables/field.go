package tables

// Field is one of the things that a column can tell about a trial.
type Field uint8

// The fields of a trial. Their column names are given by [Field.String].
const (
	FieldHand Field = iota
	FieldItem
	FieldSetting
	FieldStrategy
	FieldOperator
	FieldNote
	FieldVoidReason
	FieldKey
	FieldQW
	FieldQX
	FieldQY
	FieldQZ
	FieldTilt
	FieldAzimuth
	FieldRoll
	FieldClosing
	FieldOffsetX
	FieldOffsetY
	FieldOffsetZ
	FieldPeakForce
	FieldDuration
	FieldBlock
	FieldHeld
	FieldTrials
	FieldReference
	FieldOutcome
	FieldStartedAt
	FieldItemSize
	FieldItemMass
	fieldCount
)

type kind uint8

const (
	kindText    kind = iota
	kindNumber       // a finite decimal number within bounds
	kindWhole        // a whole number within bounds
	kindTruth        // true or false
	kindOutcome      // a word for how a trial ended
	kindTime         // RFC 3339
)

// rule says what a field's column is called and which values it takes, in the file's units.
type rule struct {
	name   string
	kind   kind
	lo, hi float64
	unit   string
	length int // bytes of text; 0: not limited here
}

// The bounds are those of domain.Trial.Validate and domain.Item.Validate, so that a fault is found here, where row and column are known.
var rules = [fieldCount]rule{
	FieldHand:       {name: "hand", kind: kindText, length: 120},
	FieldItem:       {name: "item", kind: kindText, length: 120},
	FieldSetting:    {name: "setting", kind: kindText, length: 120},
	FieldStrategy:   {name: "strategy", kind: kindText, length: 120},
	FieldOperator:   {name: "operator", kind: kindText, length: 120},
	FieldNote:       {name: "note", kind: kindText, length: 4000},
	FieldVoidReason: {name: "void_reason", kind: kindText, length: 4000},
	FieldKey:        {name: "key", kind: kindText, length: 180},
	FieldQW:         {name: "qw", kind: kindNumber, lo: -2, hi: 2},
	FieldQX:         {name: "qx", kind: kindNumber, lo: -2, hi: 2},
	FieldQY:         {name: "qy", kind: kindNumber, lo: -2, hi: 2},
	FieldQZ:         {name: "qz", kind: kindNumber, lo: -2, hi: 2},
	FieldTilt:       {name: "tilt_deg", kind: kindNumber, lo: 0, hi: 180, unit: "°"},
	FieldAzimuth:    {name: "azimuth_deg", kind: kindNumber, lo: -360, hi: 360, unit: "°"},
	FieldRoll:       {name: "roll_deg", kind: kindNumber, lo: -360, hi: 360, unit: "°"},
	FieldClosing:    {name: "closing", kind: kindNumber, lo: 0, hi: 1},
	FieldOffsetX:    {name: "offset_x_mm", kind: kindNumber, lo: -1000, hi: 1000, unit: " mm"},
	FieldOffsetY:    {name: "offset_y_mm", kind: kindNumber, lo: -1000, hi: 1000, unit: " mm"},
	FieldOffsetZ:    {name: "offset_z_mm", kind: kindNumber, lo: -1000, hi: 1000, unit: " mm"},
	FieldPeakForce:  {name: "peak_force_N", kind: kindNumber, lo: 0, hi: 10000, unit: " N"},
	FieldDuration:   {name: "duration_s", kind: kindNumber, lo: 0, hi: 86400, unit: " s"},
	FieldBlock:      {name: "block", kind: kindWhole, lo: 0, hi: 1e6},
	FieldHeld:       {name: "held", kind: kindWhole, lo: 0, hi: 1e5},
	FieldTrials:     {name: "trials", kind: kindWhole, lo: 0, hi: 1e5},
	FieldReference:  {name: "reference", kind: kindTruth},
	FieldOutcome:    {name: "outcome", kind: kindOutcome},
	FieldStartedAt:  {name: "started_at", kind: kindTime},
	FieldItemSize:   {name: "item_size_mm", kind: kindNumber, lo: 1, hi: 1000, unit: " mm"},
	FieldItemMass:   {name: "item_mass_g", kind: kindNumber, lo: 0.01, hi: 50000, unit: " g"},
}

// String gives the field's column name, with its unit.
func (f Field) String() string {
	if f >= fieldCount {
		return "unknown"
	}
	return rules[f].name
}

// fieldNames maps lower-case column names to fields.
var fieldNames = func() map[string]Field {
	m := make(map[string]Field, fieldCount)
	for f := range fieldCount {
		m[fold(rules[f].name)] = f
	}
	return m
}()

// Fields is a set of fields.
type Fields uint32

// Has says whether the set holds the field.
func (s Fields) Has(f Field) bool { return s&(1<<f) != 0 }

func (s Fields) with(list ...Field) Fields {
	for _, f := range list {
		s |= 1 << f
	}
	return s
}

var (
	quaternionFields = Fields(0).with(FieldQW, FieldQX, FieldQY, FieldQZ)
	angleFields      = Fields(0).with(FieldTilt, FieldAzimuth, FieldRoll)
	countFields      = Fields(0).with(FieldHeld, FieldTrials)
	featureFields    = Fields(0).with(FieldItemSize, FieldItemMass) // of items, not of trials: only [StreamFeatures] reads them
)
