package sizing

import "math"

// Start is where a length is counted from. People mean different things by the same
// number, so every length has one.
type Start string

const (
	Valve  Start = "valve"  // head of the exhaust valve, along the port
	Flange Start = "flange" // port face
	Joint  Start = "joint"  // where the part begins that it is the length of
)

// What is what a value is the size of.
type What string

const (
	PrimaryBore     What = "primary bore" // inside diameter
	PrimaryArea     What = "primary area"
	PrimaryLength   What = "primary length"
	FirstLength     What = "first primary of a 4-2-1"
	SecondaryLength What = "secondary length"
	SecondaryBore   What = "secondary bore"
	TailBore        What = "tailpipe bore"
	ConeLength      What = "cone length"
	CollectorLength What = "collector length"
	CollectorVolume What = "collector volume"
	GasSpeed        What = "mean gas speed"
	TorquePeak      What = "rpm of peak torque"
	PistonSpeed     What = "mean piston speed"
	WaveBack        What = "wave back after"
	Resonance       What = "resonance"
	ChokeRatio      What = "pressure ratio that chokes"
	OpeningRatio    What = "pressure ratio as the valve opens"
)

// Rule is a rule as it is published, whatever the engine.
type Rule struct {
	ID      string // stable
	Name    string
	Formula string // with the letters of its symbols, in their units
	Sources []Source
	Grade   Grade  // of the rule as a whole: that of its weakest part
	Start   Start  // where the length that it gives or takes is counted from; empty where it has none
	Holds   string // for what it is meant; symbols have the figures
	Note    string

	work func(*bench)
}

// Symbol is a letter of a formula, and what stands for it.
type Symbol struct {
	Letter string
	Text   string
	Unit   string  // of V, as the formula wants it
	V      float64 // NaN where it is open
	Key    Key     // of the input that it can be edited by; empty where it follows from others
	Rests  []Key   // on which inputs, where it follows from others
	From   string  // where V comes from: Entered, Usual, Derived or the id of a rule
	Grade  Grade   // of a usual value

	// Low and High are for which values the rule is meant to hold, and Limits why;
	// empty where nobody says.
	Low, High float64
	Limits    string
	Outside   bool // V is not between them
}

// Where the value of a symbol comes from, other than from a rule.
const (
	Entered = "entered"
	Usual   = "usual"
	Derived = "derived" // from inputs that are symbols or are named in the text
)

// Value is what a rule gives. V, Low and High are in mm, mm², cm³, m/s, rpm, °, Hz or
// none, as Unit says; Low = High = V where the rule knows no band. Book is V as the
// formula gives it, in BookUnit.
type Value struct {
	What         What
	Name         string // which of several: "from the valve", "n = 3"; mostly empty
	V, Low, High float64
	Unit         string
	Book         float64
	BookUnit     string
	Start        Start
}

// Result is a rule with an engine's values.
type Result struct {
	Rule    Rule
	Symbols []Symbol
	Values  []Value  // none while something is open
	Open    []string // labels of inputs that are missing
	Outside []string // letters of symbols for which the rule is not meant to hold
}

// Value returns the first value of a kind, and false where there is none.
func (r Result) Value(what What) (Value, bool) {
	for _, v := range r.Values {
		if v.What == what {
			return v, true
		}
	}
	return Value{}, false
}

// Rules returns all rules, in the order in which they are worked out.
func Rules() []Rule { return append([]Rule(nil), rules...) }

// Work works all rules out. What cannot be used is left out as if it had not been
// entered, and is the error: joined *fault.Field. What a rule lacks is in Result.Open;
// its symbols are there all the same.
func Work(in Inputs) ([]Result, error) {
	err := in.Check()
	results := make([]Result, 0, len(rules))
	for _, r := range rules {
		b := bench{in: in, before: results, out: Result{Rule: r}}
		r.work(&b)
		results = append(results, b.out)
	}
	return results, err
}

// bench is where one rule is worked out.
type bench struct {
	in     Inputs
	before []Result
	out    Result
}

// unit is a unit of a formula: its name, and how many of it one of ours are.
type unit struct {
	name string
	per  float64
}

var (
	asInch   = unit{"in", 1 / 25.4}
	asInch2  = unit{"in²", 1 / (25.4 * 25.4)}
	asFootS  = unit{"ft/s", 1 / 0.3048}
	asMetre  = unit{"m", 0.001}
	asItself = unit{"", 1}
)

// need puts an input on the bench and returns it in the unit of the formula; NaN where
// it is open, so that nothing comes of what follows.
func (b *bench) need(letter, text string, k Key, u unit) float64 {
	f := FieldOf(k)
	s := Symbol{Letter: letter, Text: text, Unit: u.name, Key: k, V: f.Usual * u.per, From: Usual, Grade: f.Grade}
	if u == asItself {
		s.Unit = f.Unit
	}
	if v, ok := b.in.usable(k); ok {
		s.V, s.From, s.Grade = v*u.per, Entered, ""
	}
	return b.put(s, f.Label)
}

