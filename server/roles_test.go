package server

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/ledger"
)

// Every role, every kind of record and one that nobody knows, in each direction: up
// as the device's own and as another's, and down.
func TestEveryRoleWritesAndReadsWhatItMay(t *testing.T) {
	kinds := append(slices.Sorted(maps.Keys(ledger.Kinds)), "invoice")
	bodies := map[string]map[string]any{
		ledger.ReadingKind: {"text": "84.5371", "unit": "mm", "nm": 84537100, "res": 100, "tool": "caliper", "person": "Invented Person", "at": "2025-11-24T23:04:01Z"},
		ledger.PhotoKind:   {"sha": shaOf([]byte("a photo")), "size": 7, "type": "image/jpeg", "w": 1, "h": 1, "person": "Invented Person"},
		ledger.DenyKind:    {"sha": shaOf([]byte("another")), "why": "Invented reason"},
	}
	body := func(kind string) map[string]any {
		if b := bodies[kind]; b != nil {
			return b
		}
		return map[string]any{"text": "Invented text", "person": "Invented Person", "price": "1 250 invented"}
	}
	for _, role := range []ledger.Role{ledger.Board, ledger.Measure, ledger.Bench} {
		t.Run(string(role), func(t *testing.T) {
			log := openLog(t)
			s := openShop(t, log, quick(), nil).lan()
			maker := s.paired("maker", ledger.Bench)
			n := 0
			for _, kind := range kinds {
				for _, own := range []bool{true, false} {
					n++
					writer := "self"
					if !own {
						writer = "elsewhere"
					}
					text := rawRecord(writer, n, kind, "j1", "job/self/customer", body(kind))
					id := recID(writer, n)
					p := s.paired("self", role)
					if role == ledger.Board {
						p.push(text)
						p.wantBye("role")
						continue
					}
					p.push(text)
					f := p.want("ack")
					may := role == ledger.Bench || kind != ledger.ChoiceKind && kind != ledger.DenyKind && kind != ledger.PieceKind && kind != "invoice"
					got := [3]bool{slices.Contains(f.IDs, id), slices.Contains(f.Quarantined, id), len(f.Refused) == 1}
					want := [3]bool{may, !may && !own, !may && own}
					if got != want {
						t.Errorf("%s, its own %v: %s; want stored, aside, refused %v", kind, own, f.raw, want)
					}
					if high, err := log.High(t.Context()); err != nil || (f.Pos == high) != true {
						t.Errorf("%s: ack at %d, log at %d, %v", kind, f.Pos, high, err)
					}
					if want[1] { // who may brings it; then it is known from anybody
						maker.push(text)
						if f := maker.want("ack"); len(f.IDs) != 1 {
							t.Errorf("%s from the bench: %s", kind, f.raw)
						}
						p.push(text)
						if f := p.want("ack"); len(f.IDs) != 1 || len(f.Quarantined) != 0 {
							t.Errorf("%s, which the log has: %s", kind, f.raw)
						}
						if aside, err := log.Aside(t.Context()); err != nil || aside != 0 {
							t.Errorf("%s: %d still aside, %v", kind, aside, err)
						}
					}
					p.conn.Close()
				}
			}
			// Down: the same records, made by a bench, for a device that comes anew.
			var all []string
			for i, kind := range kinds {
				all = append(all, rawRecord("maker", i, kind, "j2", "job/self/customer", body(kind)))
			}
			maker.push(all...)
			maker.want("ack")
			high, err := log.High(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			p := s.paired("reader", role)
			if role != ledger.Board {
				p.level(int(high))
				for i := range kinds {
					if p.whole[recID("maker", i)] != all[i] {
						t.Errorf("%s came as %q", kinds[i], p.whole[recID("maker", i)])
					}
				}
				return
			}
			p.send(map[string]any{"t": "hb", "n": 1, "now_ms": 1})
			for seenKinds := map[string]bool{}; !seenKinds["hb"] || !seenKinds["board"]; {
				f, err := p.next()
				if err != nil {
					t.Fatal(err)
				}
				seenKinds[f.T] = true
				for _, secret := range []string{"nvented", "84.53", "caliper", shaOf([]byte("a photo"))} {
					if strings.Contains(f.raw, secret) {
						t.Errorf("%q in %s", secret, f.raw)
					}
				}
				if f.T != "hb" && f.T != "board" {
					t.Errorf("a wall was sent %s", f.raw)
				}
			}
			for _, path := range []string{"/api/jobs", "/api/jobs/j1/plan", "/api/jobs/j1/sheets", "/api/jobs/j1/sheets/flange.pdf", "/api/jobs/j1/sheets/ports-A.svg", "/blob/" + shaOf(nil), "/blob/" + shaOf(nil) + "/0", "/blob/" + shaOf(nil) + "/have"} {
				if status, b := s.ask("GET", path, p.token, nil); status != 403 || strings.Contains(string(b), "nvented") {
					t.Errorf("GET %s for a wall: %d %s", path, status, b)
				}
			}
			if status, _ := s.ask("PUT", "/blob/"+shaOf(nil)+"/0", p.token, nil); status != 403 {
				t.Errorf("a wall sends a photo: %d", status)
			}
		})
	}
}

// A tablet for measuring cannot choose by writing as if another had: the choice
// lies aside, and the value stays disputed.
func TestMeasuringTabletsCannotForgeAChoice(t *testing.T) {
	s := openLAN(t)
	bench := s.paired("bench", ledger.Bench)
	p := s.paired("one", ledger.Measure)
	reading := func(dev string, n int, nm int64) string {
		return rawRecord(dev, n, ledger.ReadingKind, "j1", "engine/self/bore", map[string]any{"text": "x", "unit": "mm", "nm": nm, "res": 10_000, "tool": "caliper", "person": "Sam", "at": "2025-11-24T23:04:01Z"})
	}
	p.push(reading("one", 1, 84_000_000), reading("one", 2, 85_000_000))
	p.want("ack")
	forged := rawRecord("bench", 3, ledger.ChoiceKind, "j1", "engine/self/bore", nil)
	forged = strings.Replace(forged, `"body":null`, `"body":{},"chosen":"`+recID("one", 2)+`","seen":["`+recID("one", 1)+`","`+recID("one", 2)+`"]`, 1)
	p.push(forged)
	if f := p.want("ack"); !slices.Equal(f.Quarantined, []string{recID("bench", 3)}) {
		t.Errorf("%s", f.raw)
	}
	bench.level(2)
	disputed := func() int {
		lines, err := s.srv.jobs.all(t.Context())
		if err != nil || len(lines) != 1 {
			t.Fatalf("%+v, %v", lines, err)
		}
		return lines[0].Disputed
	}
	if disputed() != 1 {
		t.Errorf("%d disputed values, want 1", disputed())
	}
	bench.push(forged) // the bench says so itself
	bench.level(3)
	if disputed() != 0 {
		t.Errorf("%d disputed values, want none", disputed())
	}
}
