package history

import "slices"

// Shrink takes steps out of a history for as long as the same invariant breaks,
// and returns what is left with how it breaks then.
func Shrink(h History, b *Broken, v *Violation) (History, *Violation) {
	for size := max(1, len(h.Steps)/2); size >= 1; size /= 2 {
		for at := 0; at < len(h.Steps); {
			less := h
			less.Steps = slices.Delete(slices.Clone(h.Steps), at, min(at+size, len(h.Steps)))
			if got := Run(less, b); got != nil && got.Letter == v.Letter {
				h, v = less, got
				continue
			}
			at += size
		}
	}
	return h, v
}
