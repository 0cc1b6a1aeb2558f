package job

import (
	"math"

	"tubewright/calc/flange"
	"tubewright/calc/units"
)

// FitPlan is the shape of fewest dimensions that no measured point is more than 0.5 mm
// away from. It is an offer: the outline is what was measured.
type FitPlan struct {
	Shape    string `json:"shape"`
	Diameter *out   `json:"diameter,omitempty"`
	Width    *out   `json:"width,omitempty"`
	Height   *out   `json:"height,omitempty"`
	Corner   *out   `json:"corner,omitempty"`
	Radius   *out   `json:"radius,omitempty"`
	Flat     *out   `json:"flat,omitempty"`
	Turn     out    `json:"turn"`
	Shift    onFace `json:"shift"` // of its centre from the port's
	Worst    out    `json:"worst"`
	WorstAt  int    `json:"worst_at"` // which point, from 1
	Sigma    out    `json:"sigma"`
}

// fit offers shapes for the ports that were measured point by point. It is worked out
// once and rests on nothing else, so that it is left out where readings are compared:
// of one port it takes as long as half of a plan.
func (p *Plan) fit() {
	for _, f := range p.Flanges {
		for i := range f.Ports {
			if rim, ok := p.rims[f.Ports[i].ID]; ok {
				f.Ports[i].Fit = rim.fit()
			}
		}
	}
}

// rim is a measured outline as it was entered.
type rim struct {
	points [][2]float64
	turn   units.Angle
}

func (r rim) fit() *FitPlan {
	m, err := flange.FromPoints(r.points, flange.UsualNoise)
	if err != nil || m.Offered < 0 {
		return nil
	}
	f := m.Fits[m.Offered]
	sin, cos := math.Sincos(float64(r.turn))
	fp := &FitPlan{Shape: f.Shape, Turn: degrees(math.Remainder(f.Turn+float64(r.turn), 2*math.Pi)), Shift: onFace{cos*f.X - sin*f.Y, sin*f.X + cos*f.Y},
		Worst: out(f.Worst), WorstAt: f.WorstAt + 1, Sigma: out(f.Sigma)}
	for name, to := range map[string]struct {
		put **out
		mm  float64
	}{
		"diameter": {&fp.Diameter, f.Diameter}, "width": {&fp.Width, f.Width}, "height": {&fp.Height, f.Height},
		"corner": {&fp.Corner, f.Corner}, "radius": {&fp.Radius, f.Radius}, "flat": {&fp.Flat, f.Flat},
	} {
		for _, has := range shapes[f.Shape].dimensions {
			if has == name {
				*to.put = num(to.mm)
			}
		}
	}
	return fp
}
