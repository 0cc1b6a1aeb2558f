package survey_test

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/survey"
	"tubewright/calc/units"
)

// testdata/align.csv: 40 point sets with rotation and residual of scipy's
// align_vectors, written by align.py beside it.
func TestRegisterAgainstAnotherProgram(t *testing.T) {
	file, err := os.Open("testdata/align.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment, reader.FieldsPerRecord = '#', -1
	rows, err := reader.ReadAll()
	if err != nil || len(rows) != 40 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	worst := 0.0
	for i, row := range rows {
		var v []float64
		for _, text := range row {
			x, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			v = append(v, x)
		}
		n := int(v[0])
		at := func(k int) geom.Vec { return geom.Vec{X: v[1+3*k], Y: v[2+3*k], Z: v[3+3*k]} }
		var pairs []survey.Pair
		for k := range n {
			pairs = append(pairs, survey.Pair{From: at(k), To: at(n + k)})
		}
		tie, err := survey.Register(pairs, 0.5)
		if err != nil {
			t.Fatalf("row %d: %v", i+1, err)
		}
		turn := v[1+6*n:]
		for k, e := range []geom.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
			want := geom.Vec{X: turn[k], Y: turn[3+k], Z: turn[6+k]}
			d := tie.Move.Dir(e).Sub(want).Norm()
			if worst = max(worst, d); d > 1e-12 {
				t.Errorf("row %d: axis %d goes to %v, want %v", i+1, k, tie.Move.Dir(e), want)
			}
		}
		if d := math.Abs(tie.RMS.MM() - turn[9]); d > 1e-11 {
			t.Errorf("row %d: rms %v mm, want %v", i+1, tie.RMS, turn[9])
		}
	}
	t.Logf("largest difference of an axis %.1g", worst)
}

func TestRegisterUndoesAMove(t *testing.T) {
	const seed = 21
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 500 {
		angle := between(rnd, -math.Pi, math.Pi)
		if i%5 == 0 {
			angle = []float64{0, math.Pi, 1e-9}[i/5%3]
		}
		move, err := geom.NewMove(anyDir(rnd), angle, anyDir(rnd).Scale(700))
		if err != nil {
			t.Fatal(err)
		}
		var pairs []survey.Pair
		for range 3 + rnd.IntN(5) {
			p := anyDir(rnd).Scale(between(rnd, 20, 300))
			pairs = append(pairs, survey.Pair{From: p, To: move.Point(p)})
		}
		tie, err := survey.Register(pairs, 0.1)
		if err != nil {
			continue // three points by chance near a line
		}
		p := anyDir(rnd).Scale(500)
		if d := tie.Move.Point(p).Sub(move.Point(p)).Norm(); d > 1e-10 || tie.RMS > 1e-11 || tie.TooFar {
			t.Fatalf("seed %d case %d: off by %v mm, rms %v", seed, i, d, tie.RMS)
		}
	}
}

// flange returns bolt holes in two rows: 310 mm long, 60 mm high.
func flange(n int) (pts []geom.Vec) {
	for i := range n {
		pts = append(pts, geom.Vec{X: 310 * float64(i/2) / float64(n/2-1), Y: 60 * float64(i%2)})
	}
	return pts
}

// fitted returns a tie of points shaken by σ in the second frame.
func fitted(t *testing.T, rnd *rand.Rand, pts []geom.Vec, sigma float64) survey.Tie {
	t.Helper()
	var pairs []survey.Pair
	for _, p := range pts {
		pairs = append(pairs, survey.Pair{From: p, To: shaken(rnd, p, sigma)})
	}
	tie, err := survey.Register(pairs, units.Length(sigma))
	if err != nil {
		t.Fatal(err)
	}
	return tie
}

func TestTargetSigmaIsHonest(t *testing.T) {
	const seed = 22
	rnd := rand.New(rand.NewPCG(seed, 0))
	target := geom.Vec{X: 200, Y: -250, Z: 430}
	for _, n := range []int{4, 6, 12} {
		var along [3]honest
		var off, said, scatter float64
		const tries = 1500
		for range tries {
			tie := fitted(t, rnd, flange(n), 0.5)
			e, err := tie.Target(target)
			if err != nil {
				t.Fatal(err)
			}
			miss := tie.Move.Point(target).Sub(target)
			for k, a := range e.Axis {
				along[k].add(miss.Dot(a), e.Sigma[k].MM())
			}
			off += miss.Dot(miss) / tries
			said += e.RMS().MM() * e.RMS().MM() / tries
			scatter += tie.Scatter.MM() * tie.Scatter.MM() / tries
		}
		for k, h := range along {
			h.check(t, "target along its axis "+strconv.Itoa(k+1))
		}
		t.Logf("%d points: off %.3f mm rms, said %.3f; scatter %.3f", n, math.Sqrt(off), math.Sqrt(said), math.Sqrt(scatter))
		if r := math.Sqrt(off / said); r < 0.95 || r > 1.05 {
			t.Errorf("%d points: off %v, said %v", n, math.Sqrt(off), math.Sqrt(said))
		}
		if r := math.Sqrt(scatter) / 0.5; r < 0.95 || r > 1.05 {
			t.Errorf("%d points: the residuals show σ %v, it is 0.5", n, math.Sqrt(scatter))
		}
	}
}

