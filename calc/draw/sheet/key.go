package sheet

import (
	"fmt"
	"strings"

	"tubewright/calc/fault"
	"tubewright/calc/units"
)

// Ask is a figure that a sheet asks for behind its key: saddle-t1,od=28,angle=60. It is
// typed as everywhere; without a unit a length is in mm.
type Ask struct {
	Name    string  `json:"name"` // in the key
	Label   string  `json:"label"`
	Unit    string  `json:"unit"` // mm, ° or empty
	Low     float64 `json:"low"`
	High    float64 `json:"high"`
	Default string  `json:"default"` // empty where it has to be said
}

// Figures are those that stand behind a key, in SI, by the name of what asks for them.
type Figures map[string]float64

// parted parts a key from the figures behind it.
func parted(key string) (base string, figures []string) {
	parts := strings.Split(key, ",")
	return parts[0], parts[1:]
}

// with is the sheet with the figures that were said; why says what is wrong with them.
func (d draft) with(key string, said []string) (_ draft, why string) {
	if d.figured == nil {
		return d, "It takes no figures behind its key."
	}
	figures, err := read(d.Asks, said)
	if err != nil {
		return d, sentence(err)
	}
	figured := d.figured(figures)
	figured.Key = key
	plain := figured.make
	figured.make = func(made *Made) error {
		err := plain(made)
		for i := range made.Sheets { // a print is told by its key with the figures
			made.Sheets[i].Title.Sheet = key
		}
		return err
	}
	return figured, ""
}

func read(asks []Ask, said []string) (Figures, error) {
	figures := Figures{}
	for _, text := range said {
		name, value, _ := strings.Cut(text, "=")
		known := false
		for _, a := range asks {
			if a.Name != strings.TrimSpace(name) {
				continue
			}
			known = true
			v, err := a.read(value)
			if err != nil {
				return nil, err
			}
			figures[a.Name] = v
		}
		if !known {
			var names []string
			for _, a := range asks {
				names = append(names, a.Name)
			}
			return nil, fmt.Errorf("it asks for no %.20q, but for %s", name, strings.Join(names, ", "))
		}
	}
	return figures, nil
}

// read reads a figure as it was typed.
func (a Ask) read(text string) (float64, error) {
	place := fault.Field{Name: a.Label, Unit: a.Unit, Low: a.Low, High: a.High}
	var typed units.Typed
	var err error
	v := 1.0
	switch a.Unit {
	case "mm":
		typed, err = units.ParseLength(text, "mm")
		v = units.LengthNM(typed.V).MM()
	case "°":
		typed, err = units.ParseAngle(text)
		v = float64(typed.V) / 1e6
	default:
		typed, err = units.ParseNumber(text)
		v = float64(typed.V) / 1e6
	}
	if err != nil {
		return 0, fault.At(err, place)
	}
	if err := fault.Within(a.Label, v, a.Low, a.High, a.Unit); err != nil {
		return 0, err
	}
	if a.Unit == "°" {
		v *= float64(units.Degree)
	}
	return v, nil
}

// length is a figure as a length, 0 where it was not said.
func (f Figures) length(name string) units.Length { return units.Length(f[name]) }

// angle is a figure as an angle, 0 where it was not said.
func (f Figures) angle(name string) units.Angle { return units.Angle(f[name]) }

// sentence makes one of an error, or several of its fields.
func sentence(err error) string {
	var all []string
	for _, f := range fault.All(err) {
		all = append(all, f.Error())
	}
	if len(all) == 0 {
		all = []string{err.Error()}
	}
	text := strings.Join(all, ". ")
	return strings.ToUpper(text[:1]) + text[1:] + "."
}
