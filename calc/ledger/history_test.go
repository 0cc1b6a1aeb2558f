package ledger

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
)

// history makes records one after the other, as several devices would.
type history struct {
	rnd  *rand.Rand
	recs []Record
}

func newHistory(seed uint64) *history {
	return &history{rnd: rand.New(rand.NewPCG(seed, 0))}
}

func (h *history) id() string {
	var b [16]byte
	for i := range b {
		b[i] = byte(h.rnd.Uint32())
	}
	return ID(b)
}

// add completes a record, appends it and returns its id. Clocks of the devices
// are off by up to ten years.
func (h *history) add(r Record) string {
	if r.ID == "" {
		r.ID = h.id()
	}
	if r.Job == "" {
		r.Job = "j1"
	}
	if r.Slot == "" {
		r.Slot = "port/p1/width"
	}
	dev := h.rnd.IntN(3)
	r.Dev, r.N, r.SV = fmt.Sprintf("tab%d", dev), int64(len(h.recs)), 1
	if r.HLC == "" {
		skew := []int64{0, 315_360_000_000, -315_360_000_000}[dev]
		r.HLC = Stamp(1764025441123+skew+int64(h.rnd.IntN(100_000)), 0, r.Dev)
	}
	h.recs = append(h.recs, r)
	return r.ID
}

func (h *history) reading(nm, res int64, over ...string) string {
	return h.add(Record{Kind: ReadingKind, Over: over, Body: lengthBody(nm, res)})
}

func (h *history) retract(target string) string {
	return h.add(Record{Kind: RetractKind, Target: target})
}

func (h *history) choice(chosen string, seen, over []string) string {
	return h.add(Record{Kind: ChoiceKind, Chosen: chosen, Seen: seen, Over: over})
}

func (h *history) note(text, hlc string) string {
	return h.add(Record{Kind: NoteKind, HLC: hlc, Body: body(Note{Text: text})})
}

func lengthBody(nm, res int64) json.RawMessage {
	return body(Reading{Text: fmt.Sprint(nm), Unit: "mm", NM: &nm, Res: res})
}

func wordBody(w string) json.RawMessage { return body(Reading{Text: w, Unit: "word"}) }

func body(v any) json.RawMessage {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return b
}

// someBody is a body of any sort; few values, so that agreement and dispute both
// come up.
func (h *history) someBody() json.RawMessage {
	angle := int64(72_000_000)
	switch h.rnd.IntN(12) {
	case 0:
		return json.RawMessage(`{"text":"40","unit":"newer"}`)
	case 1:
		return wordBody([]string{"304", "321"}[h.rnd.IntN(2)])
	case 2:
		return body(Reading{Text: "72", Unit: "deg", UDeg: &angle, Res: 1_000_000})
	}
	return lengthBody(100+5*int64(h.rnd.IntN(5)), []int64{0, 5, 10, 20}[h.rnd.IntN(4)])
}

// someLinks names up to three records made so far.
func (h *history) someLinks() []string {
	var ids []string
	for range h.rnd.IntN(4) {
		if len(h.recs) > 0 {
			ids = append(ids, h.recs[h.rnd.IntN(len(h.recs))].ID)
		}
	}
	return ids
}

func (h *history) someLink() string {
	if len(h.recs) == 0 || h.rnd.IntN(20) == 0 {
		return h.id() // a record that is not here
	}
	return h.recs[h.rnd.IntN(len(h.recs))].ID
}

// randomHistory makes one job of n records. With rings it also links records to
// later ones, which no screen can, and gives some id twice.
func randomHistory(seed uint64, n int, rings bool) []Record {
	h := newHistory(seed)
	for range n {
		r := Record{Slot: []string{"port/p1/width", "port/p1/height", "bolt/b1/x"}[min(h.rnd.IntN(5), 2)]}
		switch h.rnd.IntN(11) {
		case 0, 1:
			r.Kind, r.Target = RetractKind, h.someLink()
			for _, o := range h.recs {
				if o.ID == r.Target {
					r.Slot = o.Slot
				}
			}
		case 2, 3:
			r.Kind, r.Chosen, r.Seen, r.Over = ChoiceKind, h.someLink(), h.someLinks(), h.someLinks()
		case 4:
			r.Kind, r.Body = []string{NoteKind, PieceKind}[h.rnd.IntN(2)], body(Note{Text: fmt.Sprint(len(h.recs))})
		case 5:
			r.Kind, r.Over, r.Seen = "later", h.someLinks(), h.someLinks()
		default:
			r.Kind, r.Over, r.Seen, r.Body = ReadingKind, h.someLinks(), h.someLinks(), h.someBody()
		}
		h.add(r)
	}
	if rings {
		for i := range h.recs {
			switch r := &h.recs[i]; h.rnd.IntN(4) {
			case 0:
				r.Over = append(r.Over, h.someLink())
			case 1:
				if r.Kind == RetractKind {
					r.Target = h.someLink()
				}
			}
		}
		if n > 0 && h.rnd.IntN(3) == 0 {
			twice := h.recs[h.rnd.IntN(n)]
			twice.Body = h.someBody()
			h.recs = append(h.recs, twice)
		}
	}
	return h.recs
}
