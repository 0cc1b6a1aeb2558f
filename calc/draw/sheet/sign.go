package sheet

import (
	"strings"
	"unicode"

	"tubewright/calc/job"
)

// sign is the sign of a sheet: of what was entered that it rests on, and of what it
// warns of. A print that was measured stays good while something else is changed, and
// in whichever unit and on whichever machine it was made.
func (m maker) sign(d draft) string {
	if d.rests == nil {
		return sign(m.w.Hash)
	}
	var words []string
	for _, text := range d.Warnings {
		// Without its figures, which are results: they may round differently elsewhere.
		words = append(words, strings.Map(func(r rune) rune {
			if unicode.IsDigit(r) {
				return -1
			}
			return r
		}, text))
	}
	return sign(m.w.SignOf(words, d.rests...))
}

func (d draft) resting(on ...job.About) draft {
	d.rests = on
	return d
}

// head is a bank with its bolts and ports, and of the tubes that start there what forms
// their ends.
func (m maker) head(k job.Bank) []job.About {
	on := []job.About{{Kind: "bank", ID: k.ID, With: []string{"bolt", "port", "rim"}}}
	for _, p := range k.Ports {
		for _, t := range m.w.Job.Tubes {
			if t.Port == p.ID {
				on = append(on, ends(t))
			}
		}
	}
	return on
}

func ends(t job.Tube) job.About {
	return job.About{Kind: "tube", ID: t.ID, Fields: []string{"port", "od", "wall", "transition"}}
}

func patternOf(p job.Pattern) job.About {
	return job.About{Kind: "pattern", ID: p.ID, With: []string{"hole", "opening", "spot"}}
}

// start is the port at which a tube starts, and its end there.
func (m maker) start(t job.Tube) []job.About {
	on := []job.About{ends(t), {Kind: "port", ID: t.Port, With: []string{"rim"}}}
	for _, k := range m.w.Job.Banks {
		for _, p := range k.Ports {
			if p.ID == t.Port {
				on = append(on, job.About{Kind: "bank", ID: k.ID, Fields: []string{"revision"}})
			}
		}
	}
	return on
}

// kerf is what a cut takes.
var kerf = job.About{Kind: "shop", ID: job.Self, Fields: []string{"kerf"}}

// path is a tube with the pieces of its path as they are planned, not as they were made,
// and the port and the bank at which it starts.
func (m maker) path(t job.Tube) []job.About {
	on := []job.About{{Kind: "tube", ID: t.ID, Fields: []string{"port", "od", "wall", "collector"}}, {Kind: "port", ID: t.Port, Fields: []string{"cylinder"}},
		{Kind: "bank", ID: m.bank(t).ID, Fields: []string{"revision"}}}
	for _, e := range t.Path {
		on = append(on, job.About{Kind: "element", ID: e.ID, Fields: []string{"type", "length", "turn", "clr", "rotation", "number"}})
	}
	return on
}
