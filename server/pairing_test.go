package server

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"tubewright/calc/ledger"
)

func TestTabletsComeInByACodeOnceAndByTheirTokenEver(t *testing.T) {
	s := openLAN(t)
	code := s.srv.NewCode(ledger.Measure, " Tablet 2 ")
	status, b := s.claimWith(strings.ToLower(code.Short[:4])+" "+code.Short[4:], "two", passed)
	var got claimed
	if err := json.Unmarshal(b, &got); err != nil || status != 200 || got.Role != ledger.Measure || got.Name != "Tablet 2" {
		t.Fatalf("%d %s", status, b)
	}
	if raw, err := base64.RawURLEncoding.DecodeString(got.Token); err != nil || len(raw) != 32 {
		t.Errorf("token of %d bytes, %v", len(raw), err)
	}
	if status, b := s.claimWith(code.Secret, "three", passed); status != http.StatusGone || whyOf(b) != "used" {
		t.Errorf("the same code again: %d %s", status, b)
	}
	for range 2 {
		p := s.peer("two")
		p.token = got.Token
		p.hello("bench") // whatever it says of itself
		if f := p.want("welcome"); f.Role != ledger.Measure || f.Name != "Tablet 2" {
			t.Errorf("%s", f.raw)
		}
		p.push(rawRecord("two", 1, "choice", "j1", "engine/self/bore", map[string]any{"chosen": recID("two", 9)}))
		if f := p.want("ack"); len(f.Refused) != 1 {
			t.Errorf("a choice of a measuring tablet: %s", f.raw)
		}
		p.conn.Close()
	}
	// Its own link, too.
	p := s.linkPeer("two")
	p.token = got.Token
	p.hello("measure")
	p.want("welcome")
	if l := s.line("two"); l.Name != "Tablet 2" || l.Live < 1 || l.Copied || !l.Revoked.IsZero() || !l.Heard.Equal(testClock) {
		t.Errorf("%+v", l)
	}
}

// Who stands in the Wi-Fi and has no token reads and writes nothing.
func TestTL7WithoutATokenNothingIsReadOrWritten(t *testing.T) {
	s := openLAN(t)
	p := s.paired("one", ledger.Bench)
	p.push(note("one", 1, "j1", "job/self/customer", "Invented Customer"))
	p.want("ack")
	zero := base64.RawURLEncoding.EncodeToString(make([]byte, 32))
	for name, c := range map[string]struct{ dev, token string }{
		"none": {"two", ""}, "made up": {"two", zero}, "short": {"two", "AAAA"}, "no base64": {"two", strings.Repeat("!", 43)}, "long": {"two", strings.Repeat("A", 2000)},
		"that of another device": {"two", p.token}, "another spelling of its bits": {"one", p.token[:42] + spelled(p.token[42])},
	} {
		for _, way := range []func(string) *peer{s.peer, s.linkPeer} {
			q := way(c.dev)
			q.token = c.token
			q.hello("bench")
			f := q.wantBye("token")
			if strings.Contains(f.raw, "Invented") {
				t.Errorf("%s: %s", name, f.raw)
			}
		}
	}
	sha := shaOf(nil)
	for _, path := range []string{"GET /api/jobs", "GET /api/jobs/j1/plan", "GET /api/health", "GET /api/none", "GET /blob/" + sha, "GET /blob/" + sha + "/0", "GET /blob/" + sha + "/have", "PUT /blob/" + sha + "/0", "PUT /blob/" + sha + "/manifest"} {
		method, path, _ := strings.Cut(path, " ")
		for _, token := range []string{"", zero, "AAAA"} {
			if status, b := s.ask(method, path, token, []byte("{}")); status != http.StatusUnauthorized || strings.Contains(string(b), "Invented") {
				t.Errorf("%s %s with token %q: %d %s", method, path, token, status, b)
			}
		}
		if status, b := s.ask(method, path+"?token="+p.token, "", []byte("{}")); status != http.StatusUnauthorized {
			t.Errorf("%s %s: a token in the address opens it: %d %s", method, path, status, b)
		}
		if status, b := s.ask(method, path, p.token, []byte("{}")); status == http.StatusUnauthorized || status == http.StatusForbidden {
			t.Errorf("%s %s with a token: %d %s", method, path, status, b)
		}
	}
}

