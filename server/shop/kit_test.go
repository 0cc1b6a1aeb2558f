package shop

import (
	"context"
	"errors"
	"fmt"
	"html"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"tubewright/calc/ledger"
)

const (
	own    = "http://127.0.0.1:8412"
	secret = "k7q2abcdefghijklmnopqrstuv"
)

var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// desk is a shop machine that notes what it was asked to do.
type desk struct {
	state State
	did   []string
	err   error
	now   time.Time
	spent bool // no code is open
}

func newDesk() *desk {
	return &desk{now: noon, state: State{
		Origin: "https://tubewright.local:8411", Trust: []string{"http://192.168.1.20:8410/", "http://10.0.0.5:8410/"},
		Fingerprint: strings.TrimSuffix(strings.Repeat("AB:01:", 16), ":"), Until: noon.AddDate(10, 0, 0),
		Backup: Backup{Folder: "/data/backups", At: noon.Add(-3 * time.Hour), SameDisk: true}, Data: "/data", Version: "v1.2",
		Devices: []Device{
			{Dev: "tab-1", Name: "Yard", Role: ledger.Measure, At: noon.Add(-50 * time.Hour), Heard: noon.Add(-10 * time.Minute), Unsent: 3, Asks: "pair it anew"},
			{Dev: "tab-2", Name: "Bench <b>", Role: ledger.Bench, At: noon.Add(-50 * time.Hour), Live: 2, Copied: true},
			{Dev: "tab-3", Name: "Lost", Role: ledger.Measure, At: noon.Add(-90 * time.Hour), Revoked: noon.Add(-time.Hour), Heard: noon.Add(-30 * time.Hour), Aside: 12},
		},
	}}
}

func (d *desk) State(context.Context) (State, error) { return d.state, d.err }

func (d *desk) NewCode(role ledger.Role, name string) Code {
	d.did = append(d.did, "code "+string(role)+" "+name)
	return Code{Secret: secret, Short: "ABCD2345", Role: role, Name: name, Until: d.now.Add(5 * time.Minute)}
}

func (d *desk) IsOpen(string) bool { return !d.spent }

func (d *desk) Withdraw(secret string) {
	d.did = append(d.did, "withdraw "+secret)
	d.spent = true
}

func (d *desk) Aside(_ context.Context, dev string) ([]SetAside, error) {
	all := make([]SetAside, 0, asideShown)
	for i := range 12 {
		all = append(all, SetAside{Job: "Yard car", Slot: "Port p1 · width", Value: fmt.Sprintf("%d mm <i>", 40+i), Who: "Kim", At: noon.Add(-2 * time.Hour)})
	}
	return all, d.err
}

func (d *desk) Rename(_ context.Context, dev, name string) error {
	d.did = append(d.did, "rename "+dev+" "+name)
	return d.err
}

func (d *desk) Revoke(_ context.Context, dev string) error {
	d.did = append(d.did, "revoke "+dev)
	return d.err
}

func (d *desk) TakeIn(_ context.Context, dev string) (int, error) {
	d.did = append(d.did, "take in "+dev)
	return 12, d.err
}

func (d *desk) Import(_ context.Context, from io.Reader) ([]string, error) {
	b, err := io.ReadAll(from)
	d.did = append(d.did, "import "+string(b))
	return []string{"3 records new", "1 <b> wrong"}, errors.Join(err, d.err)
}

// counter is a desk with its page, and a browser before it.
type counter struct {
	*testing.T
	*desk
	page http.Handler
}

func newCounter(t *testing.T) *counter {
	c := &counter{T: t, desk: newDesk()}
	c.page = Page(c.desk, func() time.Time { return c.desk.now })
	return c
}

// get loads a page; post sends a form from a page that came from here.
func (c *counter) get(path string) *httptest.ResponseRecorder {
	r := httptest.NewRequest("GET", own+path, nil)
	w := httptest.NewRecorder()
	c.page.ServeHTTP(w, r)
	return w
}

func (c *counter) post(path string, form url.Values, origins ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest("POST", own+path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header["Origin"] = origins
	w := httptest.NewRecorder()
	c.page.ServeHTTP(w, r)
	return w
}

// says checks that a page holds what a person is to read.
func says(t *testing.T, w *httptest.ResponseRecorder, status int, parts ...string) {
	t.Helper()
	if w.Code != status {
		t.Fatalf("status %d, want %d: %s", w.Code, status, w.Body)
	}
	text := html.UnescapeString(w.Body.String())
	for _, p := range parts {
		if !strings.Contains(text, p) {
			t.Errorf("the page lacks %q", p)
		}
	}
}

var errDisk = errors.New("the disk is full")
