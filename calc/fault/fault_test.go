package fault_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"tubewright/calc/fault"
)

var (
	nan  = math.NaN()
	none = math.Inf(1) // no upper limit; -none: no lower one
)

func TestWithinRefusesWhatIsOutside(t *testing.T) {
	tests := []struct {
		name           string
		got, low, high float64
		ok             bool
	}{
		{"inside", 40, 5, 150, true},
		{"on the lower limit", 5, 5, 150, true},
		{"on the upper limit", 150, 5, 150, true},
		{"just below", math.Nextafter(5, 0), 5, 150, false},
		{"just above", math.Nextafter(150, 200), 5, 150, false},
		{"zero", 0, 5, 150, false},
		{"negative", -40, 5, 150, false},
		{"no number", nan, 5, 150, false},
		{"no number and no limits", nan, -none, none, false},
		{"infinite", none, 5, 150, false},
		{"infinite downwards", -none, 5, 150, false},
		{"no upper limit", 1e300, 5, none, true},
		{"a limit that is no number", 40, nan, 150, false},
	}
	for _, test := range tests {
		err := fault.Within("Port width", test.got, test.low, test.high, "mm")
		if test.ok {
			if err != nil {
				t.Errorf("%s: %v", test.name, err)
			}
			continue
		}
		fields := fault.All(err)
		if len(fields) != 1 || fields[0].Name != "Port width" || fields[0].Unit != "mm" {
			t.Errorf("%s: got %v, want a field error that names the port width", test.name, err)
		}
	}
}

func TestErrorIsOneSentence(t *testing.T) {
	tests := []struct {
		field fault.Field
		want  string
	}{
		{
			fault.Field{Name: "Port width", Where: "port p3", Text: "4 1//2 in", Got: nan, Unit: "mm", Low: 5, High: 150,
				Why: "a fraction needs a number below the slash"},
			`port p3: Port width: cannot read "4 1//2 in" (a fraction needs a number below the slash); allowed 5 to 150 mm`,
		},
		{
			fault.Field{Name: "Port width", Where: "port p3", Got: 200, Unit: "mm", Low: 5, High: 150},
			"port p3: Port width: cannot use 200 mm; allowed 5 to 150 mm",
		},
		{
			fault.Field{Name: "Bent through", Got: 181.5, Unit: "°", Low: 0.1, High: 180},
			"Bent through: cannot use 181.5°; allowed 0.1 to 180°",
		},
		{
			fault.Field{Name: "Cylinders", Got: 0, Low: 1, High: none},
			"Cylinders: cannot use 0; allowed at least 1",
		},
		{
			fault.Field{Name: "Kerf", Got: -none, Unit: "mm", Low: -none, High: 3},
			"Kerf: cannot use -Inf mm; allowed at most 3 mm",
		},
		{
			fault.Field{Name: "Wall", Got: 0.1 + 0.2, Unit: "mm", Low: 0.5, High: 6.35},
			"Wall: cannot use 0.3 mm; allowed 0.5 to 6.35 mm",
		},
		{
			fault.Field{Name: "Wall", Got: 6.99951, Unit: "mm", Low: 0.5, High: 6.35},
			"Wall: cannot use 7 mm; allowed 0.5 to 6.35 mm",
		},
		{ // rounded to three decimals it would read like the limit
			fault.Field{Name: "Wall", Got: 6.3500004, Unit: "mm", Low: 0.5, High: 6.35},
			"Wall: cannot use 6.3500004 mm; allowed 0.5 to 6.35 mm",
		},
		{
			fault.Field{Name: "Wall", Got: 0.00002, Unit: "mm", Low: 0.5, High: 6.35},
			"Wall: cannot use 0.00002 mm; allowed 0.5 to 6.35 mm",
		},
		{
			fault.Field{Name: "Straight", Got: -1e-15, Unit: "mm", Low: 0, High: none},
			"Straight: cannot use -1e-15 mm; allowed at least 0 mm",
		},
		{
			fault.Field{Name: "Straight", Got: math.Copysign(0, -1), Unit: "mm", Low: 1, High: none},
			"Straight: cannot use 0 mm; allowed at least 1 mm",
		},
		{
			fault.Field{Name: "Bore", Got: 1e21, Unit: "mm", Low: 20, High: 250},
			"Bore: cannot use 1e+21 mm; allowed 20 to 250 mm",
		},
		{
			fault.Field{Name: "Bore", Got: nan, Unit: "mm", Low: 20, High: 250},
			"Bore: not a number; allowed 20 to 250 mm",
		},
		{
			fault.Field{Name: "Radius", Got: 20, Unit: "mm", Low: 21, High: none, Why: "a bend needs more than half the outside diameter"},
			"Radius: cannot use 20 mm (a bend needs more than half the outside diameter); allowed at least 21 mm",
		},
		{
			fault.Field{Name: "Tube", Why: "no port has this number"},
			"Tube: no port has this number",
		},
		{
			fault.Field{Text: `1 5//8"`, Got: nan, Low: -none, High: none, Why: "a fraction needs a number below the slash"},
			`cannot read “1 5//8"” (a fraction needs a number below the slash)`,
		},
		{
			fault.Field{Text: "4\u00a01\n\x00\u202e2", Got: nan, Why: "odd signs"},
			"cannot read \"4\u00a01\\n\\x00\\u202e2\" (odd signs)",
		},
		{
			fault.Field{Text: strings.Repeat("9", 61), Got: nan, Why: "too long"},
			`cannot read "` + strings.Repeat("9", 60) + `…" (too long)`,
		},
		{*fault.Refuse("Firing order", "cylinder 3 comes twice"), "Firing order: cylinder 3 comes twice"},
	}
	for _, test := range tests {
		if got := test.field.Error(); got != test.want {
			t.Errorf("got  %s\nwant %s", got, test.want)
		}
	}
}

