package stock

import "testing"

// Closed form: with a loss of 2 behind each, 50 and 30 take 84 of the room of 84 that a
// bar of 82 has, and 50 and 29 leave 1.
func TestExactFillIsFound(t *testing.T) {
	c := cover{
		parts: []part{{size: 50, n: 1, must: true}, {size: 30, n: 1, must: true}, {size: 29, n: 2, must: true}},
		bars:  []bar{{size: 82, loss: 2, legA: 1, legB: 1}, {size: 83, loss: 2, legA: 1, legB: 1}, {size: 89, loss: 2, legA: 1, legB: 1}, {size: 82, loss: 2, legA: 1}},
	}
	for k, want := range []bool{true, false, false, false} {
		if got := c.isExact(k); got != want {
			t.Errorf("bar of %v: %v, want %v", c.bars[k].size, got, want)
		}
	}
}
