package observation

// The closed vocabularies of the contract, in their natural order where they have one.
var (
	MagnetWords    = []string{"none", "slight", "strong"}
	VolumeWords    = []string{"none", "very-small", "small", "moderate", "moderately-large", "large", "very-large"}
	LengthWords    = []string{"none", "short", "medium", "long"}
	SparkColors    = []string{"dull-red", "red", "orange", "light-orange", "yellow", "straw", "white"}
	BurstWords     = []string{"none", "few", "moderate", "many", "very-many"}
	BurstForms     = []string{"forked", "fine-repeating", "spear-tip", "buds", "other"}
	SpreadWords    = []string{"narrow", "medium", "wide"}
	AgainstWords   = []string{"less", "same", "more"}
	FileWords      = []string{"bites-easily", "bites", "hard-to-bite", "skates"}
	HardnessScales = []string{"HB", "HRC", "HRB", "HRA", "HV", "HLD"}
	ChipWords      = []string{"continuous-smooth", "continuous-saw-edge", "short-broken", "crumbles", "cannot-chip"}
	RustWords      = []string{"red-rust", "none", "green-patina", "white-bloom"}
	WeightWords    = []string{"light", "normal", "heavy"}
	SoundWords     = []string{"rings", "dull"}
	ColorWords     = []string{"silver-white", "grey-white", "steel-grey", "dark-grey", "bluish-white", "bluish-grey",
		"pink-silver", "red-brown", "reddish-yellow", "yellow", "gold"}
	FractureWords = []string{"fibrous", "silky-grey", "fine-grey", "crystalline-bright", "dark-graphite",
		"silver-grey-granular", "white-crystalline", "picture-frame", "case-and-core", "granular-light",
		"smooth-coloured", "crystalline-coloured", "tears-no-break"}
	SurfaceWords = []string{"cast-sand", "cast-smooth", "rolled", "forged", "drawn-or-machined", "plated", "overlay", "sintered"}
	TorchWords   = []string{"sparks-freely", "sparks-few", "quiet-puddle", "jelly-puddle", "boils", "slag-lines",
		"oxide-skin", "white-fume", "collapses", "burns", "does-not-melt"}
	ChemMethods = []string{"xrf", "libs", "lab", "certificate"}
	ClaimBy     = []string{"rep", "owner", "stamp", "certificate", "specialist"}
	Jobs        = []string{"crack", "break", "build-up", "hardface", "overlay", "patch", "join"}
	LimitWords  = []string{"no-preheat", "preheat-ok", "no-pwht", "no-h4", "machinable", "colour-match", "emergency",
		"light-duty", "flat", "horizontal", "vertical-up", "vertical-down", "overhead",
		"smaw", "gmaw", "fcaw", "gtaw", "saw", "oxyfuel", "braze", "ac-only", "dc"}
	Currencies = []string{"usd", "eur", "gbp", "cad", "aud"}
	Elements   = []string{"C", "Mn", "Si", "P", "S", "Cr", "Ni", "Mo", "V", "W", "Cu", "Al", "Nb", "Ti", "N", "B", "Co",
		"Pb", "Sn", "Zn", "Mg", "Fe", "Be", "Sb"}

	// ServiceWords are what the part must bear: service and duty words of the safety rules and of the matching
	// tables, the wear mechanisms, and food, sea-water, cyclic.
	ServiceWords = []string{"low-stress", "high-stress", "gouging", "impact", "metal-to-metal", "galling", "erosion", "heat",
		"corrosion", "cavitation", "food", "sea-water", "cyclic",
		"aerospace", "fatigue", "flammable", "fuel-gas", "fuel-system", "lifting", "load-bearing", "low-head", "low-temperature",
		"medical", "nuclear", "offshore", "pressure", "rotating", "sealing", "solvent-system", "subsea",
		"full-strength", "undermatch", "light-duty", "emergency", "machinable", "not-machined", "cutting-edge", "leak-tight",
		"colour-match", "conductivity", "no-impact", "abrasion", "corrosion-service"}
	// ProcessWords and TestWords are those of the safety rules.
	ProcessWords = []string{"any-weld", "arc", "braze", "build-up", "cool", "crane-lift", "cut", "drill", "entry", "fcaw", "gmaw",
		"gouge", "grind", "gtaw", "hardface", "hot-work", "machining", "oxyfuel", "peen", "plasma", "pour", "preheat", "purge",
		"pwht", "saw", "smaw", "torch-heat"}
	TestWords = []string{"acid-hf", "acid-spot", "any", "chip", "density", "file", "fracture", "hardness-indent",
		"hardness-rebound", "libs", "magnet", "punch", "spark", "torch", "xrf"}
)

// MostCost bounds every figure of a cost: above it a digit slipped.
const MostCost = 1e9