// spelled returns the last letter of a token with a bit changed that stands for
// nothing: a strict reader refuses it.
func spelled(c byte) string {
	const alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
	return string(alphabet[strings.IndexByte(alphabet, c)^1])
}

func TestClaimsThatCannotBe(t *testing.T) {
	s := openLAN(t)
	code := s.srv.NewCode(ledger.Measure, "Tablet 2")
	for _, miss := range []func(*checks){func(c *checks) { c.Worker = false }, func(c *checks) { c.Socket = false }, func(c *checks) { c.Secure = false }} {
		c := passed
		miss(&c)
		if status, b := s.claimWith(code.Short, "two", c); status != http.StatusUnprocessableEntity || whyOf(b) != "checks" {
			t.Errorf("with %+v: %d %s", c, status, b)
		}
	}
	for _, body := range []string{"", "no JSON", `{"code":1}`, `{"code":"` + code.Short + `","dev":"a/b","checks":{"worker":true,"socket":true,"secure":true}}`, `{"code":"` + strings.Repeat("A", claimBytes) + `"}`} {
		if status, b := s.ask("POST", "/pair/claim", "", []byte(body)); (status != http.StatusBadRequest || whyOf(b) != "request") && (status != http.StatusUnprocessableEntity || body != `{"code":1}`) {
			t.Errorf("%.40q: %d %s", body, status, b)
		}
	}
	soft := passed
	soft.Strict, soft.Persisted = false, false // shown to the person, but no reason
	if status, b := s.claimWith(code.Short, "two", soft); status != 200 {
		t.Errorf("the code is good still: %d %s", status, b)
	}
}

// The wall's code typed into an app, or a tablet's into the wall, is refused with the
// place where it belongs, and lets the right one in afterwards.
func TestClaimFromTheWrongPlaceKeepsTheCode(t *testing.T) {
	s := openLAN(t)
	wall, tablet := s.srv.NewCode(ledger.Board, "Wall"), s.srv.NewCode(ledger.Bench, "Bench")
	from := func(place, code string) (int, string) {
		status, b := s.ask("POST", "/pair/claim", "", encode(claim{Code: code, Dev: "dev-" + place, For: place, Checks: passed}))
		return status, whyOf(b)
	}
	for _, c := range []struct {
		place, code string
		status      int
		why         string
	}{
		{"app", wall.Short, http.StatusUnprocessableEntity, "wall"}, {"wall", tablet.Secret, http.StatusUnprocessableEntity, "app"},
		{"oven", wall.Short, http.StatusBadRequest, "request"},
		{"wall", wall.Short, http.StatusOK, ""}, {"app", tablet.Short, http.StatusOK, ""},
	} {
		if status, why := from(c.place, c.code); status != c.status || why != c.why {
			t.Errorf("from %s: %d %s, want %d %s", c.place, status, why, c.status, c.why)
		}
	}
}

// On the shop machine itself there is nothing to pass: its page is safe by its name.
func TestClaimsOnTheShopMachineNeedNoTest(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	if status, b := s.claimWith(s.srv.NewCode(ledger.Bench, "Bench").Short, "bench", checks{}); status != 200 {
		t.Errorf("%d %s", status, b)
	}
}

