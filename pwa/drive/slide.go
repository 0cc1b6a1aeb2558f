package drive

import "math"

// Slide puts a finger down at the first point, moves it to the others, and lifts it;
// an engine without touch gets the mouse. One point alone is a tap on a place.
// Points are in CSS pixels from the upper left of the view. A way takes several moves,
// as a finger's does: after a single one Chromium at times swallows the next tap.
func (s *session) Slide(points ...[2]float64) error {
	kind := "touch"
	if !s.touch {
		kind = "mouse"
	}
	actions := []any{}
	move := func(x, y float64, ms int) {
		actions = append(actions, map[string]any{
			"type": "pointerMove", "duration": ms, "x": int(math.Round(x)), "y": int(math.Round(y)), "origin": "viewport",
		})
	}
	const steps = 4
	for i, p := range points {
		if i == 0 {
			move(p[0], p[1], 0)
			actions = append(actions, map[string]any{"type": "pointerDown", "button": 0})
			continue
		}
		was := points[i-1]
		for k := 1.0; k <= steps; k++ {
			move(was[0]+(p[0]-was[0])*k/steps, was[1]+(p[1]-was[1])*k/steps, 20)
		}
	}
	actions = append(actions, map[string]any{"type": "pointerUp", "button": 0})
	return s.call(nil, "PerformActions", map[string]any{"actions": []any{map[string]any{
		"type": "pointer", "id": kind, "parameters": map[string]any{"pointerType": kind}, "actions": actions,
	}}})
}
