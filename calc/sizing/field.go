package sizing

import (
	"errors"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/gas"
	"tubewright/calc/units"
)

// Key names an input. What is the engine's has the name that it has in a job.
type Key string

// The engine.
const (
	Cylinders   Key = "cylinders"
	Bore        Key = "bore"
	Stroke      Key = "stroke"
	Rod         Key = "rod"
	Compression Key = "compression"
	Opens       Key = "exhaust_opens_bbdc"
	Closes      Key = "exhaust_closes_atdc"
	ValveToFace Key = "valve_to_face"
	TorqueRPM   Key = "peak_torque_rpm"
	PowerRPM    Key = "peak_power_rpm"
	PortArea    Key = "port_area"
	ThroatArea  Key = "throat_area"
)

// What the rules want besides. Where nobody entered it they have a usual value, or the
// result of a rule before.
const (
	TunedRPM        Key = "tuned_rpm"         // open: the rpm of peak torque
	FlowSpeed       Key = "gas_speed"         // wanted in the primary at peak torque
	GasTemp         Key = "gas_temperature"   // mean along the primary
	AirFuel         Key = "air_fuel"          // by mass
	ReturnAngle     Key = "return_angle"      // crank, from opening to the wave's return; open: ED/2
	ChosenLength    Key = "length_from_valve" // of the primary; open: by 850·ED/rpm
	ChosenBore      Key = "primary_id"        // inside diameter; open: by the gas speed
	ChosenFirst     Key = "first_length"      // first part of a 4-2-1
	ConeIn          Key = "cone_in"           // inside diameters of a collector's cone
	ConeOut         Key = "cone_out"          //
	Taper           Key = "cone_taper"        // half angle of that cone
	EndCorrection   Key = "end_correction"    // in radii
	OpeningPressure Key = "opening_pressure"  // in the cylinder as the valve opens
	OpeningTemp     Key = "opening_temperature"
	PortPressure    Key = "port_pressure"
)

// Field is what an input is: its label, unit, range, and the value that stands in for
// it where nobody entered one.
type Field struct {
	Key       Key
	Label     string
	Unit      string // of everything here: "mm", "mm²", "°", "rpm", "m/s", "K", "kPa" or none
	Low, High float64
	Likely    [2]float64 // outside of it a person is asked to look again; zero where there is none
	Usual     float64    // NaN where there is none
	Grade     Grade      // of Likely and Usual
	Source    string     // of both
}

var none = math.NaN()

// Fields are all inputs. Ranges of what a job has too are those of the job.
var Fields = [...]Field{
	{Cylinders, "Cylinders", "", 1, 16, [2]float64{}, none, "", ""},
	{Bore, "Bore", "mm", 20, 250, [2]float64{50, 130}, none, Practice, ""},
	{Stroke, "Stroke", "mm", 20, 250, [2]float64{40, 130}, none, Practice, ""},
	{Rod, "Rod length", "mm", 40, 500, [2]float64{90, 200}, none, Practice, ""},
	{Compression, "Compression ratio", "", 4, 25, [2]float64{7, 14}, none, Memory, "petrol engines without charging"},
	{Opens, "Exhaust opens before BDC", "°", 0, 120, [2]float64{40, 70}, none, Published, "a hand-out on exhaust flow has 60 to 40° (after Pulkrabek, ch. 8), an article on blowdown 40 to 70°; cams for racing open earlier"},
	{Closes, "Exhaust closes after TDC", "°", -40, 100, [2]float64{0, 50}, none, Memory, ""},
	{ValveToFace, "Valve to port face", "mm", 10, 400, [2]float64{40, 160}, none, Practice, ""},
	{TorqueRPM, "Peak torque wanted at", "rpm", 500, 20000, [2]float64{1500, 9000}, none, Practice, ""},
	{PowerRPM, "Peak power wanted at", "rpm", 500, 20000, [2]float64{3000, 11000}, none, Practice, ""},
	{PortArea, "Port area at the face", "mm²", 50, 20000, [2]float64{300, 4000}, none, Practice, ""},
	{ThroatArea, "Area at the valve throat", "mm²", 50, 20000, [2]float64{300, 3000}, none, Practice, ""},

	{TunedRPM, "Length tuned to", "rpm", 500, 20000, [2]float64{}, none, "", ""},
	{FlowSpeed, "Mean gas speed at peak torque", "m/s", 30, 150, GasSpeedFamily, middleSpeed, Published, speedArticle.Text},
	{GasTemp, "Gas temperature in the primary", "K", 400, 1800, [2]float64{900, 1100}, 1000, Study, "930 to 1,060 K at full load in three invented engines; the 850 rule implies about 710 K"},
	{AirFuel, "Air-fuel ratio by mass", "", 2, 100, [2]float64{}, none, Memory, "12.8 on petrol, which is 0.88 of stoichiometric; other fuels at the same part"},
	{ReturnAngle, "Wave back after", "°", 20, 360, [2]float64{}, none, Computed, "half of ED is what the 850 rule comes to"},
	{ChosenLength, "Primary length from the valve", "mm", 60, 4000, [2]float64{}, none, "", ""},
	{ChosenBore, "Primary ID", "mm", 10, 150, [2]float64{}, none, "", ""},
	{ChosenFirst, "First primary of a 4-2-1", "mm", 50, 2000, [2]float64{}, 15 * 25.4, Practice, "a personal page that applies the book sets 15 in"},
	{ConeIn, "Cone's inlet ID", "mm", 10, 300, [2]float64{}, none, "", ""},
	{ConeOut, "Cone's outlet ID", "mm", 10, 300, [2]float64{}, none, "", ""},
	{Taper, "Cone's half angle", "°", 1, 45, [2]float64{7, 10}, 7.5, Memory, "about 7 to 8°"},
	{EndCorrection, "End correction", "radii", 0, 0.8488, [2]float64{EndUnflanged, EndFlanged}, EndUnflanged, Published, levine.Text},
	{OpeningPressure, "Cylinder pressure as the valve opens", "kPa", 100, 3000, [2]float64{350, 700}, 550, Study, "a hand-out has 4 to 5 atm, an article 7 falling to 3.5 bar, our own study 5.5 to 6 bar"},
	{OpeningTemp, "Gas temperature as the valve opens", "K", 600, 2200, [2]float64{1000, 1800}, 1600, Study, "about 1,600 K in three invented engines; a paper on a diesel engine has 1,300 K"},
	{PortPressure, "Pressure behind the valve", "kPa", 20, 400, [2]float64{}, 101.325, Computed, "the standard atmosphere"},
}

