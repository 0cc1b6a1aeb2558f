package server

import (
	"strings"
	"testing"
	"time"

	"tubewright/calc/ledger"
)

// recorder is a connection that only remembers what was written.
type recorder struct{ frames chan string }

func (recorder) ReadMessage() (int, []byte, error)         { select {} }
func (recorder) WriteControl(int, []byte, time.Time) error { return nil }
func (recorder) SetReadLimit(int64)                        {}
func (recorder) SetReadDeadline(time.Time) error           { return nil }
func (recorder) SetWriteDeadline(time.Time) error          { return nil }
func (recorder) SetPongHandler(func(string) error)         {}
func (recorder) Close() error                              { return nil }
func (r recorder) WriteMessage(_ int, b []byte) error      { r.frames <- string(b); return nil }

// What comes for a wall board between its hello and its welcome waits for the welcome.
func TestNothingGoesOutBeforeTheWelcome(t *testing.T) {
	s := openLAN(t)
	r := recorder{make(chan string, 8)}
	one := newSession(entry{s.srv, Door{}}, r, func() {})
	one.role = ledger.Board
	one.out.replace([]byte(`{"t":"board"}`))
	go one.write()
	select {
	case f := <-r.frames:
		t.Fatalf("before the welcome: %s", f)
	case <-time.After(100 * time.Millisecond): // long enough to be seen failing
	}
	one.begin("welcome", 0, false)
	for _, want := range []string{`"t":"welcome"`, `"t":"board"`} {
		select {
		case f := <-r.frames:
			if !strings.Contains(f, want) {
				t.Errorf("%s, want %s", f, want)
			}
		case <-time.After(10 * time.Second):
			t.Fatalf("no %s", want)
		}
	}
	close(one.done)
	<-one.written
}