// A thousand guesses through the door: five a minute are looked at, and after ten
// the code can no longer be typed. Who scans it gets in all the while.
func TestTL7CodesCannotBeGuessedThroughTheDoor(t *testing.T) {
	var mu sync.Mutex
	now := testClock
	clock := func() time.Time { mu.Lock(); defer mu.Unlock(); return now }
	s := openShopAt(t, openLog(t), quick(), nil, clock).lan()
	busy := s.paired("busy", ledger.Measure)
	code, scanned := s.srv.NewCode(ledger.Measure, ""), s.srv.NewCode(ledger.Measure, "")
	tried := map[string]int{}
	var slowest time.Duration
	start := time.Now()
	for i := range 1000 {
		status, b := s.claimWith(fmt.Sprintf("AAAA%04d", i), "thief", passed)
		tried[fmt.Sprint(status, " ", whyOf(b))]++
		mu.Lock()
		now = now.Add(100 * time.Millisecond) // a thousand in 100 s
		mu.Unlock()
		if i%100 == 0 { // the shop goes on meanwhile
			began := time.Now()
			busy.push(note("busy", i, "j1", "job/self/name", "a"))
			busy.want("ack")
			slowest = max(slowest, time.Since(began))
		}
	}
	if status, b := s.claimWith(scanned.Secret, "scans", passed); status != 200 {
		t.Errorf("a scanned code amid the guesses: %d %s", status, b)
	}
	if tried["403 code"] != 2*codePace || tried["429 many"] != 1000-2*codePace {
		t.Errorf("%v", tried)
	}
	t.Logf("1,000 guesses in %v: %v; a push meanwhile at most %v", time.Since(start).Round(time.Millisecond), tried, slowest.Round(time.Microsecond))
	mu.Lock()
	now = now.Add(time.Minute)
	mu.Unlock()
	if status, b := s.claimWith(code.Short, "two", passed); status != http.StatusGone || whyOf(b) != "expired" {
		t.Errorf("the right code after ten wrong ones: %d %s", status, b)
	}
	if status, b := s.claimWith(code.Secret, "two", passed); status != 200 {
		t.Errorf("the same code scanned: %d %s", status, b)
	}
	if status, _ := s.claimWith(s.srv.NewCode(ledger.Measure, "").Short, "two", passed); status != 200 {
		t.Errorf("a new code after a minute: %d", status)
	}
}

// A tablet that is paired anew has one token; what was connected by the old one ends.
func TestPairingAgainEndsTheOldToken(t *testing.T) {
	s := openLAN(t)
	old := s.paired("one", ledger.Bench)
	again := s.paired("one", ledger.Measure)
	old.wantBye("token")
	q := s.again(old)
	q.wantBye("token")
	again.push(note("one", 1, "j1", "job/self/name", "a"))
	if f := again.want("ack"); len(f.IDs) != 1 {
		t.Errorf("%s", f.raw)
	}
}

func TestTL7SecretsAreNeverLogged(t *testing.T) {
	var out lockedBuffer
	testLog = &out
	t.Cleanup(func() { testLog = io.Discard })
	s := openLAN(t)
	code := s.srv.NewCode(ledger.Measure, "Tablet 2")
	p := s.pair("one", ledger.Measure)
	q := s.again(p)
	q.want("welcome")
	q.push(note("one", 1, "j1", "job/self/name", "a"))
	q.want("ack")
	s.claimWith(code.Short+"X", "two", passed)
	s.claimWith(code.Short, "two", passed)
	r := s.peer("other")
	r.token = p.token
	r.hello("measure")
	r.wantBye("token")
	s.ask("GET", "/api/health", p.token, nil)
	s.ask("GET", "/blob/"+shaOf(nil), p.token, nil)
	s.peer("x").conn.WriteMessage(websocket.TextMessage, []byte(`{"t":"hello","token":"`+p.token+`","cursor":"x"}`))
	if err := s.srv.Revoke(t.Context(), "one"); err != nil {
		t.Fatal(err)
	}
	q.wantBye("revoked")
	end := time.Now().Add(5 * time.Second)
	for !strings.Contains(out.String(), "socket closed") && time.Now().Before(end) {
		time.Sleep(10 * time.Millisecond)
	}
	text := out.String()
	for what, secret := range map[string]string{"a token": p.token, "half a token": p.token[:20], "a code": code.Short, "a long code": code.Secret} {
		if strings.Contains(strings.ToLower(text), strings.ToLower(secret)) {
			t.Errorf("%s is in the log:\n%s", what, text)
		}
	}
	for _, told := range []string{"msg=paired", "msg=revoked", "not let in", "code not taken", "socket open"} {
		if !strings.Contains(text, told) {
			t.Errorf("the log says nothing of %q:\n%s", told, text)
		}
	}
}

