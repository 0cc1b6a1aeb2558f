package tube_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/calctest"
	"tubewright/calc/fault"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

const (
	deg  = units.Degree
	inch = units.Inch
)

func TestDevelopedAgainstPublished(t *testing.T) {
	tests := []struct {
		name string
		bend tube.Bend
		want units.Length
		tol  units.Length // half the last digit of the source
		from string
	}{
		{"quarter turn", tube.Bend{Radius: 100, Turn: 90 * deg}, 157.0796, 0.00005, "closed form, 50π"},
		{"half turn", tube.Bend{Radius: 3 * inch, Turn: 180 * deg}, 239.3894, 0.00005, "closed form, 76.2π"},
		{"CLR 2 in", tube.Bend{Radius: 2 * inch, Turn: 90 * deg}, 3.14 * inch, 0.005 * inch, "trade table, arc per 90°"},
		{"CLR 2.5 in", tube.Bend{Radius: 2.5 * inch, Turn: 90 * deg}, 3.93 * inch, 0.005 * inch, "trade table, arc per 90°"},
		{"CLR 3 in", tube.Bend{Radius: 3 * inch, Turn: 90 * deg}, 4.71 * inch, 0.005 * inch, "trade table, arc per 90°"},
		{"CLR 4 in", tube.Bend{Radius: 4 * inch, Turn: 90 * deg}, 6.28 * inch, 0.005 * inch, "trade table, arc per 90°"},
		{"CLR 6 in", tube.Bend{Radius: 6 * inch, Turn: 90 * deg}, 9.42 * inch, 0.005 * inch, "trade table, arc per 90°"},
	}
	for _, tt := range tests {
		got, err := tt.bend.Developed()
		if err != nil || math.Abs((got-tt.want).MM()) > tt.tol.MM() {
			t.Errorf("%s: got %v mm, %v, want %v ± %v (%s)", tt.name, got, err, tt.want, tt.tol, tt.from)
		}
	}
}

// The rows "arc" and "setback" of geometry.csv: tube bending notes, length of
// tube in a bend = CLR × degrees × 0.01745, setback = radius × tan(half angle).
func TestArcAndSetbackRows(t *testing.T) {
	seen := 0
	for _, row := range calctest.Published(t, "geometry.csv") {
		group, want := row["group"], calctest.Number(t, row["value"])
		if group != "arc" && group != "setback" {
			continue
		}
		seen++
		r, theta := inputs(t, row["inputs"])
		b := tube.Bend{Radius: units.Length(r), Turn: units.Angle(theta) * deg}
		got, err := b.Developed()
		if group == "setback" {
			got, err = b.Setback()
		}
		if err != nil || math.Abs(got.MM()-want) > 1e-12*want {
			t.Errorf("%s %s: got %v, %v, want %v (%s, %s)", group, row["inputs"], got, err, want, row["source"], row["grade"])
		}
	}
	if seen != 6 {
		t.Errorf("%d rows read, want 6", seen)
	}
}

// Cutting a bend in two does not change how much tube it uses, nor its marks.
func TestBendSplitKeepsLength(t *testing.T) {
	const seed = 1
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 1000 {
		r, od := units.Length(30+500*rnd.Float64()), units.Length(50*rnd.Float64())
		a, b := units.Angle(0.01+1.5*rnd.Float64()), units.Angle(0.01+1.5*rnd.Float64())
		first, second, whole := tube.Bend{Radius: r, Turn: a}, tube.Bend{Radius: r, Turn: b}, tube.Bend{Radius: r, Turn: a + b}
		got, want := developed(t, first)+developed(t, second), developed(t, whole)
		off := max(math.Abs((got - want).MM()),
			math.Abs((first.Outside(od) + second.Outside(od) - whole.Outside(od)).MM()),
			math.Abs((first.Inside(od) + second.Inside(od) - whole.Inside(od)).MM()))
		if off > 1e-9 { // mm; rounding only
			t.Fatalf("seed %d case %d: R %v, %v and %v: parts differ from the whole by %v mm", seed, i, r, a, b, off)
		}
	}
}

func TestSetbackRefusesHalfTurn(t *testing.T) {
	for _, turn := range []units.Angle{180 * deg, math.Pi - 1e-9, 180*deg + 1e-12} {
		got, err := tube.Bend{Radius: 76.2, Turn: turn}.Setback()
		named(t, err, "Bent through", "")
		if got != 0 {
			t.Errorf("turn %v: got %v with an error, want 0", turn, got)
		}
	}
	if _, err := (tube.Bend{Radius: 76.2, Turn: 179.9 * deg}).Setback(); err != nil {
		t.Errorf("179.9°: %v", err)
	}
}

func TestDevelopedRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	tests := []struct {
		bend tube.Bend
		name string
	}{
		{tube.Bend{Turn: 0, Radius: 50}, "Bent through"},
		{tube.Bend{Turn: -1, Radius: 50}, "Bent through"},
		{tube.Bend{Turn: 180.0001 * deg, Radius: 50}, "Bent through"},
		{tube.Bend{Turn: units.Angle(nan), Radius: 50}, "Bent through"},
		{tube.Bend{Turn: 1, Radius: 0}, "CLR"},
		{tube.Bend{Turn: 1, Radius: -50}, "CLR"},
		{tube.Bend{Turn: 1, Radius: units.Length(nan)}, "CLR"},
		{tube.Bend{Turn: 1, Radius: units.Length(inf)}, "CLR"},
		{tube.Bend{Turn: 1, Radius: 10000.1}, "CLR"},
		{tube.Bend{Turn: 1, Radius: 50, Rotation: units.Angle(inf)}, "Rotation"},
		{tube.Bend{Turn: 1, Radius: 50, Rotation: 360.1 * deg}, "Rotation"},
	}
	for _, tt := range tests {
		got, err := tt.bend.Developed()
		if got != 0 {
			t.Errorf("%+v: got %v with an error, want 0", tt.bend, got)
		}
		named(t, err, tt.name, "")
	}
	for _, fine := range []tube.Bend{{Turn: 180 * deg, Radius: 50}, {Turn: 1e-6 * deg, Radius: 10000}, {Turn: 1, Radius: 1, Rotation: -360 * deg}} {
		if _, err := fine.Developed(); err != nil {
			t.Errorf("%+v: %v, want no error", fine, err)
		}
	}
}

func developed(t *testing.T, b tube.Bend) units.Length {
	t.Helper()
	l, err := b.Developed()
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// named fails unless err is exactly one field with that name and place.
func named(t *testing.T, err error, name, where string) *fault.Field {
	t.Helper()
	var f *fault.Field
	if !errors.As(err, &f) || len(fault.All(err)) != 1 || f.Name != name || f.Where != where {
		t.Errorf("got %v, want one fault of %q at %q", err, name, where)
		return &fault.Field{}
	}
	return f
}