// or is need with something else than a usual value where nothing was entered: v in the
// unit of the input, from where it says; open, NaN, it asks for the label.
func (b *bench) or(letter, text string, k Key, u unit, v float64, from, label string, rests ...Key) float64 {
	if _, ok := b.in.usable(k); ok {
		return b.need(letter, text, k, u)
	}
	s := Symbol{Letter: letter, Text: text, Unit: u.name, Key: k, V: v * u.per, From: from, Rests: rests}
	if u == asItself {
		s.Unit = FieldOf(k).Unit
	}
	if from == Usual {
		s.Grade = FieldOf(k).Grade
	}
	return b.put(s, label)
}

// derived puts a figure on the bench that follows from inputs; NaN where one is open.
func (b *bench) derived(letter, text, unit string, v float64, rests ...Key) float64 {
	if math.IsNaN(v) && len(b.out.Open) == 0 { // not open, but of no use together
		b.lacks(FieldOf(rests[0]).Label)
	}
	return b.put(Symbol{Letter: letter, Text: text, Unit: unit, V: v, From: Derived, Rests: rests}, "")
}

func (b *bench) put(s Symbol, label string) float64 {
	if math.IsNaN(s.V) {
		s.From, s.Grade = "", ""
		if label != "" {
			b.lacks(label)
		}
	}
	b.out.Symbols = append(b.out.Symbols, s)
	return s.V
}

func (b *bench) lacks(label string) {
	for _, l := range b.out.Open {
		if l == label {
			return
		}
	}
	b.out.Open = append(b.out.Open, label)
}

// holds says for which values of the last symbol the rule is meant, in its unit.
func (b *bench) holds(low, high float64, why string) {
	s := &b.out.Symbols[len(b.out.Symbols)-1]
	s.Low, s.High, s.Limits = low, high, why
	if s.V < low || s.V > high {
		s.Outside = true
		b.out.Outside = append(b.out.Outside, s.Letter)
	}
}

// gives puts a value among the results, book in the unit of the formula, of which one is
// per of ours. Nothing comes of what is open: that is NaN.
func (b *bench) gives(v Value, book float64, bookUnit string, per float64) {
	v.Book, v.BookUnit, v.V = book, bookUnit, book*per
	if v.Low == 0 && v.High == 0 {
		v.Low, v.High = v.V, v.V
	}
	// What was entered may lie outside of what the sources span.
	v.Low, v.High = min(v.Low, v.V), max(v.High, v.V)
	if finite(v.V) && finite(v.Low) && finite(v.High) {
		b.out.Values = append(b.out.Values, v)
	}
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// of returns a value of a rule before in our unit, NaN where there is none.
func (b *bench) of(rule string, what What) float64 {
	for _, r := range b.before {
		if r.Rule.ID == rule {
			if v, ok := r.Value(what); ok {
				return v.V
			}
		}
	}
	return math.NaN()
}

// input returns an input in our unit without showing it, NaN where it is open.
func (b *bench) input(k Key) float64 {
	if v, ok := b.in.usable(k); ok {
		return v
	}
	b.lacks(FieldOf(k).Label)
	return math.NaN()
}

// swept returns the displacement of one cylinder in mm³, π/4·bore²·stroke.
func (b *bench) swept() float64 {
	bore, stroke := b.input(Bore), b.input(Stroke)
	return math.Pi / 4 * bore * bore * stroke
}

// duration is ED, the degrees from the opening of the exhaust valve to top dead centre.
func (b *bench) duration() float64 {
	return b.derived("ED", "180° and what the exhaust opens before BDC", "°", 180+b.input(Opens), Opens)
}

func (b *bench) tunedTo() float64 {
	v := math.NaN()
	if rpm, ok := b.in.usable(TorqueRPM); ok {
		v = rpm
	}
	return b.or("N", "speed at which the length is to work; where none was entered, that of peak torque", TunedRPM, asItself, v, Derived, FieldOf(TorqueRPM).Label, TorqueRPM)
}

func (b *bench) torqueRPM() float64 {
	return b.need("N", "speed of peak torque", TorqueRPM, asItself)
}

// bore and length of the primary: chosen, or by the rule that comes first.
func (b *bench) bore(letter string, u unit) float64 {
	return b.or(letter, "inside diameter of the primary", ChosenBore, u, b.of("gas-speed", PrimaryBore), "gas-speed", "Primary ID")
}

func (b *bench) length(letter, text string, u unit) float64 {
	return b.or(letter, text, ChosenLength, u, b.of("length-850-valve", PrimaryLength), "length-850-valve", "Primary length from the valve")
}
