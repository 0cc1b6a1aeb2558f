package job_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/job"
)

// engine changes how the vee fires; a nil numbering or list of intervals takes it out.
func engine(n int, order string, numbering, intervals any, style string) func(j map[string]any) {
	return changes(set("engine", map[string]any{"cylinders": n, "firing_order": order, "numbering": numbering, "firing_intervals": intervals}), set("target", map[string]any{"style": style}),
		set("", map[string]any{"banks": []any{}, "tubes": []any{}, "sensors": []any{}, "collectors": []any{}}))
}

// style is the best grouping of a style, written as groups with their gaps.
func style(p job.PairingPlan, of string) (text string) {
	for _, s := range p.Styles {
		if s.Style == of {
			text += s.Bank + ":" + groups(s.Best[0]) + " "
			for _, inner := range s.Inner {
				text += "(" + groups(inner[0]) + ") "
			}
		}
	}
	return strings.TrimSpace(text)
}

func groups(g job.GroupingPlan) (text string) {
	for _, group := range g.Groups {
		gaps, _ := json.Marshal(group.Gaps) // as they are printed
		text += " " + strings.Trim(fmt.Sprint(group.Cylinders), "[]") + ": " + strings.Trim(string(gaps), "[]")
	}
	return strings.TrimSpace(text)
}

// Four engines of other layouts, by hand: the n-th of an even order of n fires at
// (n−1)·720/n, gaps are the differences.
func TestPairingOfFourLayouts(t *testing.T) {
	tests := []struct {
		name   string
		change func(j map[string]any)
		styles map[string]string
		cross  []int
	}{
		// 1 0°, 3 180°, 4 360°, 2 540°: 1 and 4, 3 and 2 are 360° apart.
		{"four in a row", engine(4, "1-3-4-2", "inline", nil, "4-2-1"), map[string]string{"4-2-1": "A:1 3 4 2: 180,180,180,180 (1 4: 360,360 2 3: 360,360)"}, nil},
		// 1 0°, 4 120°, 2 240°, 5 360°, 3 480°, 6 600° with 1-3 on one bank.
		{"vee six", engine(6, "1-4-2-5-3-6", "1-3/4-6", nil, "3-1"), map[string]string{"3-1": "A:1 2 3: 240,240,240 B:4 5 6: 240,240,240"}, []int{}},
		// 1 0°, 3 180°, 2 360°, 4 540°, odd and even face each other: even would be 1
		// and 2, 3 and 4, so that 2 and 3 cross.
		{"boxer four", engine(4, "1-3-2-4", "boxer", nil, "2-1"), map[string]string{"2-1": "A:1 3: 180,540 B:2 4: 180,540"}, []int{2, 3}},
		// A crank of 270: 1 0°, 2 270°.
		{"two on a crank of 270", engine(2, "1-2", "inline", "270-450", "2-1"), map[string]string{"2-1": "A:1 2: 270,450"}, nil},
	}
	for _, tt := range tests {
		p := sized(t, tt.change).Pairing
		if p.Why != "" {
			t.Errorf("%s: %s", tt.name, p.Why)
		}
		for of, want := range tt.styles {
			if got := style(p, of); got != want {
				t.Errorf("%s, %s: %s, want %s", tt.name, of, got, want)
			}
			if p.Styles[0].Style != of {
				t.Errorf("%s: %s comes first", tt.name, p.Styles[0].Style)
			}
		}
		if (p.Crossover == nil) != (tt.cross == nil) || tt.cross != nil && !slices.Equal(p.Crossover.Cross, tt.cross) {
			t.Errorf("%s: crossover %+v, want %v", tt.name, p.Crossover, tt.cross)
		}
	}
}

// The same order under the other numbering gives the other answer: 1 0°, 8 90°, 4 180°,
// 3 270°, 6 360°, 5 450°, 7 540°, 2 630°. Even are 1-4-6-7 and 8-3-5-2: of odd and even
// banks 3 to 6 cross, of 1-4/5-8 2, 3, 6 and 7.
func TestNumberingDecidesWhichCylindersGoTogether(t *testing.T) {
	const order = "1-8-4-3-6-5-7-2"
	odd := "A:1 3 5 7: 270,180,90,180 B:2 8 4 6: 180,90,180,270"
	half := "A:1 4 3 2: 180,90,360,90 B:5 7 8 6: 90,270,270,90"
	for numbering, want := range map[string]string{"odd-even": odd, "1-3-5-7/2-4-6-8": odd, `{"A": [1, 3, 5, 7], "B": [2, 4, 6, 8]}`: odd, "1-4/5-8": half, "1-2-3-4/5-6-7-8": half} {
		p := sized(t, engine(8, order, numbering, nil, "4-1")).Pairing
		if got := style(p, "4-1"); got != want {
			t.Errorf("%s: %s, want %s", numbering, got, want)
		}
		cross := map[string][]int{odd: {3, 4, 5, 6}, half: {2, 3, 6, 7}}[want]
		if c := p.Crossover; c == nil || !c.Even || !slices.Equal(c.Cross, cross) {
			t.Errorf("%s: crossover %+v, want %v", numbering, c, cross)
		}
		if len(p.Spots) != 8 || p.Spots[1].Cylinder != 8 || p.Spots[1].Cycle != 90 || p.Spots[5].Crank != 90 || p.Spots[5].Turn != 2 {
			t.Errorf("%s: spots %+v", numbering, p.Spots)
		}
	}
	if p := sized(t, engine(8, order, "odd-even", nil, "180-degree")); p.Pairing.Why != "" || p.Pairing.Crossover == nil {
		t.Errorf("180-degree: %+v", p.Pairing)
	}
}

// What is missing or wrong is said, and nothing is guessed.
func TestPairingSaysWhatIsMissing(t *testing.T) {
	for name, tt := range map[string]struct {
		change func(j map[string]any)
		why    string
		styles bool
	}{
		"no order":            {set("engine", map[string]any{"firing_order": nil, "firing_intervals": nil}), "the firing order is not entered yet", false},
		"odd number of banks": {engine(5, "1-2-4-5-3", "boxer", nil, "5-1"), "even number", false},
		"no such numbering":   {engine(4, "1-3-4-2", "crosswise", nil, "4-1"), "list of cylinders for each bank", false},
		"cylinder left out":   {engine(4, "1-3-4-2", "1-2/3", nil, "4-1"), "3 of 4", false},
		"no list":             {engine(4, "1-3-4-2", `{"A": [1, "x"]}`, nil, "4-1"), "bank A", false},
		"wrong style":         {engine(4, "1-3-4-2", "inline", nil, "3-1"), "3 cylinders", true},
	} {
		p := sized(t, tt.change).Pairing
		if !strings.Contains(p.Why, tt.why) || (len(p.Styles) > 0) != tt.styles {
			t.Errorf("%s: %q, %d styles", name, p.Why, len(p.Styles))
		}
	}
}
