// Package fault is input that cannot be used: which field, what was entered, what
// would be accepted and why.
package fault

import (
	"encoding/json"
	"errors"
	"math"
)

// Field is input that cannot be used. A screen shows it beside the field and
// keeps what was typed.
type Field struct {
	Name  string  // as the screen labels it: "Port width"
	Where string  // entity or path in a job file: "port p3"; may be empty
	Text  string  // what was typed, when it came as text
	Got   float64 // the value, when it could be read; NaN otherwise
	Unit  string  // of Got, Low and High: "mm", "°", "rpm", or empty
	Low   float64 // lowest accepted value; -Inf when there is none
	High  float64 // highest accepted value; +Inf when there is none. Low = High = 0 also means no range
	Why   string  // what else there is to say: "a fraction needs a number above the slash"
}

// Refuse returns a Field for input that is wrong for another reason than its
// size, such as a missing entry. It has no value and no range.
func Refuse(name, why string) *Field {
	return &Field{Name: name, Got: math.NaN(), Low: math.Inf(-1), High: math.Inf(1), Why: why}
}

// Within returns a *Field unless low ≤ got ≤ high. A NaN is never within, and
// with a NaN for a limit nothing is.
func Within(name string, got, low, high float64, unit string) error {
	if got >= low && got <= high {
		return nil
	}
	return &Field{Name: name, Got: got, Unit: unit, Low: low, High: high}
}

// All returns every *Field in err, in order, from errors.Join and from wrapping
// alike. Other errors are left out.
func All(err error) []*Field {
	switch e := err.(type) {
	case nil:
		return nil
	case *Field:
		if e == nil {
			return nil
		}
		return []*Field{e}
	case interface{ Unwrap() []error }:
		var fields []*Field
		for _, part := range e.Unwrap() {
			fields = append(fields, All(part)...)
		}
		return fields
	}
	return All(errors.Unwrap(err))
}

// At says where input was wrong. It returns err with what place knows and the
// fields in err do not: Name, Where, and Unit with Low and High. What a field
// already says stays. This is how a caller puts label and range on what a parser
// refused:
//
//	typed, err := units.ParseLength(text, "mm")
//	err = fault.At(err, fault.Field{Name: "Port width", Where: "port p3", Unit: "mm", Low: 5, High: 150})
//
// Fields are copied, not changed. An err without a *Field in it, nil too, comes
// back as it is; one with fields comes back as those fields alone.
func At(err error, place Field) error {
	fields := All(err)
	if len(fields) == 0 {
		return err
	}
	placed := make([]error, len(fields))
	for i, field := range fields {
		f := *field
		if f.Name == "" {
			f.Name = place.Name
		}
		if f.Where == "" {
			f.Where = place.Where
		}
		if !f.ranged() {
			f.Low, f.High = place.Low, place.High
			if f.Unit == "" {
				f.Unit = place.Unit
			}
		}
		placed[i] = &f
	}
	if len(placed) == 1 {
		return placed[0]
	}
	return errors.Join(placed...)
}

// MarshalJSON writes name, where, text, unit, low, high and message, the
// sentence of Error. A limit that does not exist is left out; Got is in the
// message.
func (f *Field) MarshalJSON() ([]byte, error) {
	low, high := f.limits()
	return json.Marshal(struct {
		Name    string   `json:"name"`
		Where   string   `json:"where"`
		Text    string   `json:"text"`
		Unit    string   `json:"unit"`
		Low     *float64 `json:"low,omitempty"`
		High    *float64 `json:"high,omitempty"`
		Message string   `json:"message"`
	}{f.Name, f.Where, f.Text, f.Unit, low, high, f.Error()})
}

// limits returns the ends of the allowed range; nil for an end that does not exist.
func (f *Field) limits() (low, high *float64) {
	if f.Low == 0 && f.High == 0 {
		return nil, nil
	}
	if isFinite(f.Low) {
		low = &f.Low
	}
	if isFinite(f.High) {
		high = &f.High
	}
	return low, high
}

func (f *Field) ranged() bool {
	low, high := f.limits()
	return low != nil || high != nil
}

func isFinite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
