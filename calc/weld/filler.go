package weld

import (
	"slices"

	"tubewright/calc/sizing"
)

// Filler is a rod that is named for two materials.
type Filler struct {
	Class  string // AWS A5.9 or A5.18
	Source sizing.Source
}

var (
	faq     = sizing.Source{Text: "questions on stainless filler: 308L for 304, 309L for mild steel to stainless and for 409, 347 for 321 and 347 (308L is usable there too)", Grade: sizing.Published}
	journal = sizing.Source{Text: "questions on stainless filler, and Welding Journal, July 2016, p. 36: 308/308L for 304, 309L or 312 to carbon steel", Grade: sizing.Published}
	known   = func(text string) sizing.Source { return sizing.Source{Text: text, Grade: sizing.Memory} }
)

// Steels that fillers are named for.
const mild = "mild steel"

var (
	stabilised = []string{"321", "347"}
	stainless  = []string{"304", "304L", "316", "316L", "321", "347", "409"}
)

// IsStainless tells whether a material is a stainless steel, as far as settings go.
func IsStainless(material string) bool { return slices.Contains(stainless, material) }

// IsSteel tells whether the tables of settings are for the material at all.
func IsSteel(material string) bool { return material == mild || IsStainless(material) }

// Fillers returns the rods that are named for two materials, the first choice first; none
// where no source here says anything. Which of the two comes first does not matter.
func Fillers(a, b string) []Filler {
	both := func(of ...string) bool { return slices.Contains(of, a) && slices.Contains(of, b) }
	either := func(of ...string) bool { return slices.Contains(of, a) || slices.Contains(of, b) }
	switch {
	case !IsSteel(a) || !IsSteel(b):
		return nil
	case both(mild):
		return []Filler{{"ER70S-2", known("mild steel to itself: ER70S-2, or ER70S-6")}, {"ER70S-6", known("mild steel to itself: ER70S-2, or ER70S-6")}}
	case either(mild) && either("304", "304L"):
		return []Filler{{"ER309L", journal}, {"ER312", journal}}
	case either(mild), both("409"), either("409") && either("304", "304L"):
		return []Filler{{"ER309L", faq}}
	case both(stabilised...):
		return []Filler{{"ER347", faq}, {"ER308L", faq}}
	case both("304", "304L"):
		return []Filler{{"ER308L", journal}}
	case both("316", "316L"):
		return []Filler{{"ER316L", known("316 and 316L to themselves: ER316L")}}
	case both("304", "304L", "321", "347"):
		return []Filler{{"ER347", known("304 to 321 or 347: ER347, or ER308L")}, {"ER308L", known("304 to 321 or 347: ER347, or ER308L")}}
	}
	return nil
}
