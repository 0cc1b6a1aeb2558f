package job

// SizingPlan is what published rules say to the size of a header, which cylinders go
// together, and what was decided. Lengths are mm, areas mm², angles degrees, shares
// percent; inputs are in the job's units. These are starting values, not promises.
type SizingPlan struct {
	Cautions []string       `json:"cautions"`
	Fuel     string         `json:"fuel"`
	Inputs   []InputPlan    `json:"inputs"`
	Rules    []RulePlan     `json:"rules"`
	Spreads  []SpreadPlan   `json:"spreads"`
	Sizes    []SizePlan     `json:"sizes"`
	Pairing  PairingPlan    `json:"pairing"`
	Ports    []PortTubePlan `json:"ports"`
	Slips    []SlipPlan     `json:"slips"`
	Growth   []GrowthPlan   `json:"growth"`
	Sensors  []SensorPlan   `json:"sensors"`
	Decision DecisionPlan   `json:"decision"`
	Disputed []string       `json:"disputed"` // slots in dispute on which any of it may rest
	Findings []Finding      `json:"findings"`
}

// SourcePlan is where something is from, and how well it is founded.
type SourcePlan struct {
	Text  string `json:"text"`
	Grade string `json:"grade"`
}

// InputPlan is an input of rules. Its value is in the unit of the job, so temperatures
// are °C.
type InputPlan struct {
	Key    string  `json:"key"`
	Label  string  `json:"label"`
	Unit   string  `json:"unit"`
	Value  *out    `json:"value"` // null while it is open
	Usual  *out    `json:"usual"`
	From   string  `json:"from"`   // entered, usual, derived, or the id of a rule; "" while it is open
	Grade  string  `json:"grade"`  // of what is usual and likely
	Source string  `json:"source"` // of the same
	Low    out     `json:"low"`
	High   out     `json:"high"`
	Likely *[2]out `json:"likely"`
	Slot   string  `json:"slot"` // where it is edited
}

// RulePlan is a rule with the values of this engine. Symbols and books are in the units of
// the formula.
type RulePlan struct {
	ID       string       `json:"id"`
	Name     string       `json:"name"`
	Question string       `json:"question"` // of Questions
	Formula  string       `json:"formula"`
	Sources  []SourcePlan `json:"sources"`
	Grade    string       `json:"grade"`
	Start    string       `json:"start"` // where the length of it counts from: valve, flange, joint, or ""
	Holds    string       `json:"holds"` // for what it is meant
	Note     string       `json:"note"`
	Symbols  []SymbolPlan `json:"symbols"`
	Values   []ValuePlan  `json:"values"`
	Open     []string     `json:"open"`    // labels of inputs that are missing
	Outside  []string     `json:"outside"` // letters of symbols for which it is not meant to hold
}

// SymbolPlan is a letter of a formula.
type SymbolPlan struct {
	Letter  string   `json:"letter"`
	Text    string   `json:"text"`
	Unit    string   `json:"unit"`
	Value   *out     `json:"value"`
	Key     string   `json:"key"`  // of the input that it is; "" where it follows from others
	Slot    string   `json:"slot"` // where that is edited
	Rests   []string `json:"rests"`
	From    string   `json:"from"`
	Grade   string   `json:"grade"`
	Low     *out     `json:"low"` // for which values the rule is meant to hold; null where nobody says
	High    *out     `json:"high"`
	Limits  string   `json:"limits"`
	Outside bool     `json:"outside"`
}

// ValuePlan is what a rule gives.
type ValuePlan struct {
	What     string `json:"what"`
	Name     string `json:"name"`
	Value    out    `json:"value"`
	Low      out    `json:"low"`
	High     out    `json:"high"`
	Unit     string `json:"unit"`
	Book     out    `json:"book"` // as the formula gives it
	BookUnit string `json:"book_unit"`
	Start    string `json:"start"`
}

// SpreadPlan is what all rules say to one question, on one scale.
type SpreadPlan struct {
	What     string       `json:"what"`
	Question string       `json:"question"`
	Start    string       `json:"start"`
	Unit     string       `json:"unit"`
	Low      out          `json:"low"`
	High     out          `json:"high"`
	From     out          `json:"from"` // with all bands
	To       out          `json:"to"`
	Marks    []SpreadMark `json:"marks"`
	Open     string       `json:"open"`   // why some are not in it
	Chosen   *out         `json:"chosen"` // what was decided, on the same scale
}