// The trace of the covariance is the published form.
func TestTargetIsFitzpatrickWest(t *testing.T) {
	pts := flange(6)
	rnd := rand.New(rand.NewPCG(23, 0))
	tie := fitted(t, rnd, pts, 0.001)
	target := geom.Vec{X: 100, Y: 40, Z: 500}
	e, err := tie.Target(target)
	if err != nil {
		t.Fatal(err)
	}
	// The principal axes are x, y, z; centre (155, 30, 0).
	r := target.Sub(geom.Vec{X: 155, Y: 30})
	fx, fy := 30*30.0, 0.0
	for _, p := range pts {
		fy += (p.X - 155) * (p.X - 155) / 6
	}
	sum := (r.Y*r.Y+r.Z*r.Z)/fx + (r.X*r.X+r.Z*r.Z)/fy + (r.X*r.X+r.Y*r.Y)/(fx+fy)
	want := math.Sqrt(3e-6 / 6 * (1 + sum/3))
	if got := e.RMS().MM(); math.Abs(got/want-1) > 1e-3 {
		t.Errorf("%v, want %v", got, want)
	}
}

// What the design found: at a collector 500 mm away six flange points at σ 0.5 are
// 4.1 mm off, twelve 2.9, and one more near the collector leaves 0.84, two 0.57. Its
// flange is not known; ours is one on which six points give the same.
func TestOneReferenceNearTheCollectorHelpsMost(t *testing.T) {
	target := geom.Vec{X: 155, Y: 30, Z: 500}
	narrow := func(n int) []geom.Vec {
		pts := flange(n)
		for i := range pts {
			pts[i].Y = 30 + (pts[i].Y-30)*0.835
		}
		return pts
	}
	rnd := rand.New(rand.NewPCG(24, 0))
	rms := func(pts []geom.Vec) float64 {
		e, err := fitted(t, rnd, pts, 0.5).Target(target)
		if err != nil {
			t.Fatal(err)
		}
		return e.RMS().MM()
	}
	six := narrow(6)
	near := geom.Vec{X: 215, Y: -30, Z: 450}
	got := []float64{rms(six), rms(narrow(12)), rms(append(narrow(6), near)), rms(append(narrow(6), near, geom.Vec{X: 130, Y: 60, Z: 520}))}
	t.Logf("6 points %.2f mm, 12 %.2f, one more near the collector %.2f, two %.2f", got[0], got[1], got[2], got[3])
	for i, want := range []float64{4.1, 2.9, 0.84, 0.57} {
		if math.Abs(got[i]/want-1) > 0.15 {
			t.Errorf("case %d: %.2f mm, want %.2f", i+1, got[i], want)
		}
	}
	tie := fitted(t, rnd, six, 0.5)
	list, err := tie.Better(target, geom.Vec{X: 155, Y: 90}, near, geom.Vec{X: 400, Y: 30})
	if err != nil || list[0].At != near || math.Abs(list[0].After.MM()-got[2]) > 0.01 || math.Abs(list[0].Before.MM()-got[0]) > 0.01 || list[1].After > list[2].After {
		t.Errorf("%+v, %v", list, err)
	}
	if list, err = tie.Better(target); err != nil || list[0].At != target || list[0].After.MM() > 0.8 {
		t.Errorf("without candidates: %+v, %v", list, err)
	}
}

func TestRegisterRefusals(t *testing.T) {
	line := func(n int, off float64) (pairs []survey.Pair) {
		for i := range n {
			p := geom.Vec{X: 50 * float64(i), Y: off * float64(i%2)}
			pairs = append(pairs, survey.Pair{From: p, To: p})
		}
		return pairs
	}
	reg := func(p []survey.Pair, sigma units.Length) error { _, err := survey.Register(p, sigma); return err }
	refused(t, "two", reg(line(2, 0), 0.5), "3 to 1000")
	refused(t, "on a line", reg(line(5, 0), 0.5), "first frame", "one line", "add a point well off it")
	refused(t, "nearly on a line", reg(line(5, 1), 0.5), "one line")
	refused(t, "all in one", reg(make([]survey.Pair, 4), 0.5), "one line")
	refused(t, "sigma", reg(line(5, 50), 0), "Sigma")
	bad := line(4, 50)
	bad[2].To.Y = math.Inf(1)
	refused(t, "infinite", reg(bad, 0.5), "Point 3 in the second frame y")
	if err := reg(line(5, 50), 0.5); err != nil {
		t.Error(err)
	}
	// One pair swapped does not pass for a good tie.
	swapped := line(6, 50)
	swapped[1].To, swapped[2].To = swapped[2].To, swapped[1].To
	if tie, err := survey.Register(swapped, 0.5); err != nil || !tie.TooFar {
		t.Errorf("swapped points: %+v, %v", tie, err)
	}
	_, err := survey.Tie{}.Target(geom.Vec{})
	refused(t, "no tie", err, "not tied yet")
}
