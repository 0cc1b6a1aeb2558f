package server

import (
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// ask is one request of the worked upload.
type ask struct {
	Ask    string          `json:"ask"`
	Bytes  int             `json:"bytes,omitempty"` // of a body that is not JSON
	Body   json.RawMessage `json:"body,omitempty"`
	Status int             `json:"status"`
	Answer json.RawMessage `json:"answer,omitempty"`
	Got    int             `json:"got,omitempty"` // bytes of an answer that is not JSON
}

func (a ask) String() string {
	up, down := string(a.Body), string(a.Answer)
	if a.Bytes > 0 {
		up = fmt.Sprintf("(%d bytes)", a.Bytes)
	}
	if a.Got > 0 {
		down = fmt.Sprintf("(%d bytes)", a.Got)
	}
	return strings.TrimSpace(a.Ask+" "+up) + " → " + strings.TrimSpace(fmt.Sprint(a.Status, " ", down))
}

// A picture of two chunks is sent, its second chunk damaged the first time; a
// picture with a place is refused.
func workedUpload(t *testing.T) []ask {
	s := openShop(t, openLog(t), quick(), nil)
	var asks []ask
	put := func(path string, b []byte) {
		t.Helper()
		status, answer := s.put(t, path, b)
		a := ask{Ask: "PUT " + path, Status: status, Answer: json.RawMessage(strings.TrimSpace(string(answer)))}
		if json.Valid(b) {
			a.Body = b
		} else {
			a.Bytes = len(b)
		}
		asks = append(asks, a)
	}
	get := func(path string) {
		t.Helper()
		status, _, b := s.fetch(t, path)
		a := ask{Ask: "GET " + path, Status: status}
		if json.Valid(b) {
			a.Answer = json.RawMessage(strings.TrimSpace(string(b)))
		} else {
			a.Got = len(b)
		}
		asks = append(asks, a)
	}
	pic := append(pictureFile(t, "plain.jpg"), make([]byte, 300_000)...)[:300_000]
	m := manifestOf(pic)
	at := "/blob/" + m.SHA
	get(at + "/have")
	put(at+"/manifest", encode(m))
	put(at+"/0", chunkOf(pic, 0))
	bad := slices.Clone(chunkOf(pic, 1))
	bad[100] ^= 1
	put(at+"/1", bad)
	get(at + "/have")
	put(at+"/1", chunkOf(pic, 1))
	get(at + "/1")
	get(at)
	gps := pictureFile(t, "gps.jpg")
	m = manifestOf(gps)
	put("/blob/"+m.SHA+"/manifest", encode(m))
	put("/blob/"+m.SHA+"/0", gps)
	return asks
}

func TestUploadIsThatOfTheProtocol(t *testing.T) {
	var lines, shown []string
	for _, a := range workedUpload(t) {
		b, err := json.Marshal(a)
		if err != nil {
			t.Fatal(err)
		}
		lines, shown = append(lines, string(b)), append(shown, a.String())
		for _, raw := range []json.RawMessage{a.Body, a.Answer} {
			if raw == nil {
				continue
			}
			page, err := os.ReadFile("PROTOCOL.md")
			if err != nil {
				t.Fatal(err)
			}
			for _, k := range keysOf(t, string(raw)) {
				if !strings.Contains(string(page), "`"+k+"`") {
					t.Errorf("PROTOCOL.md does not explain `%s`", k)
				}
			}
		}
	}
	want := "[\n" + strings.Join(lines, ",\n") + "\n]\n"
	path := filepath.Join(wireDir, "upload.json")
	if *update {
		if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := os.ReadFile(path); err != nil || string(got) != want {
		t.Errorf("upload.json: %v\nhas  %swant %s(-update writes it anew)", err, got, want)
	}
	holdPage(t, "upload", strings.Join(shown, "\n")+"\n")
}

// holdPage keeps a block of PROTOCOL.md equal to what really goes over the wire.
// It returns the page without the block.
func holdPage(t *testing.T, block, want string) (rest string) {
	t.Helper()
	start, end := "<!-- "+block+": written by go test ./server -update -->\n```\n", "```\n<!-- end -->"
	page, err := os.ReadFile("PROTOCOL.md")
	if err != nil {
		t.Fatal(err)
	}
	before, after, ok := strings.Cut(string(page), start)
	got, after, ok2 := strings.Cut(after, end)
	if !ok || !ok2 {
		t.Fatalf("PROTOCOL.md has no place for the %s", block)
	}
	if *update {
		got = want
		if err := os.WriteFile("PROTOCOL.md", []byte(before+start+want+end+after), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if got != want {
		t.Errorf("the %s in PROTOCOL.md is not that of %s; -update writes it anew", block, wireDir)
	}
	return before + after
}

// Every reason of a refusal is on the page, and every one there has its status.
func TestEveryReasonOfARefusalIsExplained(t *testing.T) {
	page, err := os.ReadFile("PROTOCOL.md")
	if err != nil {
		t.Fatal(err)
	}
	for why, status := range statuses {
		if !strings.Contains(string(page), fmt.Sprintf("| `%s` | %d", why, status)) || http.StatusText(status) == "" {
			t.Errorf("PROTOCOL.md does not explain `%s` with %d", why, status)
		}
	}
}
