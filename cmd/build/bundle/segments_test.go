package bundle

import (
	"bytes"
	"encoding/hex"
	"math/rand/v2"
	"strings"
	"testing"
)

// A module with nothing but a memory and two segments, byte by byte after the
// WebAssembly Core Specification 1.0, 5.5: "ab" at 8 and "c" at 12 become one segment
// with the two zeros between them, and what lies 256 zeros further stays apart.
func TestSegmentsAreJoined(t *testing.T) {
	const head = "0061736d01000000" + "0503010001" // magic, version; section 5, one memory of one page
	tests := []struct{ name, data, want string }{
		{"two near ones", "0b0e02" + "0041080b026162" + "00410c0b0163", "0b0b01" + "0041080b0561620000" + "63"},
		{"in another order", "0b0e02" + "00410c0b0163" + "0041080b026162", "0b0b01" + "0041080b0561620000" + "63"},
		{"two far ones", "0b0f02" + "0041080b026162" + "00418a020b0163", "0b0f02" + "0041080b026162" + "00418a020b0163"},
		{"one fewer zero", "0b0f02" + "0041080b026162" + "004189020b0163", "0b890201" + "0041080b82026162" + strings.Repeat("00", 255) + "63"},
		{"none", "0b0100", "0b0100"},
	}
	for _, tt := range tests {
		got, err := JoinSegments(unhex(t, head+tt.data))
		if err != nil || hex.EncodeToString(got) != head+tt.want {
			t.Errorf("%s: %x, %v; want %s", tt.name, got, err, head+tt.want)
		}
	}
}

func TestSegmentsThatCannotBeJoined(t *testing.T) {
	const head = "0061736d01000000"
	tests := []struct{ name, module, why string }{
		{"text", "7b7d", "begin as a module"},
		{"half a section", head + "0b0e02", "section is cut off"},
		{"half a segment", head + "0b0501" + "0041080b", "segment 1 of 1 is not whole"},
		{"passive", head + "0b0801" + "0141080b026162", "does not go to a place"},
		{"by a global", head + "0b0801" + "0023080b026162", "does not go to a place"},
		{"below zero", head + "0b0801" + "00417f0b026162", "is not whole"},
		{"over one another", head + "0b0e02" + "0041080b026162" + "0041090b0163", "the same place, 9"},
		{"more behind", head + "0b0901" + "0041080b02616200", "1 bytes follow"},
	}
	for _, tt := range tests {
		if _, err := JoinSegments(unhex(t, tt.module)); err == nil || !strings.Contains(err.Error(), tt.why) {
			t.Errorf("%s: %v, want %q", tt.name, err, tt.why)
		}
	}
}

// What a memory holds is the same before and after, and no piece but the last ends in
// front of a gap that would have been written out.
func TestJoinedSegmentsFillTheMemoryAlike(t *testing.T) {
	const seed = 1
	rnd := rand.New(rand.NewPCG(seed, 0))
	for range 300 {
		want, section := make([]byte, 1<<16), []byte(nil)
		n := rnd.IntN(40)
		at := rnd.IntN(300)
		for range n {
			data := make([]byte, 1+rnd.IntN(200))
			for i := range data {
				data[i] = byte(rnd.IntN(3))
			}
			copy(want[at:], data)
			section = append(appendOffset(append(section, 0, i32Const), at), end)
			section = append(appendSize(section, len(data)), data...)
			at += len(data) + rnd.IntN(600)
		}
		joined, err := joinData(append(appendSize(nil, n), section...))
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		got, r := make([]byte, 1<<16), reader{left: joined}
		behind := -zerosFrom
		for range r.size() {
			r.take(2)
			at := r.offset()
			r.take(1)
			data := r.take(r.size())
			if at-behind < zerosFrom {
				t.Errorf("seed %d: a piece ends at %d and the next begins at %d", seed, behind, at)
			}
			copy(got[at:], data)
			behind = at + len(data)
		}
		if r.failed || len(r.left) > 0 || !bytes.Equal(got, want) {
			t.Fatalf("seed %d: the memory is another", seed)
		}
	}
}

func unhex(t *testing.T, s string) []byte {
	t.Helper()
	b, err := hex.DecodeString(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
