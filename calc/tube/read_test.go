package tube_test

import (
	"regexp"
	"strings"
	"testing"

	"tubewright/calc/calctest"
	"tubewright/calc/geom"
)

func numbers(t *testing.T, list string) (xs []float64) {
	t.Helper()
	for _, text := range strings.Split(list, ";") {
		xs = append(xs, calctest.Number(t, text))
	}
	return xs
}

var figure = regexp.MustCompile(`[-0-9.]+`)

// inputs reads "R=76.2 mm theta=90".
func inputs(t *testing.T, text string) (r, theta float64) {
	t.Helper()
	found := figure.FindAllString(text, -1)
	if len(found) != 2 {
		t.Fatalf("inputs %q", text)
	}
	return calctest.Number(t, found[0]), calctest.Number(t, found[1])
}

// points reads "(0.0,0.0,0.0); (100.0,0.0,0.0)".
func points(t *testing.T, text string) (pts []geom.Vec) {
	t.Helper()
	for _, p := range strings.Split(text, ";") {
		xyz := figure.FindAllString(p, -1)
		pts = append(pts, geom.Vec{X: calctest.Number(t, xyz[0]), Y: calctest.Number(t, xyz[1]), Z: calctest.Number(t, xyz[2])})
	}
	return pts
}
