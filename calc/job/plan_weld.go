package job

import "tubewright/calc/weld"

// WeldPlan is how a header is welded: its joints in order with what sources say to each,
// the purge, what a port weld does to the far end, growth, and the points at which work is
// held. Lengths are mm, angles degrees, flows L/min, volumes litres, times minutes.
type WeldPlan struct {
	Template string     `json:"template"`
	About    SourcePlan `json:"about"` // of the template
	How      []string   `json:"how"`   // sentences: what belongs to it beside the order

	Joints []WeldJoint `json:"joints"` // in order
	Torch  TorchPlan   `json:"torch"`

	Changes out         `json:"changes"`
	Flow    out         `json:"flow"`
	While   FlowPlan    `json:"while"` // while it is welded
	Purge   []PurgePlan `json:"purge"`
	Oxygen  []FlowPlan  `json:"oxygen"` // ppm left before the arc

	PortPull out          `json:"port_pull"`
	Pull     []PullPlan   `json:"pull"`
	Growth   []GrowthPlan `json:"growth"` // as of sizing
	Between  []ApartPlan  `json:"between"`
	Slips    []TravelPlan `json:"slips"`

	Holds    []HoldPlan `json:"holds"`
	Cautions []string   `json:"cautions"`
	Disputed []string   `json:"disputed"`
	Findings []Finding  `json:"findings"`

	own weld.Read // what was made of the own order
}

// WeldJoint is one joint. Its id is that of its tube with what it joins, "t2/port",
// "t2/3-4" between the pieces of these numbers, "t2/socket".
type WeldJoint struct {
	ID        string       `json:"id"`
	Order     int          `json:"order"` // from 1
	Tube      string       `json:"tube"`
	Number    int          `json:"number"` // along the tube: 0 is the flange's, see stock.Pieces
	Name      string       `json:"name"`
	Kind      string       `json:"kind"`    // port, butt, socket; slip is put together and not welded
	Element   string       `json:"element"` // of the piece behind it; "" at the socket
	Pieces    []string     `json:"pieces"`  // chalked names before and behind; "" for flange and socket
	Materials []string     `json:"materials"`
	Wall      out          `json:"wall"`
	Amps      *AmpsPlan    `json:"amps"`     // null where nothing is welded
	Tungsten  []string     `json:"tungsten"` // diameters in inches
	Rod       []string     `json:"rod"`      // likewise of the filler
	Filler    []FillerPlan `json:"filler"`   // first choice first; empty where no source says
	Argon     *[2]out      `json:"argon"`    // at the torch; null beyond the table
	Grade     string       `json:"grade"`    // of tungsten, rod and argon
	Source    string       `json:"source"`

	Room   *RoomPlan `json:"room"`  // to the nearest other tube; null where none is near, or nothing is known
	Bench  bool      `json:"bench"` // no torch gets round it once the tubes stand together
	Tacked bool      `json:"tacked"`
	Welded bool      `json:"welded"`
}

// AmpsPlan is what sources say to the amps of a joint. Low and High are of the table by
// thickness, null beyond it.
type AmpsPlan struct {
	Low  *out       `json:"low"`
	High *out       `json:"high"`
	Rule out        `json:"rule"` // 1 A per 0.001 in, for stainless 10 % less
	Says []SaysPlan `json:"says"`
}

// SaysPlan is what one source says, a figure or a range.
type SaysPlan struct {
	Name   string     `json:"name"`
	Low    out        `json:"low"`
	High   out        `json:"high"`
	Source SourcePlan `json:"source"`
}

// FlowPlan is the same of a flow or a share.
type FlowPlan = SaysPlan

// FillerPlan is a rod.
type FillerPlan struct {
	Class  string     `json:"class"`
	Source SourcePlan `json:"source"`
}

// RoomPlan is the air between a joint and the nearest other tube.
type RoomPlan struct {
	To  string `json:"to"`
	Gap out    `json:"gap"`
}

// TorchPlan is how much room a torch wants.
type TorchPlan struct {
	Room   out        `json:"room"`
	Source SourcePlan `json:"source"`
}

// PurgePlan is how a tube is filled with argon.
type PurgePlan struct {
	Tube    string      `json:"tube"`
	Name    string      `json:"name"`
	Volume  out         `json:"volume_l"`
	Flow    out         `json:"flow"`
	Changes out         `json:"changes"`
	Minutes out         `json:"minutes"`
	Feed    string      `json:"feed"` // where the gas goes in
	Vent    string      `json:"vent"`
	Also    []PurgeRule `json:"also"` // what every source makes of it
}

// PurgeRule is what one source makes of a tube.
type PurgeRule struct {
	Name    string     `json:"name"`
	Changes [2]out     `json:"changes"`
	Flow    [2]out     `json:"flow"`
	Minutes [2]out     `json:"minutes"`
	Source  SourcePlan `json:"source"`
}

// PullPlan is what a port weld that pulls does to the far end of its tube.
type PullPlan struct {
	Tube     string `json:"tube"`
	Name     string `json:"name"`
	PortPull out    `json:"port_pull"`
	Tilt     out    `json:"tilt"`
	Lever    out    `json:"lever"`
	Move     out    `json:"socket_move"`    // in the worst direction
	Sideways out    `json:"sideways"`       // of that across the tube's end
	Slip     *out   `json:"slip_clearance"` // on diameter; null without a socket
	Goes     *bool  `json:"goes"`           // sideways is no more than the tube has to one side
}

// ApartPlan is how differently two tubes beside each other grow.
type ApartPlan struct {
	A          string     `json:"a"`
	B          string     `json:"b"`
	Difference out        `json:"difference"` // both equally hot
	Hotter     out        `json:"hotter"`     // one HotterBy cooler than the other, the worse way round
	By         out        `json:"by"`         // K
	Source     SourcePlan `json:"source"`     // of the coefficients
}

// TravelPlan is whether a slip joint is deep enough for growth and tolerance.
type TravelPlan struct {
	Tube      string `json:"tube"`
	Collector string `json:"collector"`
	Depth     out    `json:"depth"`
	Insert    *out   `json:"insert"`    // how far the tube ends behind the mouth, as planned
	Growth    out    `json:"growth"`    // by the source that says most
	Tolerance out    `json:"tolerance"` // of the length, 0 while none is entered
	Needs     out    `json:"needs"`
	Left      out    `json:"left"` // of the depth
	Enough    bool   `json:"enough"`
}

// HoldPlan is a point at which work is held.
type HoldPlan struct {
	What   string `json:"what"` // the field of it
	Name   string `json:"name"`
	Slot   string `json:"slot"`
	State  string `json:"state"` // passed, failed, "" while open
	By     string `json:"by"`    // who said so and when, RFC 3339; empty where a job file says it
	At     string `json:"at"`
	Photos int    `json:"photos"`
	Text   string `json:"text"` // what is looked at
}
