package ledger

import (
	"cmp"
	"math"
	"slices"
)

// judge says how the slot stands, given how many of its heads a standing choice
// names.
func (s *State) judge(chosen int) {
	if len(s.Heads) == 0 {
		s.Kind = Missing
		return
	}
	s.Value = inUse(s.Heads).ID
	switch {
	case len(s.Unreadable) > 0 || chosen > 1:
		s.Kind = Disputed
	case len(s.Heads) == 1 && chosen == 1:
		s.Kind = Chosen
	case agree(s.Heads):
		s.Kind = Agreed
	default:
		s.Kind = Disputed
	}
}

// agree tells whether every two heads differ by no more than the smaller of
// their stated resolutions. That is the strict reading of "within each other's
// resolutions": in doubt a person is asked. A resolution that is not known allows
// no difference. Words agree when they are equal, and quantities of different
// kinds never do.
//
// For all pairs at once: no head lies further from the least or the greatest
// than its own resolution.
func agree(heads []Head) bool {
	kind, low := heads[0].value()
	high := low
	for _, h := range heads[1:] {
		k, v := h.value()
		if k != kind || k == word && h.Text != heads[0].Text {
			return false
		}
		low, high = min(low, v), max(high, v)
	}
	for _, h := range heads {
		if _, v := h.value(); high-v > h.Res || v-low > h.Res {
			return false
		}
	}
	return true
}

// inUse returns the head of finest stated resolution, then least id.
func inUse(heads []Head) Head {
	return slices.MinFunc(heads, func(a, b Head) int {
		return cmp.Or(cmp.Compare(fineness(a), fineness(b)), cmp.Compare(a.ID, b.ID))
	})
}

func fineness(h Head) int64 {
	if k, _ := h.value(); k == word || h.Res <= 0 {
		return math.MaxInt64
	}
	return h.Res
}
