package job

// InspectionPlan is what was read of a header when it was cut, tacked, welded and fitted,
// against what was planned. Lengths are mm, angles degrees; lists are never nil.
type InspectionPlan struct {
	Cautions map[string]string `json:"cautions"` // of the moment at which they apply
	Rows     []CheckRow        `json:"rows"`     // by moment: as-cut, as-tacked, as-welded, fitted
	Spread   CheckSpread       `json:"spread"`
	Gauges   []GaugeCheck      `json:"gauges"`
	Leak     LeakCheck         `json:"leak"`
	Open     []OpenCheck       `json:"open"` // what is not read yet, by moment
	Findings []Finding         `json:"findings"`
}

// CheckRow is one thing that was read.
type CheckRow struct {
	What      string       `json:"what"` // length, angle, clr, clock, position, aim, flatness, flatness-pair or bolt
	On        string       `json:"on"`   // id of the tube, piece, collector, bank or bolt
	Name      string       `json:"name"`
	At        string       `json:"at"`      // as-cut, as-tacked, as-welded or fitted
	Unit      string       `json:"unit"`    // mm or °; empty of a bolt
	Planned   *out         `json:"planned"` // 0 of what is to lie where, point as and be as flat as planned
	Read      *out         `json:"read"`
	Off       *out         `json:"off"` // Read − Planned
	Tolerance *out         `json:"tolerance"`
	Grade     string       `json:"grade"`  // how well the tolerance is founded
	Target    *out         `json:"target"` // of a length: what was wanted from the port face
	Places    *CheckPlaces `json:"places"` // of a position or an aim
	OK        *bool        `json:"ok"`     // null where nobody can tell: no tolerance, or readings differ about it
	checkSaid
	checkDispute

	said []string
}

// CheckPlaces are a place, or a direction, as planned and as read, in the collector's frame.
type CheckPlaces struct {
	Planned point `json:"planned"`
	Read    point `json:"read"`
	Off     point `json:"off"`
}

// checkSaid is who read something, when, with which tool, and the slot it stands in.
type checkSaid struct {
	By   string `json:"by"`
	When string `json:"when"`
	With string `json:"with"`
	Slot string `json:"slot"`
}

// checkDispute is what readings that differ make of a row.
type checkDispute struct {
	Disputed []string       `json:"disputed"` // slots in dispute that the row rests on
	Low      *out           `json:"low"`      // least and greatest Off with each of the readings; null when none differs
	High     *out           `json:"high"`
	Readings []CheckReading `json:"readings"` // those that differ
}

// CheckReading is one of several readings that differ.
type CheckReading struct {
	Text string `json:"text"` // value, tool and person
	Slot string `json:"slot"`
	By   string `json:"by"`
	When string `json:"when"`
	With string `json:"with"`
}

// CheckSpread is the longest less the shortest tube; null below two that were read.
type CheckSpread struct {
	Planned  *out     `json:"planned"`
	Tacked   *out     `json:"tacked"`
	Welded   *out     `json:"welded"`
	Limit    *out     `json:"limit"` // twice the tolerance
	Disputed []string `json:"disputed"`

	TackedLow  *out `json:"tacked_low"` // while readings differ; null when none does
	TackedHigh *out `json:"tacked_high"`
	WeldedLow  *out `json:"welded_low"`
	WeldedHigh *out `json:"welded_high"`
}

// GaugeCheck is a gap that was tried with rods.
type GaugeCheck struct {
	ID      string `json:"id"`
	A       string `json:"a"`
	B       string `json:"b"`
	Name    string `json:"name"`
	At      string `json:"at"`
	Goes    *out   `json:"goes"`    // the largest rod that went
	Stops   *out   `json:"stops"`   // the smallest that did not
	Planned *out   `json:"planned"` // least over roll and movement; null where the plan lists none
	Worst   string `json:"worst_case"`
	Off     *out   `json:"off"` // by how much the planned gap lies outside of what the rods say
	Least   out    `json:"least"`
	Wanted  out    `json:"wanted"`
	Grade   string `json:"grade"`
	Verdict string `json:"verdict"` // ok, near (below wanted), too near (below least), undecided, contradiction or open
	OK      *bool  `json:"ok"`      // null where the rods do not tell
	Take    *out   `json:"take"`    // the rod that decides
	checkSaid
	checkDispute

	said []string
}

// LeakCheck is the leak test.
type LeakCheck struct {
	Test     string `json:"test"` // passed, failed or empty
	Pressure *out   `json:"pressure"`
	Unit     string `json:"unit"` // of the pressure
	Method   string `json:"method"`
	OK       *bool  `json:"ok"`
	checkSaid
}

// OpenCheck is something that is not read yet. A gap has no slot before a rod was tried.
type OpenCheck struct {
	What  string `json:"what"` // as of a row; gap and leak too
	On    string `json:"on"`
	To    string `json:"to,omitempty"` // of a gap: the other side
	Name  string `json:"name"`
	At    string `json:"at"`
	Slot  string `json:"slot"`
	Label string `json:"label"`
}

// inspectCautions stand once where something is done.
var inspectCautions = map[string]string{
	asTacked: "Tacked metal stays hot for longer than it looks: let it cool, and measure it cold.",
	asWelded: "Unbolt the flange and measure only when all is cold. Leak test at low pressure, with a regulator and a gauge, never above 1 bar (15 psi) unless the header is made for it: soapy water, eye protection, nobody in front of a plug; never test for leaks with a flame or with fuel gas.",
	asFitted: "Under a raised car only on stands made for it (29 CFR 1910.244; follow the stand maker). Let engine and exhaust cool. Keep hands out of linkages while steering or clutch is moved.",
}

// XYZ are the three parts of a place.
func (p point) XYZ() struct{ X, Y, Z float64 } { return p }
