package pwa_test

import (
	"bytes"
	"encoding/json"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tubewright/calc/photo"
)

const photos = "../testdata/photo"

// read is what the tablet makes of a picture's bytes.
type read struct {
	Head  *photo.Head
	Bare  []byte // what is left of it
	Whole bool
	Why   string
}

func readOnTablet(t *testing.T, pictures [][]byte) []read {
	t.Helper()
	in, err := json.Marshal(pictures)
	if err != nil {
		t.Fatal(err)
	}
	var out []read
	if err := json.Unmarshal(runEntry(t, "jpeg.entry.ts", in), &out); err != nil {
		t.Fatal(err)
	}
	if len(out) != len(pictures) {
		t.Fatalf("%d answers to %d pictures", len(out), len(pictures))
	}
	return out
}

// heads are the pictures that both sides are held to, and what they say.
func heads(t *testing.T) (names []string, files [][]byte, want []*photo.Head, why []string) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(photos, "heads.json"))
	if err != nil {
		t.Fatal(err)
	}
	var list []struct {
		File string
		Head *photo.Head
		Why  string
	}
	if err := json.Unmarshal(b, &list); err != nil {
		t.Fatal(err)
	}
	for _, l := range list {
		if !strings.HasSuffix(l.File, ".jpg") {
			continue // the tablet draws other types anew and never reads them itself
		}
		file, err := os.ReadFile(filepath.Join(photos, l.File))
		if err != nil {
			t.Fatal(err)
		}
		names, files, want, why = append(names, l.File), append(files, file), append(want, l.Head), append(why, l.Why)
	}
	return names, files, want, why
}

// Tablet and shop read the same of a picture. What the tablet has stripped tells
// no place, is upright for whoever looks at it without the turn, shows what it
// showed, and is taken by the shop.
func TestTabletAndShopReadTheSameOfAPicture(t *testing.T) {
	names, files, want, why := heads(t)
	for i, got := range readOnTablet(t, files) {
		t.Run(names[i], func(t *testing.T) {
			if want[i] == nil {
				if got.Why == "" {
					t.Errorf("the tablet takes what the shop refuses (%s): %+v", why[i], got.Head)
				}
				return
			}
			if got.Head == nil || *got.Head != *want[i] {
				t.Fatalf("the tablet reads %+v (%s), the shop %+v", got.Head, got.Why, want[i])
			}
			if !got.Whole {
				if why[i] == "" {
					t.Error("the tablet calls it cut off")
				}
				return
			}
			bare, err := photo.Read(got.Bare)
			if err != nil || bare.Place || bare.Turn != 1 || bare.Taken != "" || bare.W != want[i].W || bare.H != want[i].H {
				t.Errorf("stripped it reads %+v (%v)", bare, err)
			}
			if _, err := photo.Check(got.Bare); err != nil && why[i] != "size" {
				t.Errorf("stripped it is refused: %v", err)
			}
			if why[i] != "size" && names[i] != "progressive-head.jpg" { // those have a header and no picture
				sameDrawn(t, files[i], got.Bare)
			}
		})
	}
}

// What is HEIC is told apart from what is no picture at all, so that the person is
// told what to set.
func TestPH3TabletKnowsHEICByItsContents(t *testing.T) {
	names, files, want, _ := heads(t)
	for i, got := range readOnTablet(t, files) {
		if isHEIC := names[i] == "heic.jpg"; want[i] == nil && isHEIC != (got.Why == "heic") {
			t.Errorf("%s: the tablet says %q", names[i], got.Why)
		}
	}
}

func sameDrawn(t *testing.T, a, b []byte) {
	t.Helper()
	x, errX := jpeg.Decode(bytes.NewReader(a))
	y, errY := jpeg.Decode(bytes.NewReader(b))
	if errX != nil || errY != nil {
		t.Fatalf("decode: %v, stripped: %v", errX, errY)
	}
	if x.Bounds() != y.Bounds() {
		t.Fatalf("%v became %v", x.Bounds(), y.Bounds())
	}
	p, q := x.(*image.YCbCr), y.(*image.YCbCr)
	if !bytes.Equal(p.Y, q.Y) || !bytes.Equal(p.Cb, q.Cb) || !bytes.Equal(p.Cr, q.Cr) {
		t.Error("another picture is drawn")
	}
}

// Bytes changed at random: what the shop reads the tablet reads alike, and what the
// tablet would keep the shop takes.
func TestTabletAndShopReadTheSameOfDamagedPictures(t *testing.T) {
	const seed, cases = 1, 3000
	rnd := rand.New(rand.NewPCG(seed, 0))
	_, files, _, _ := heads(t)
	var damaged [][]byte
	for len(damaged) < cases {
		b := bytes.Clone(files[rnd.IntN(len(files))])
		if len(b) < 16 {
			continue
		}
		for range 1 + rnd.IntN(4) {
			switch at := 2 + rnd.IntN(min(len(b)-2, 400)); rnd.IntN(4) {
			case 0:
				b[at] = byte(rnd.Uint32())
			case 1:
				b[at] ^= 1 << rnd.IntN(8)
			case 2:
				b = append(b[:at:at], b[min(at+rnd.IntN(8), len(b)):]...)
			case 3:
				b = b[:max(16, len(b)-rnd.IntN(40))]
			}
			if len(b) < 16 {
				break
			}
		}
		damaged = append(damaged, b)
	}
	taken := 0
	for i, got := range readOnTablet(t, damaged) {
		want, err := photo.Read(damaged[i])
		if err == nil && want.Type == photo.JPEG && (got.Head == nil || *got.Head != want) {
			t.Errorf("seed %d case %d: the tablet reads %+v (%s), the shop %+v", seed, i, got.Head, got.Why, want)
		}
		if got.Head == nil || !got.Whole || int64(got.Head.W)*int64(got.Head.H) > photo.MaxPixels {
			continue
		}
		taken++
		if _, err := photo.Check(got.Bare); err != nil {
			t.Errorf("seed %d case %d: the tablet would keep what the shop refuses: %v", seed, i, err)
		}
	}
	if taken < cases/5 {
		t.Errorf("only %d of %d were taken, too few to say anything", taken, cases)
	}
}