// SpreadMark is one value of a spread.
type SpreadMark struct {
	Rule    string `json:"rule"`
	Name    string `json:"name"`
	Value   out    `json:"value"`
	Low     out    `json:"low"`
	High    out    `json:"high"`
	Grade   string `json:"grade"`
	Moved   bool   `json:"moved"`
	Outside bool   `json:"outside"`
}

// SizePlan is a tube that is sold, held against the rules.
type SizePlan struct {
	OD            out           `json:"od"`
	Wall          out           `json:"wall"`
	ID            out           `json:"id"`
	Area          out           `json:"area"`
	SpeedAtTorque *out          `json:"speed_at_torque"` // m/s
	SpeedAtPower  *out          `json:"speed_at_power"`
	Peak          *out          `json:"peak"` // rpm
	PeakLow       *out          `json:"peak_low"`
	PeakHigh      *out          `json:"peak_high"`
	Against       []AgainstPlan `json:"against"`
	Within        bool          `json:"within"`
	InStock       bool          `json:"in_stock"`
	Chosen        bool          `json:"chosen"`
}

// AgainstPlan is a size held against one rule.
type AgainstPlan struct {
	Rule    string `json:"rule"`
	Off     out    `json:"off"`
	Percent out    `json:"percent"`
}

// PairingPlan is which cylinders fire how far apart.
type PairingPlan struct {
	Why       string         `json:"why"` // it is not known, or the style of the target has none
	Order     []int          `json:"order"`
	Numbering string         `json:"numbering"`
	Banks     []BankPlan     `json:"banks"`
	Spots     []SpotPlan     `json:"spots"`
	Styles    []StylePlan    `json:"styles"` // that of the target first
	Crossover *CrossoverPlan `json:"crossover"`
}

// BankPlan is a row of cylinders by the maker's numbers.
type BankPlan struct {
	Name      string `json:"name"`
	Cylinders []int  `json:"cylinders"`
}

// SpotPlan is where a cylinder that fires lies on the crank's circle.
type SpotPlan struct {
	Cylinder int    `json:"cylinder"`
	Bank     string `json:"bank"`
	Place    int    `json:"place"` // in its bank, from 1 at the front
	Cycle    out    `json:"cycle"`
	Crank    out    `json:"crank"`
	Turn     int    `json:"turn"`
}

// StylePlan is the best grouping for a style of header.
type StylePlan struct {
	Style  string           `json:"style"`
	Bank   string           `json:"bank"` // "" of all banks
	Best   []GroupingPlan   `json:"best"` // all that are equally good
	Ties   int              `json:"ties"`
	Next   []GroupingPlan   `json:"next"` // those that come after them, best first
	Worst  GroupingPlan     `json:"worst"`
	Inner  [][]GroupingPlan `json:"inner"`      // of each group of the first of Best, with secondaries
	After  [][]GroupingPlan `json:"inner_next"` // of each likewise, those that come after
	Source SourcePlan       `json:"source"`
}

// GroupingPlan is cylinders dealt out into groups.
type GroupingPlan struct {
	Groups []GroupPlan `json:"groups"`
	Least  out         `json:"least"`
	Even   bool        `json:"even"`
}

// GroupPlan is cylinders that share a tube or a collector, in the order round it.
type GroupPlan struct {
	Cylinders []int `json:"cylinders"`
	Gaps      []out `json:"gaps"`
	Least     out   `json:"least"`
	Even      bool  `json:"even"`
}

// CrossoverPlan is a crossover set.
type CrossoverPlan struct {
	Sides []SidePlan `json:"sides"`
	Cross []int      `json:"cross"`
	Even  bool       `json:"even"`
	Ties  int        `json:"ties"`
}

// SidePlan is one collector of it, and the bank that it lies beside.
type SidePlan struct {
	Bank  string    `json:"bank"`
	Group GroupPlan `json:"group"`
}

// PortTubePlan is a port against the tube behind it, or against what was decided where it
// has none.
type PortTubePlan struct {
	Port             string       `json:"port"`
	Tube             string       `json:"tube"`
	Perimeter        out          `json:"perimeter"`
	Area             out          `json:"area"`
	TubePerimeter    out          `json:"tube_perimeter"`
	TubeArea         out          `json:"tube_area"`
	ByPerimeter      out          `json:"by_perimeter"` // how much larger the tube is on each side
	ByArea           out          `json:"by_area"`
	PerimeterPercent out          `json:"perimeter_percent"`
	AreaPercent      out          `json:"area_percent"`
	Stretch          out          `json:"stretch"` // percent
	Disagree         bool         `json:"disagree"`
	Choices          []ChoicePlan `json:"choices"`
	Source           SourcePlan   `json:"source"` // of how much the step may be
}