// FieldOf returns the field of a key. A key that is not of this package is a mistake of
// ours and panics.
func FieldOf(k Key) Field { return Fields[place(k)] }

func place(k Key) int {
	for i := range Fields {
		if Fields[i].Key == k {
			return i
		}
	}
	panic("sizing: bug: no input " + string(k))
}

// Inputs are what is known. The zero value knows nothing; a copy is independent.
type Inputs struct {
	Fuel  string // one of gas.Fuels; empty is petrol
	value [len(Fields)]float64
	known [len(Fields)]bool
}

// SetLength enters a length, or an ID.
func (in *Inputs) SetLength(k Key, v units.Length) { in.set(k, v.MM(), "mm") }

// SetAngle enters an angle.
func (in *Inputs) SetAngle(k Key, v units.Angle) { in.set(k, v.Deg(), "°") }

// Set enters what is neither, in the unit of its field.
func (in *Inputs) Set(k Key, v float64) { in.set(k, v, FieldOf(k).Unit) }

func (in *Inputs) set(k Key, v float64, unit string) {
	i := place(k)
	if Fields[i].Unit != unit {
		panic("sizing: bug: " + string(k) + " in " + unit)
	}
	in.value[i], in.known[i] = v, true
}

// Get returns an input as it was entered, in the unit of its field, and false where it
// was not.
func (in Inputs) Get(k Key) (float64, bool) {
	i := place(k)
	return in.value[i], in.known[i]
}

// Check returns everything that is outside its range, as joined *fault.Field, or nil.
func (in Inputs) Check() error {
	var faults []error
	for i, f := range Fields {
		if in.known[i] {
			faults = append(faults, f.check(in.value[i]))
		}
	}
	if _, ok := in.fuel(); !ok {
		faults = append(faults, fault.Refuse("Fuel", "it is "+fuelNames()))
	}
	return errors.Join(faults...)
}

func (f Field) check(v float64) error { return fault.Within(f.Label, v, f.Low, f.High, f.Unit) }

// usable returns an input that was entered and can be used.
func (in Inputs) usable(k Key) (float64, bool) {
	i := place(k)
	return in.value[i], in.known[i] && Fields[i].check(in.value[i]) == nil
}

func (in Inputs) fuel() (gas.Fuel, bool) {
	if in.Fuel == "" {
		return gas.Petrol, true
	}
	return gas.FuelOf(in.Fuel)
}

func fuelNames() string {
	text := ""
	for i, f := range gas.Fuels {
		if i > 0 {
			text += ", "
		}
		text += f.Name
	}
	return text
}