func TestAllFindsFieldsInAnyTree(t *testing.T) {
	a, b, c := fault.Refuse("a", "no"), fault.Refuse("b", "no"), fault.Refuse("c", "no")
	var nothing *fault.Field
	tree := fmt.Errorf("tube t1: %w", errors.Join(
		a,
		errors.New("disk full"),
		fmt.Errorf("element: %w", errors.Join(b, nil, fmt.Errorf("and %w with %w", c, a))),
	))
	got := fault.All(tree)
	want := []*fault.Field{a, b, c, a}
	if len(got) != len(want) {
		t.Fatalf("%d fields, want %d: %v", len(got), len(want), got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("field %d is %v, want %v", i, got[i], want[i])
		}
	}
	for _, err := range []error{nil, errors.New("disk full"), errors.Join(errors.New("x")), nothing} {
		if got := fault.All(err); len(got) != 0 {
			t.Errorf("%v: %v, want no field", err, got)
		}
	}
}

func TestAtFillsOnlyWhatIsNotSaid(t *testing.T) {
	place := fault.Field{Name: "Port width", Where: "port p3", Unit: "mm", Low: 5, High: 150}
	parse := &fault.Field{Text: "4 1//2 in", Got: nan, Low: -none, High: none, Why: "no"}
	own := &fault.Field{Name: "Radius", Got: 3, Unit: "in", Low: 4, High: none}

	got := fault.All(fault.At(fmt.Errorf("form: %w", errors.Join(parse, own)), place))
	if len(got) != 2 {
		t.Fatalf("%d fields, want 2", len(got))
	}
	if want := `port p3: Port width: cannot read "4 1//2 in" (no); allowed 5 to 150 mm`; got[0].Error() != want {
		t.Errorf("got  %s\nwant %s", got[0], want)
	}
	if want := "port p3: Radius: cannot use 3 in; allowed at least 4 in"; got[1].Error() != want {
		t.Errorf("got  %s\nwant %s", got[1], want)
	}
	if parse.Name != "" || own.Where != "" {
		t.Error("the fields that were passed in have changed")
	}

	if err := fault.At(nil, place); err != nil {
		t.Errorf("nil became %v", err)
	}
	other := errors.New("disk full")
	if err := fault.At(other, place); err != other {
		t.Errorf("%v became %v", other, err)
	}
	var f *fault.Field
	if err := fault.At(parse, place); !errors.As(err, &f) || f.Name != "Port width" {
		t.Errorf("%v is not found as a field with a name", err)
	}
}

func TestJSONLeavesOutLimitsThatDoNotExist(t *testing.T) {
	tests := []struct {
		field *fault.Field
		want  string
	}{
		{
			&fault.Field{Name: "Port width", Where: "port p3", Got: 200, Unit: "mm", Low: 5, High: 150},
			`{"name":"Port width","where":"port p3","text":"","unit":"mm","low":5,"high":150,` +
				`"message":"port p3: Port width: cannot use 200 mm; allowed 5 to 150 mm"}`,
		},
		{ // a limit of zero is a limit
			&fault.Field{Name: "Straight", Text: "-3", Got: -3, Unit: "mm", Low: 0, High: none},
			`{"name":"Straight","where":"","text":"-3","unit":"mm","low":0,` +
				`"message":"Straight: cannot use -3 mm; allowed at least 0 mm"}`,
		},
		{
			fault.Refuse("Firing order", "cylinder 3 comes twice"),
			`{"name":"Firing order","where":"","text":"","unit":"","message":"Firing order: cylinder 3 comes twice"}`,
		},
		{
			&fault.Field{Name: "Bore", Got: nan, Low: nan, High: nan},
			`{"name":"Bore","where":"","text":"","unit":"","message":"Bore: not a number"}`,
		},
	}
	for _, test := range tests {
		raw, err := json.Marshal([]*fault.Field{test.field})
		if got := strings.Trim(string(raw), "[]"); err != nil || got != test.want {
			t.Errorf("got  %s, %v\nwant %s", got, err, test.want)
		}
	}
}