// ChoicePlan is one way to go on where area and perimeter disagree.
type ChoicePlan struct {
	Text        string `json:"text"`
	ID          out    `json:"id"`
	Stretch     out    `json:"stretch"` // percent
	AreaPercent out    `json:"area_percent"`
}

// SlipPlan is one tube in another: a slip joint, or a tube in its socket, of which only
// the inside is known.
type SlipPlan struct {
	ID        string     `json:"id"`
	What      string     `json:"what"`
	OuterOD   *out       `json:"outer_od"`
	OuterWall *out       `json:"outer_wall"`
	OuterID   out        `json:"outer_id"`
	InnerOD   out        `json:"inner_od"`
	InnerWall out        `json:"inner_wall"`
	Gap       out        `json:"gap"` // on diameter
	Goes      bool       `json:"goes"`
	In        []SlipBand `json:"in"`        // that call it a slip fit
	NotIn     []SlipBand `json:"not_in"`    // that do not
	HotLeast  *out       `json:"hot_least"` // null until material and heat of both are known
	HotMost   *out       `json:"hot_most"`
}

// SlipBand is a gap that somebody calls a good slip fit.
type SlipBand struct {
	Name   string     `json:"name"`
	Low    out        `json:"low"`
	High   out        `json:"high"`
	Source SourcePlan `json:"source"`
}

// GrowthPlan is how much longer a tube gets when it is hot, by every source.
type GrowthPlan struct {
	What     string      `json:"what"`
	Tube     string      `json:"tube"`
	Material string      `json:"material"`
	Length   out         `json:"length"`
	Hot      out         `json:"hot"` // °C
	By       []GrownPlan `json:"by"`
}

// GrownPlan is the same by one source.
type GrownPlan struct {
	Source SourcePlan `json:"source"`
	Alpha  out        `json:"alpha"` // millionths per K, mean
	By     out        `json:"by"`
	Beyond bool       `json:"beyond"` // it is hotter than the source goes
}

// SensorPlan is the place of a sensor held against the rules for it.
type SensorPlan struct {
	ID    string           `json:"id"`
	What  string           `json:"what"`
	Rules []SensorRulePlan `json:"rules"`
}

// SensorRulePlan is one rule for it.
type SensorRulePlan struct {
	Rule   string     `json:"rule"`
	Text   string     `json:"text"`
	Value  *out       `json:"value"`
	Low    out        `json:"low"`
	High   *out       `json:"high"` // null where there is no most
	Unit   string     `json:"unit"`
	Source SourcePlan `json:"source"`
	OK     bool       `json:"ok"`
	Open   bool       `json:"open"`
}

// DecisionPlan is what was decided to be built.
type DecisionPlan struct {
	Decided         bool     `json:"decided"`
	Missing         []string `json:"missing"` // labels
	OD              *out     `json:"od"`
	Wall            *out     `json:"wall"`
	ID              *out     `json:"id"`
	Length          *out     `json:"length"`
	From            string   `json:"from"`
	Tolerance       *out     `json:"tolerance"`
	Style           string   `json:"style"`
	OutletOD        *out     `json:"outlet_od"`
	CollectorLength *out     `json:"collector_length"`
	FirstLength     *out     `json:"first_length"`
	SecondaryOD     *out     `json:"secondary_od"`
	SecondaryWall   *out     `json:"secondary_wall"`
	LengthBy        string   `json:"length_by"`
	BoreBy          string   `json:"bore_by"`
	LengthRuleGave  *out     `json:"length_rule_gave"`
	BoreRuleGave    *out     `json:"bore_rule_gave"`
	LengthRuleGives *out     `json:"length_rule_gives"` // today, counted as the length is
	BoreRuleGives   *out     `json:"bore_rule_gives"`
	Reason          string   `json:"reason"`
	By              string   `json:"by"`
	At              string   `json:"at"`
}

// DecidedPlan is the same in short, for whoever has to know that it is decided.
type DecidedPlan struct {
	OD     out    `json:"od"`
	Wall   out    `json:"wall"`
	ID     out    `json:"id"`
	Length out    `json:"length"`
	From   string `json:"from"`
	Style  string `json:"style"`
}
