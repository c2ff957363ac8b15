// Package observation holds what a rep reported of one part: the keys and closed words of the machine
// contract, how two observations merge, and how one is read from and printed as JSON.
//
// It never judges. A missing key means "not reported", never zero and never "none".
package observation

// Observation is everything reported of one part. Words are those of the contract (Words lists them);
// figures are in the unit that the name says.
type Observation struct {
	Magnet      string     `json:"magnet,omitempty"`
	Spark       *Spark     `json:"spark,omitempty"`
	SparkSkin   *Spark     `json:"spark_skin,omitempty"`
	File        string     `json:"file,omitempty"`
	Hardness    []Hardness `json:"hardness,omitempty"`
	Chip        string     `json:"chip,omitempty"`
	Rust        string     `json:"rust,omitempty"`
	DensityGCM3 *float64   `json:"density_g_cm3,omitempty"`
	Weight      string     `json:"weight,omitempty"`
	Sound       string     `json:"sound,omitempty"`

	Fracture []string `json:"fracture,omitempty"`
	Color    []string `json:"color,omitempty"`
	Torch    []string `json:"torch,omitempty"`
	Surface  []string `json:"surface,omitempty"`

	// Part holds the part's name as parts.csv has it when the words name exactly one, else the words.
	Part  string   `json:"part,omitempty"`
	Marks []string `json:"marks,omitempty"`

	Service      []string `json:"service,omitempty"`
	ServiceTempC *float64 `json:"service_temp_c,omitempty"`

	// Chem is the reported analysis in weight percent by element symbol. An element that is not listed was
	// not reported; it is not zero.
	Chem       map[string]float64 `json:"chem,omitempty"`
	ChemMethod string             `json:"chem_method,omitempty"`

	Claim    []Claim  `json:"claim,omitempty"`
	Excluded []string `json:"excluded,omitempty"`

	Job      string   `json:"job,omitempty"`
	JoinedTo string   `json:"joined_to,omitempty"`
	Size     *Size    `json:"size,omitempty"`
	Limits   []string `json:"limits,omitempty"`
	Have     []string `json:"have,omitempty"`
	Cost     *Cost    `json:"cost,omitempty"`

	Scene   *Scene   `json:"scene,omitempty"`
	Process []string `json:"process,omitempty"`
	Test    []string `json:"test,omitempty"`
}

// Spark is one look at one stream of sparks.
type Spark struct {
	Volume    string   `json:"volume,omitempty"`
	LengthIn  *float64 `json:"length_in,omitempty"` // stream length in inches; of wheel, speed and pressure as much as of the metal
	Length    string   `json:"length,omitempty"`
	ColorNear string   `json:"color_near,omitempty"`
	ColorEnd  string   `json:"color_end,omitempty"`
	Bursts    string   `json:"bursts,omitempty"`
	BurstForm string   `json:"burst_form,omitempty"`
	Spread    string   `json:"spread,omitempty"`
	Against   *Against `json:"against,omitempty"`
}

// Against compares the stream with that of a known piece on the same wheel.
type Against struct {
	Piece  string `json:"piece,omitempty"` // family id of the known piece
	Length string `json:"length,omitempty"`
	Volume string `json:"volume,omitempty"`
	Bursts string `json:"bursts,omitempty"`
}

// Hardness is one reading of a tester on one scale (HB, HRC, HRB, HRA, HV or HLD).
type Hardness struct {
	Value float64 `json:"value"`
	Scale string  `json:"scale"`
}

// Claim is what somebody says the metal is; hearsay is held loosely.
type Claim struct {
	Metal string `json:"metal"` // family or grade id
	By    string `json:"by"`
}

// Size is the part at the place of the repair, in millimetres.
type Size struct {
	ThicknessMM *float64 `json:"thickness_mm,omitempty"`
	LengthMM    *float64 `json:"length_mm,omitempty"`
	DepthMM     *float64 `json:"depth_mm,omitempty"`
	WidthMM     *float64 `json:"width_mm,omitempty"`
	DiameterMM  *float64 `json:"diameter_mm,omitempty"`
}

// Cost is what the rep says of money and time, all in one currency; it moves no judgment of the metal.
type Cost struct {
	Currency     string   `json:"currency,omitempty"`          // usd, eur, gbp, cad or aud; "" when none was told
	Replacement  *float64 `json:"replacement,omitempty"`       // price of a new part, fitted
	ReplaceH     *float64 `json:"replace_h,omitempty"`         // hours until the new part runs
	DowntimeH    *float64 `json:"downtime_per_h,omitempty"`    // what an hour of standing costs
	LabourH      *float64 `json:"labour_per_h,omitempty"`      // what an hour of the welder costs
	RepairH      *float64 `json:"repair_h,omitempty"`          // hours that the repair takes, where the rep knows better
	ConsumableKG *float64 `json:"consumable_per_kg,omitempty"` // price of a kilogram of rod or wire
	FuelKG       *float64 `json:"fuel_per_kg,omitempty"`       // price of a kilogram of preheat gas
}

// Scene is what surrounds the job; its words are the tags of the safety rules (tags.csv). Part and Ask
// are the safety tags of the thing itself: which kinds of part it certainly is, and which cautions an
// ambiguous word raises as a question.
type Scene struct {
	Site      []string `json:"site,omitempty"`
	Where     []string `json:"where,omitempty"`
	Use       []string `json:"use,omitempty"`
	Coating   []string `json:"coating,omitempty"`
	Enclosure []string `json:"enclosure,omitempty"`
	Residue   []string `json:"residue,omitempty"`
	State     []string `json:"state,omitempty"`
	Person    []string `json:"person,omitempty"`
	Temp      []string `json:"temp,omitempty"`
	Part      []string `json:"part,omitempty"`
	Ask       []string `json:"ask,omitempty"`
}

// Reading is what a message said: the observation, the words it did not understand, and for each key
// the words that the value came from.
type Reading struct {
	Observation Observation
	Unread      []string
	Spans       map[string]string
	Guessed     []string // spans read through a likely typing error
	Notes       []string // sentences: what was wrong with words that are not read, and what to type instead
}
