package ledger

import (
	"strings"
	"testing"
)

var (
	shaA = strings.Repeat("a1", 32)
	shaB = strings.Repeat("b2", 32)
)

func withBody(kind, text string) Record {
	return Record{ID: someID, Kind: kind, Job: "j1", Body: []byte(text)}
}

// A photo is nothing newer: a tablet that shows photos must not say that
// records were made by a newer version because of them.
func TestPhotosMarksAndDeniesAreKnownAndSayNothingOfValues(t *testing.T) {
	h := newHistory(3)
	a := h.reading(100, 5)
	for _, kind := range []string{PhotoKind, MarkKind, DenyKind} {
		h.add(Record{Kind: kind, Body: []byte(`{"sha":"` + shaA + `"}`)})
		h.add(Record{Kind: kind, Body: []byte(`[]`), Over: []string{a}, Seen: []string{a}, Target: a})
	}
	f := Fold(h.recs)
	if f.Unknown != 0 || len(f.Unreadable) != 0 {
		t.Errorf("%d unknown, %v unreadable; want none", f.Unknown, f.Unreadable)
	}
	if s := f.Slots["port/p1/width"]; len(f.Slots) != 1 || s.Kind != Agreed || !sameSet(headIDs(s), a) || s.History != 1 {
		t.Errorf("slots are %s; want the one reading as if nothing else were there", dump(f))
	}
}

func TestPhotoOfReadsTheBody(t *testing.T) {
	p, ok := PhotoOf(withBody(PhotoKind, `{"sha":"`+shaA+`","size":412345,"type":"image/jpeg","w":2560,"h":1920,`+
		`"preview":{"sha":"`+shaB+`","size":30123,"w":320,"h":240},"of":"`+someID+`","turn":6,"taken":"2025-11-24T23:04:01+00:00","person":"Sam","at":"2025-11-24T23:05:01+00:00"}`))
	if !ok || p.Preview == nil {
		t.Fatalf("PhotoOf: %+v, %v", p, ok)
	}
	want := Photo{SHA: shaA, Size: 412345, Type: "image/jpeg", W: 2560, H: 1920, Preview: p.Preview, Of: someID, Turn: 6,
		Taken: "2025-11-24T23:04:01+00:00", Person: "Sam", At: "2025-11-24T23:05:01+00:00"}
	if p != want || *p.Preview != (Preview{SHA: shaB, Size: 30123, W: 320, H: 240}) {
		t.Errorf("PhotoOf: %+v with %+v", p, *p.Preview)
	}
}

func TestPhotoOfRefusesWhatNamesNoPicture(t *testing.T) {
	for _, r := range []Record{
		{}, withBody(NoteKind, `{"sha":"`+shaA+`"}`), withBody(PhotoKind, ``), withBody(PhotoKind, `null`), withBody(PhotoKind, `[]`), withBody(PhotoKind, `{}`),
		withBody(PhotoKind, `{"sha":1}`), withBody(PhotoKind, `{"sha":null}`), withBody(PhotoKind, `{"sha":"`+strings.ToUpper(shaA)+`"}`),
		withBody(PhotoKind, `{"SHA":"`+shaA+`"}`), withBody(PhotoKind, `{"sha":"`+shaA+`","w":"wide"}`), withBody(PhotoKind, `{"sha":"`+shaA+`0"}`),
		withBody(PhotoKind, `{"sha":"`+shaA+`","preview":[]}`), withBody(PhotoKind, `{"sha":"../`+shaA[3:]+`"}`),
	} {
		if p, ok := PhotoOf(r); ok {
			t.Errorf("%s %s: %+v", r.Kind, r.Body, p)
		}
	}
}

// The tablet takes keys as they are written and of two the last; both must mean
// the same picture, or one of them would drop another one's bytes.
func TestKeysOfPhotosCountAsWritten(t *testing.T) {
	p, ok := PhotoOf(withBody(PhotoKind, `{"sha":"`+shaA+`","SHA":"`+shaB+`","preview":{"sha":"`+shaA+`"},"preview":{"SHA":"`+shaA+`","sha":"`+shaB+`"},"Preview":null}`))
	if !ok || p.SHA != shaA || p.Preview == nil || p.Preview.SHA != shaB {
		t.Errorf("PhotoOf: %+v with preview %+v, %v", p, p.Preview, ok)
	}
	if p, ok := PhotoOf(withBody(PhotoKind, `{"sha":"`+shaA+`","preview":{"SHA":"`+shaB+`"}}`)); !ok || p.Preview != nil {
		t.Errorf("a preview without a sha: %+v, %v; want the photo without it", p.Preview, ok)
	}
	if sha, ok := Denied(withBody(DenyKind, `{"sha":"`+shaB+`","sha":"`+shaA+`","Sha":"`+shaB+`"}`)); !ok || sha != shaA {
		t.Errorf("Denied: %s, %v; want the last sha", sha, ok)
	}
}

func TestDeniedReadsDeniesOnly(t *testing.T) {
	if sha, ok := Denied(withBody(DenyKind, `{"sha":"`+shaA+`","why":"a face","person":"Kim","at":""}`)); !ok || sha != shaA {
		t.Errorf("Denied: %q, %v", sha, ok)
	}
	for _, r := range []Record{
		{}, withBody(PhotoKind, `{"sha":"`+shaA+`"}`), withBody(DenyKind, ``), withBody(DenyKind, `null`), withBody(DenyKind, `"`+shaA+`"`), withBody(DenyKind, `{}`),
		withBody(DenyKind, `{"sha":["`+shaA+`"]}`), withBody(DenyKind, `{"sha":"`+shaA[:63]+`g"}`), withBody(DenyKind, `{"sha":""}`),
	} {
		if sha, ok := Denied(r); ok {
			t.Errorf("%s %s: %s", r.Kind, r.Body, sha)
		}
	}
}

// What was taken back is shown no more, and comes again when that is taken back; what was
// taken out for good stays out.
func TestPhotosOfAJob(t *testing.T) {
	photo := func(n byte, slot, sha string) Record {
		return Record{ID: ID([16]byte{15: n}), Kind: PhotoKind, Job: "j1", Slot: slot, HLC: Stamp(1764025441123+int64(n), 0, "t1"), Body: []byte(`{"sha":"` + sha + `","person":"A. Invented"}`)}
	}
	retract := func(n, of byte) Record {
		return Record{ID: ID([16]byte{15: n}), Kind: RetractKind, Job: "j1", Slot: "tube/t1/length_welded", Target: ID([16]byte{15: of})}
	}
	a, b, c := photo(3, "tube/t1/length_welded", shaA), photo(2, "tube/t1/length_welded", shaB), photo(1, "bank/A/flat_welded", shaB)
	shows := func(recs ...Record) (got string) {
		for _, p := range Photos(recs) {
			got += p.Slot + " " + p.SHA[:2] + " "
		}
		return got
	}
	const both, first = "bank/A/flat_welded b2 tube/t1/length_welded b2 tube/t1/length_welded a1 ", "bank/A/flat_welded b2 tube/t1/length_welded b2 "
	if got := shows(a, b, c, b); got != both {
		t.Errorf("shown %q", got)
	}
	if got := shows(a, b, c, retract(4, 3)); got != first {
		t.Errorf("one taken back: %q", got)
	}
	if got := shows(a, b, c, retract(4, 3), retract(5, 4)); got != both {
		t.Errorf("that taken back: %q", got)
	}
	if got := shows(a, b, c, withBody(DenyKind, `{"sha":"`+shaB+`"}`)); got != "tube/t1/length_welded a1 " {
		t.Errorf("one taken out for good: %q", got)
	}
}
