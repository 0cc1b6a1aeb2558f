package tube_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"tubewright/calc/calctest"
	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// goldenCase is one path of lra_xyz.json.
type goldenCase struct {
	End, EndDir [3]float64
	Last        float64
	Length      float64
	Rows        [][4]float64
	XYZ         []geom.Vec
	CLR         []units.Length
}

func (c *goldenCase) UnmarshalJSON(data []byte) error {
	var raw struct {
		End    [3]float64     `json:"end"`
		EndDir [3]float64     `json:"end_dir"`
		Last   float64        `json:"last"`
		Length float64        `json:"length"`
		Rows   [][4]float64   `json:"rows_L_rot_angle_clr"`
		XYZ    []geom.Vec     `json:"xyz"`
		CLR    []units.Length `json:"xyz_clr"`
	}
	err := json.Unmarshal(data, &raw)
	*c = goldenCase(raw)
	return err
}

func (c goldenCase) lra() tube.LRA {
	l := tube.LRA{Last: units.Length(c.Last)}
	for _, r := range c.Rows {
		l.Rows = append(l.Rows, row(r[0], r[1], r[2], r[3]))
	}
	return l
}

// row makes a row from mm and degrees.
func row(length, rotation, turn, clr float64) tube.Row {
	return tube.Row{Length: units.Length(length), Rotation: units.Angle(rotation) * deg, Turn: units.Angle(turn) * deg, Radius: units.Length(clr)}
}

func vec(a [3]float64) geom.Vec { return geom.Vec{X: a[0], Y: a[1], Z: a[2]} }

// alongX is where the golden paths start: origin, travel +x, reference +y.
var alongX = geom.Frame{T: geom.Vec{X: 1}, N: geom.Vec{Y: 1}}

// The golden paths were checked against an independent chain of rotation
// matrices to 7.5e-10 mm; the tolerance here is 1e-6 mm and 1e-9 of a direction.
func TestGoldenPaths(t *testing.T) {
	text, err := os.ReadFile("../../testdata/golden/lra_xyz.json")
	if err != nil {
		t.Fatal(err)
	}
	var golden struct{ Cases []goldenCase }
	if err := json.Unmarshal(text, &golden); err != nil {
		t.Fatal(err)
	}
	if len(golden.Cases) != 50 {
		t.Fatalf("%d cases, want 50", len(golden.Cases))
	}
	worst := 0.0
	for i, c := range golden.Cases {
		l := c.lra()
		w, err := tube.Walk(alongX, l.Elements())
		if err != nil {
			t.Fatalf("case %d: %v", i, err)
		}
		off := max(w.End.O.Sub(vec(c.End)).Norm(), math.Abs(w.Length.MM()-c.Length), math.Abs(l.Length().MM()-c.Length))
		pts := tube.XYZ(alongX, l)
		if len(pts) != len(c.XYZ) {
			t.Fatalf("case %d: %d points, want %d", i, len(pts), len(c.XYZ))
		}
		for k := range pts {
			off = max(off, pts[k].Sub(c.XYZ[k]).Norm())
		}
		if worst = max(worst, off); off > 1e-6 {
			t.Errorf("case %d: off by %v mm, want 1e-6", i, off)
		}
		if d := w.End.T.Sub(vec(c.EndDir)).Norm(); d > 1e-9 {
			t.Errorf("case %d: end direction off by %v", i, d)
		}
		clr := l.Radii()
		for k := range c.CLR {
			if len(clr) != len(c.CLR) || clr[k] != c.CLR[k] {
				t.Fatalf("case %d: radii %v, want %v", i, clr, c.CLR)
			}
		}
		back, err := tube.FromPoints(c.XYZ, c.CLR, alongX.N)
		if err != nil {
			t.Fatalf("case %d: %v", i, err)
		}
		if d := differ(back, l); d > 1e-6 {
			t.Errorf("case %d: read back %v, want %v: off by %v mm", i, back, l, d)
		}
	}
	t.Logf("worst %.2g mm", worst)
}

