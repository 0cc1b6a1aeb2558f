package job

// FixturePlan is how the header is held while it is tacked, and how it comes out again.
// Lengths are mm, angles degrees; places and directions are in the root frame, those
// with two figures on a plate, along its x and y from where it is.
type FixturePlan struct {
	Base     *BasePlan     `json:"base"`    // null while no tube has a place
	Upright  *BasePlan     `json:"upright"` // that holds the flange of a header that lies; null where it stands
	MockUpOD *out          `json:"mock_up_od"`
	Stations []StationPlan `json:"stations"`
	NoRoom   []NoRoomPlan  `json:"no_room"`
	Ends     []HeldPlan    `json:"ends"`
	Release  ReleasePlan   `json:"release"`
	Earth    *EarthPlan    `json:"earth"` // null while no tube has a place
	Stopped  bool          `json:"stopped"`
	Disputed []string      `json:"disputed"`
	Findings []Finding     `json:"findings"`
}

// BasePlan is a plate. Its normal points out of the face on which things stand.
type BasePlan struct {
	Choice    string     `json:"choice"` // standing or lying
	At        point      `json:"at"`
	Normal    direction  `json:"normal"`
	X         direction  `json:"x"`
	Y         direction  `json:"y"`
	Thickness out        `json:"thickness"`
	Outline   []onFace   `json:"outline"`
	Holes     []BaseHole `json:"holes"`
	Feet      []BaseHole `json:"feet"`   // of posts
	Flange    []onFace   `json:"flange"` // where the flange lies on it; empty where it does not
}

// BaseHole is a hole of a plate, or the foot of a post.
type BaseHole struct {
	What     string `json:"what"` // id of the bolt, or of the station
	Name     string `json:"name"`
	Kind     string `json:"kind"` // tapped, through or foot
	At       onFace `json:"at"`
	Diameter out    `json:"diameter"`
	Rule     string `json:"rule"` // by which the diameter is
}

// StationPlan is a place where a tube or a collector is held.
type StationPlan struct {
	ID        string `json:"id"`
	Name      string `json:"name"` // that is marked on post, tube and sheet
	Tube      string `json:"tube"`
	Collector string `json:"collector"`
	Element   string `json:"element"`  // of the path in which it sits
	Straight  int    `json:"straight"` // counted from the port; 0 on a bend or a collector
	Along     out    `json:"along"`    // centreline from the port face to the middle of the clamp, or from the socket mouths
	// Along the centreline from the middle of the clamp to the middle of the bend before
	// and after it; null where there is none.
	BendBefore *out      `json:"to_bend_before"`
	BendAfter  *out      `json:"to_bend_after"`
	At         point     `json:"at"` // on the centreline
	Dir        direction `json:"dir"`
	Opening    direction `json:"opening"`      // the cradle is open towards
	Turn       out       `json:"opening_turn"` // the same as the field of a station has it
	// Along the middle of the post from the face of the plate to the wall of the tube;
	// with an arm to the middle of the arm. The cradle's own thickness comes off it.
	Post        out    `json:"post"`
	AxisHeight  out    `json:"axis_height"` // of the centreline over the plate
	Foot        onFace `json:"foot"`
	FootAt      point  `json:"foot_at"`
	Top         point  `json:"top"`      // of the post
	Arm         out    `json:"arm"`      // 0 where the post stands straight below
	ArmTurn     *out   `json:"arm_turn"` // from the tube to the post, on the plate
	ArmTo       *point `json:"arm_to"`   // behind the cradle
	CradleAngle out    `json:"cradle_angle"`
	CradleTurn  out    `json:"cradle_turn"` // of the way of the gas on the plate, from its x
	Wrap        out    `json:"wrap"`
	OD          out    `json:"od"`     // that the cradle is made for
	Spacer      *out   `json:"spacer"` // round the mock-up; below 0 it is larger than the tube
	Clearance   *out   `json:"clearance"`
	Nearest     string `json:"nearest"`
	Joint       string `json:"joint"` // whose torch room it stands in, else empty
	Suggested   bool   `json:"suggested"`
	Removable   bool   `json:"removable"` // it comes off before the header does
	MockUp      bool   `json:"removable_mock_up"`
	Said        bool   `json:"said"` // a person said whether it comes off
	ClampedAt   *out   `json:"clamped_at"`
	ClampedOff  *out   `json:"clamped_off"`
	Checked     bool   `json:"checked"`
}

// NoRoomPlan is a straight without a station, and why.
type NoRoomPlan struct {
	Tube     string `json:"tube"`
	Straight int    `json:"straight"`
	Element  string `json:"element"`
	Length   out    `json:"length"` // that is free between the joints
	Needed   out    `json:"needed"`
	Nearest  string `json:"nearest"` // what is in the way
	Gap      *out   `json:"gap"`     // to it at the best place
	Text     string `json:"text"`
}

// HeldPlan says what holds an end of a tube, or a collector.
type HeldPlan struct {
	Tube      string   `json:"tube"`
	Collector string   `json:"collector"`
	End       string   `json:"end"` // port or outlet; empty for a collector
	By        []string `json:"by"`  // ids of stations, bank, collector
}

// ReleasePlan is how the parts come out.
type ReleasePlan struct {
	Header *WayOutPlan `json:"header"`
	MockUp *WayOutPlan `json:"mock_up"` // null while its OD is not entered
}

// WayOutPlan is the way out for which the fewest stations come off that was found.
type WayOutPlan struct {
	Free   bool       `json:"free"` // there is one
	Dir    direction  `json:"dir"`  // of the last step
	Name   string     `json:"name"`
	Steps  []StepPlan `json:"steps"`
	Remove []string   `json:"remove"` // stations that come off first
	Fixed  []string   `json:"fixed"`  // where there is none: stations that were said to stay and are in the way
	Travel out        `json:"travel"` // of the last step, until it is past everything
	Tried  int        `json:"tried"`  // directions
}

// StepPlan is one straight move.
type StepPlan struct {
	Dir    direction `json:"dir"`
	Name   string    `json:"name"`
	Travel out       `json:"travel"`
}

// EarthPlan is how the clamp reaches what is tacked, in the order of tacking.
type EarthPlan struct {
	Clamp     string      `json:"clamp"` // where it sits at first
	Order     []EarthTack `json:"order"`
	Unreached []string    `json:"unreached"` // parts without metal to the clamp before the first tack
	Single    []string    `json:"single"`    // single contacts on which a part hangs, in words
}

// EarthTack is one joint.
type EarthTack struct {
	Joint   string `json:"joint"` // id of a station that is tacked to the plate, or tube and number of a joint: t1/0 is the flange's
	Name    string `json:"name"`
	Reached bool   `json:"reached"` // from where the clamp sat
	Clamp   string `json:"clamp"`   // where it sits now
}