type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

func TestProbesOpenForOurPagesOnly(t *testing.T) {
	s := openLAN(t)
	for origin, want := range map[string]int{"http://" + s.host: 101, "http://evil.test": 403, "": 403} {
		h := http.Header{}
		if origin != "" {
			h.Set("Origin", origin)
		}
		conn, resp, err := websocket.DefaultDialer.Dial("ws://"+s.host+"/pair/probe", h)
		if resp == nil || resp.StatusCode != want {
			t.Fatalf("origin %q: %v %v", origin, resp, err)
		}
		if err != nil {
			continue
		}
		_, b, err := conn.ReadMessage()
		if err != nil || string(b) != `{"t":"probe"}` {
			t.Errorf("%s %v", b, err)
		}
		if _, _, err := conn.ReadMessage(); !websocket.IsCloseError(err, websocket.CloseNormalClosure) {
			t.Errorf("then %v", err)
		}
		conn.Close()
	}
}

// The disk fails while a pairing is noted: the code is good still.
func TestClaimsSurviveAFailingDisk(t *testing.T) {
	s := openLAN(t)
	pairs := &unpairing{Pairs: s.srv.cfg.Pairs}
	s.srv.cfg.Pairs = pairs
	code := s.srv.NewCode(ledger.Measure, "")
	if status, b := s.claimWith(code.Short, "one", passed); status != http.StatusInternalServerError || whyOf(b) != "fault" {
		t.Errorf("%d %s", status, b)
	}
	pairs.works = true
	if status, b := s.claimWith(code.Short, "one", passed); status != 200 {
		t.Errorf("%d %s", status, b)
	}
}

type unpairing struct {
	Pairs
	works bool
}

func (u *unpairing) Pair(ctx context.Context, p Paired, token [32]byte) error {
	if !u.works {
		return errors.New("disk full")
	}
	return u.Pairs.Pair(ctx, p, token)
}

func TestRenamedTabletsHaveTheNameTheShopGave(t *testing.T) {
	s := openLAN(t)
	p := s.paired("one", ledger.Measure)
	wall := s.paired("wall", ledger.Board)
	for name, ok := range map[string]bool{"": false, strings.Repeat("x", 81): false, "Tablet by the lathe": true} {
		if err := s.srv.Rename(t.Context(), "one", name); (err == nil) != ok {
			t.Errorf("%.20q: %v", name, err)
		}
	}
	if err := s.srv.Rename(t.Context(), "nobody", "x"); err == nil {
		t.Error("a device that was never paired was renamed")
	}
	p.send(map[string]any{"t": "hb", "n": 1, "now_ms": 1, "unsent": 3})
	p.want("hb")
	end := time.Now().Add(5 * time.Second)
	for !strings.Contains(wall.want("board").raw, `{"name":"Tablet by the lathe","last_ms":1764025441123,"unsent":3`) {
		if time.Now().After(end) {
			t.Fatal("the wall never showed the new name")
		}
	}
	if l := s.line("one"); l.Name != "Tablet by the lathe" || l.Unsent != 3 {
		t.Errorf("%+v", l)
	}
	if f := s.again(p).want("welcome"); f.Name != "Tablet by the lathe" {
		t.Errorf("%s", f.raw)
	}
}
