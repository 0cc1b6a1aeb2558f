package server

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"tubewright/calc/ledger"
)

// pairStep is one frame or one request of the worked pairing.
type pairStep struct {
	Who    string          `json:"who"`
	Way    string          `json:"way"` // up, down or ask
	Ask    string          `json:"ask,omitempty"`
	Frame  json.RawMessage `json:"frame"`
	Status int             `json:"status,omitempty"`
	Answer json.RawMessage `json:"answer,omitempty"`
}

func (p pairStep) String() string {
	if p.Way == "ask" {
		return fmt.Sprintf("%s asks %s %s → %d %s", p.Who, p.Ask, p.Frame, p.Status, p.Answer)
	}
	return p.Who + map[string]string{"up": " → ", "down": " ← "}[p.Way] + string(p.Frame)
}

// A tablet types the wall's code, then is let in with its own, that cannot be used again; it writes a reading of
// its own and brings a choice of another; the shop revokes it, and what it still
// sends is put aside. Code and token are chance, and stand here as invented ones.
func pairedExchange(t *testing.T) []pairStep {
	s := openLAN(t)
	wall, code := s.srv.NewCode(ledger.Board, "Wall"), s.srv.NewCode(ledger.Measure, "Tablet 2")
	var steps []pairStep
	token := "none yet"
	hide := func(text string) json.RawMessage {
		text = strings.NewReplacer(wall.Short, "WAB4H2RD", code.Short, "HK7M2QWX").Replace(text)
		return json.RawMessage(strings.ReplaceAll(strings.TrimSpace(text), token, "q0Vn3dZ8Qm1yKk4x7Tt2Wc5Lb9Rr6Pp0Ss3Uu8Xx1Yz"))
	}
	claimFrom := func(dev, code string, ck checks) {
		body := encode(claim{Code: code, Dev: dev, For: "app", Checks: ck})
		status, answer := s.ask("POST", "/pair/claim", "", body)
		var got claimed
		if json.Unmarshal(answer, &got); got.Token != "" {
			token = got.Token
		}
		steps = append(steps, pairStep{Who: dev, Way: "ask", Ask: "POST /pair/claim", Frame: hide(string(body)), Status: status, Answer: hide(string(answer))})
	}
	up := func(p *peer, frame string) {
		t.Helper()
		steps = append(steps, pairStep{Who: p.dev, Way: "up", Frame: hide(frame)})
		if err := p.conn.WriteMessage(websocket.TextMessage, []byte(frame)); err != nil {
			t.Fatal(err)
		}
	}
	down := func(p *peer, kind string) {
		t.Helper()
		steps = append(steps, pairStep{Who: p.dev, Way: "down", Frame: hide(p.want(kind).raw)})
	}
	hello := func(dev, role string, cursor int, unsent int) string {
		chain := ""
		if cursor > 0 {
			chain = strings.Repeat("5a", 32)
		}
		return fmt.Sprintf(`{"t":"hello","proto":[1,1],"build":"test-1","sv":1,"role":"%s","dev":"%s","name":"","token":"%s","cursor":%d,"chain":"%s","unsent":%d,"clock_ms":1764025440998}`, role, dev, token, cursor, chain, unsent)
	}
	push := func(raws ...string) string {
		b, err := json.Marshal(raws)
		if err != nil {
			t.Fatal(err)
		}
		return `{"t":"push","recs":` + string(b) + `}`
	}
	record := func(dev, kind, rest string) string {
		return `{"id":"` + recID(dev, 1) + `","dev":"` + dev + `","n":1,"hlc":"1764025437000-0000-` + dev + `","kind":"` + kind + `","job":"j-7c2m5a","slot":"engine/self/bore","sv":1,` + rest + `}`
	}
	late := record("tab-9", "note", `"body":{"text":"too tight here","person":"Kim","at":"2025-11-24T23:03:57+00:00"}`)

	red := passed
	red.Worker = false
	claimFrom("tab-9", code.Short, red)
	claimFrom("tab-9", wall.Short, passed)
	claimFrom("tab-9", code.Short, passed)
	claimFrom("tab-8", code.Short, passed)
	p := s.peer("tab-9")
	up(p, hello("tab-9", "bench", 0, 1))
	down(p, "welcome")
	up(p, push(record("tab-1", "choice", `"chosen":"`+recID("tab-2", 1)+`","seen":["`+recID("tab-2", 1)+`"],"body":{}`)))
	down(p, "ack")
	if err := s.srv.Revoke(t.Context(), "tab-9"); err != nil {
		t.Fatal(err)
	}
	down(p, "bye")
	q := s.peer("tab-9")
	up(q, hello("tab-9", "bench", 7, 1))
	down(q, "welcome")
	up(q, push(late))
	down(q, "ack")
	r := s.peer("tab-8")
	up(r, hello("tab-8", "measure", 0, 0))
	down(r, "bye")
	return steps
}

func TestPairingIsThatOfTheProtocol(t *testing.T) {
	var lines []string
	var shown strings.Builder
	steps := pairedExchange(t)
	for _, st := range steps {
		b, err := json.Marshal(st)
		if err != nil {
			t.Fatal(err)
		}
		lines = append(lines, string(b))
		shown.WriteString(st.String() + "\n")
	}
	want := "[\n" + strings.Join(lines, ",\n") + "\n]\n"
	path := filepath.Join(wireDir, "pairing.json")
	if *update {
		if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := os.ReadFile(path); err != nil || string(got) != want {
		t.Errorf("%s: %v\nhas  %swant %s(-update writes it anew)", path, err, got, want)
	}
	page := holdPage(t, "pairing", shown.String())
	for _, st := range steps {
		for _, raw := range []json.RawMessage{st.Frame, st.Answer} {
			if raw == nil {
				continue
			}
			for _, k := range keysOf(t, string(raw)) {
				if k = k[strings.LastIndex(k, ".")+1:]; !strings.Contains(page, "`"+k+"`") {
					t.Errorf("PROTOCOL.md does not explain `%s`", k)
				}
			}
		}
	}
	for why := range noClaim {
		if !strings.Contains(page, "| `"+why+"` |") {
			t.Errorf("PROTOCOL.md does not explain the reason `%s` of a claim", why)
		}
	}
	for _, why := range []string{"token", "revoked"} {
		if !strings.Contains(page, "| `"+why+"` |") {
			t.Errorf("PROTOCOL.md does not explain bye `%s`", why)
		}
	}
	for what, d := range map[string]time.Duration{"5 minutes": codeTime, "30 days": revokedTime} {
		if !strings.Contains(page, what) {
			t.Errorf("PROTOCOL.md does not say %s for %v", what, d)
		}
	}
}