// differ returns how far two lists of bender data are apart, in mm; an angle
// counts with the CLR as its arm, but a rotation with the arm of its bend,
// R·sin(turn), since that of a bend of almost nothing does not matter. Lists of
// different lengths are infinitely far apart.
func differ(a, b tube.LRA) float64 {
	if len(a.Rows) != len(b.Rows) {
		return math.Inf(1)
	}
	d := math.Abs((a.Last - b.Last).MM())
	for i, r := range a.Rows {
		s := b.Rows[i]
		rot := math.Remainder(float64(r.Rotation-s.Rotation), 2*math.Pi)
		d = max(d,
			math.Abs((r.Length - s.Length).MM()), math.Abs((r.Radius - s.Radius).MM()),
			s.Radius.MM()*math.Abs(float64(r.Turn-s.Turn)),
			s.Radius.MM()*math.Sin(min(float64(s.Turn), math.Pi/2))*math.Abs(rot))
	}
	return d
}

// Own worked example, also by hand: two bends out of plane.
func TestWorkedPath(t *testing.T) {
	l := tube.LRA{Rows: []tube.Row{row(50, 0, 45, 76.2), row(30, 90, 60, 76.2)}, Last: 40}
	want := []geom.Vec{{}, {X: 81.5631}, {X: 156.2033, Y: 74.6402}, {X: 185.8997, Y: 104.3366, Z: 72.7410}}
	for i, p := range tube.XYZ(alongX, l) {
		if p.Sub(want[i]).Norm() > 1e-4 {
			t.Errorf("point %d: got %v, want %v ± 0.00005", i+1, p, want[i])
		}
	}
	if got := l.Length().MM(); math.Abs(got-259.6438) > 0.00005 {
		t.Errorf("length %v, want 259.6438", got)
	}
}

// lra_examples.csv: points to bender data; the S-bend is a question from a public
// forum, the answers are own arithmetic to six decimals. Rotations are
// right-hand about the feed from one bend plane to the next; the first bend has
// none, which is what no reference gives.
func TestLRAExamples(t *testing.T) {
	rows := calctest.Published(t, "lra_examples.csv")
	for _, ex := range rows {
		pts := points(t, ex["points_or_start"])
		clr := units.Length(calctest.Number(t, ex["CLR"]))
		radii := make([]units.Length, len(pts)-2)
		for i := range radii {
			radii[i] = clr
		}
		l, err := tube.FromPoints(pts, radii, geom.Vec{})
		if err != nil {
			t.Errorf("%s: %v", ex["case"], err)
			continue
		}
		var straights, turns, rotations, arcs []float64
		for i, r := range l.Rows {
			straights, turns = append(straights, r.Length.MM()), append(turns, r.Turn.Deg())
			arcs = append(arcs, developed(t, r.Bend()).MM())
			if i == 0 && r.Rotation != 0 {
				t.Errorf("%s: first rotation %v without a reference, want 0", ex["case"], r.Rotation)
			}
			if i > 0 {
				rotations = append(rotations, r.Rotation.Deg())
			}
		}
		straights = append(straights, l.Last.MM())
		for _, col := range []struct {
			name string
			got  []float64
			tol  float64 // half the last digit of the file; angles carry that of six-decimal points
		}{
			{"straights", straights, 1e-6}, {"bend_angles_deg", turns, 1e-5},
			{"rotations_deg", rotations, 1e-5}, {"arcs", arcs, 1e-6}, {"cut_length", []float64{l.Length().MM()}, 1e-6},
		} {
			want := numbers(t, ex[col.name])
			if len(want) != len(col.got) {
				t.Errorf("%s %s: got %v, want %v", ex["case"], col.name, col.got, want)
				continue
			}
			for i := range want {
				if math.Abs(col.got[i]-want[i]) > col.tol {
					t.Errorf("%s %s: got %v, want %v (%s, %s)", ex["case"], col.name, col.got[i], want[i], ex["source"], ex["grade"])
				}
			}
		}
	}
	if len(rows) != 3 {
		t.Errorf("%d examples, want 3", len(rows))
	}
}
