package ledger

import (
	"cmp"
	"encoding/json"
	"fmt"

	"tubewright/calc/sorted"
)

// Photo is the body of a record of kind photo: which picture shows the slot of
// the record. The bytes of the picture travel apart, under their SHA.
type Photo struct {
	SHA     string   `json:"sha"`  // sha256 of the picture's bytes, 64 lower-case hexadecimal digits
	Size    int64    `json:"size"` // bytes
	Type    string   `json:"type"` // image/jpeg, image/png or image/webp
	W       int      `json:"w"`    // pixels of the picture as it is shown upright
	H       int      `json:"h"`
	Preview *Preview `json:"preview"`        // nil when there is none
	Of      string   `json:"of,omitempty"`   // name of the form it was taken on, see Reading.Form; empty when there is none
	Turn    int      `json:"turn,omitempty"` // orientation 1 to 8 still to be applied, as Exif counts them; 0 and 1 upright
	Taken   string   `json:"taken"`          // RFC 3339 from the camera's own stamp, or empty
	Person  string   `json:"person"`
	At      string   `json:"at"` // RFC 3339 with offset, the device's clock
}

// Preview is the small copy of a photo, a picture of its own.
type Preview struct {
	SHA  string `json:"sha"`
	Size int64  `json:"size"` // bytes
	W    int    `json:"w"`    // pixels
	H    int    `json:"h"`
}

// PhotoOf returns what a record says of its picture; ok is false when it is not
// of kind photo, when its body cannot be read, and when what it says of the sha
// is not one. A preview whose sha is not one is left out, since the photo itself
// is of use without.
//
// The keys sha and preview count as they are written ("SHA" is not "sha"), which
// is how the tablet reads them: the two must mean the same picture by a record.
func PhotoOf(r Record) (p Photo, ok bool) {
	if r.Kind != PhotoKind || json.Unmarshal(r.Body, &p) != nil {
		return Photo{}, false
	}
	p.SHA, p.Preview = "", nil
	_, err := members(r.Body, func(key string, val []byte) error {
		switch key {
		case "sha":
			return json.Unmarshal(val, &p.SHA)
		case "preview":
			return p.readPreview(val)
		}
		return nil
	})
	if err != nil || !IsSHA(p.SHA) {
		return Photo{}, false
	}
	if p.Preview != nil && !IsSHA(p.Preview.SHA) {
		p.Preview = nil
	}
	return p, true
}

func (p *Photo) readPreview(val []byte) error {
	p.Preview = nil
	if err := json.Unmarshal(val, &p.Preview); err != nil || p.Preview == nil {
		return err
	}
	p.Preview.SHA = ""
	_, err := members(val, func(key string, val []byte) error {
		if key == "sha" {
			return json.Unmarshal(val, &p.Preview.SHA)
		}
		return nil
	})
	return err
}

// Denied returns the picture that a record of kind deny takes out for good; ok is
// false when it is not of that kind or names no picture. It holds even where the
// record was taken back: the bytes are gone. The preview of the picture goes with
// it, see PhotoOf.
func Denied(r Record) (sha string, ok bool) {
	if r.Kind != DenyKind || !json.Valid(r.Body) {
		return "", false
	}
	_, err := members(r.Body, func(key string, val []byte) error {
		if key != "sha" {
			return nil
		}
		if err := json.Unmarshal(val, &sha); err != nil {
			return fmt.Errorf("sha of deny %s: %w", r.ID, err)
		}
		return nil
	})
	if err != nil || !IsSHA(sha) {
		return "", false
	}
	return sha, true
}

// IsSHA tells whether s can be the name of a picture: 64 digits of 0-9 and a-f.
func IsSHA(s string) bool {
	if len(s) != 64 {
		return false
	}
	for i := range len(s) {
		if c := s[i]; (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return false
		}
	}
	return true
}

// Shown is a picture that is shown with a slot.
type Shown struct {
	Slot string
	HLC  string
	ID   string
	Photo
}

// Photos returns the pictures of one job that were neither taken back nor taken out for
// good, by slot, then by hybrid clock, then by id.
func Photos(recs []Record) []Shown {
	l := link(recs)
	denied := map[string]bool{}
	for _, r := range l.recs {
		if sha, ok := Denied(r); ok {
			denied[sha] = true
		}
	}
	var list []Shown
	for i, r := range l.recs {
		if p, ok := PhotoOf(r); ok && !l.dead[i] && !denied[p.SHA] {
			list = append(list, Shown{r.Slot, r.HLC, r.ID, p})
		}
	}
	sorted.By(list, func(a, b Shown) int {
		return cmp.Or(cmp.Compare(a.Slot, b.Slot), cmp.Compare(a.HLC, b.HLC), cmp.Compare(a.ID, b.ID))
	})
	return list
}
