package server

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"testing"
	"time"
)

// linkLine is a tablet's end of a link: every write is a request, and a read asks
// for frames when it has none left.
type linkLine struct {
	s        *shop
	id       string
	frames   [][]byte
	deadline time.Time
}

// post sends one request of a link and returns its status and body.
func (s *shop) post(ctx context.Context, path, id, body string) (int, []byte, error) {
	r, err := http.NewRequestWithContext(ctx, "POST", "http://"+s.host+path, bytes.NewReader([]byte(body)))
	if err != nil {
		return 0, nil, err
	}
	r.Header.Set("Origin", "http://"+s.host)
	if id != "" {
		r.Header.Set(linkHeader, id)
	}
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		return 0, nil, err
	}
	defer resp.Body.Close()
	b, err := io.ReadAll(resp.Body)
	return resp.StatusCode, b, err
}

// WriteMessage opens the link with the first frame, and sends the others up.
func (l *linkLine) WriteMessage(_ int, frame []byte) error {
	path, want := "/sync/up", http.StatusNoContent
	if l.id == "" {
		path, want = "/sync/open", http.StatusOK
	}
	status, b, err := l.s.post(context.Background(), path, l.id, string(frame)+"\n")
	if err != nil || status != want {
		return fmt.Errorf("%s: %d %s %v", path, status, b, err)
	}
	if l.id == "" {
		var opened struct{ Link string }
		if err := json.Unmarshal(b, &opened); err != nil || len(opened.Link) != 26 {
			return fmt.Errorf("%s: %s %v", path, b, err)
		}
		l.id = opened.Link
	}
	return nil
}

func (l *linkLine) ReadMessage() (int, []byte, error) {
	for len(l.frames) == 0 {
		if !l.deadline.IsZero() && time.Now().After(l.deadline) {
			return 0, nil, os.ErrDeadlineExceeded
		}
		status, b, err := l.s.post(context.Background(), "/sync/down", l.id, "")
		if err != nil || status != http.StatusOK {
			return 0, nil, fmt.Errorf("/sync/down: %d %s %v", status, b, err)
		}
		for line := range bytes.Lines(b) {
			if !bytes.HasSuffix(line, []byte("\n")) {
				return 0, nil, fmt.Errorf("/sync/down ends within a frame: %.100q", line)
			}
			l.frames = append(l.frames, bytes.TrimSuffix(line, []byte("\n")))
		}
	}
	frame := l.frames[0]
	l.frames = l.frames[1:]
	return 1, frame, nil
}

func (l *linkLine) SetReadDeadline(t time.Time) error { l.deadline = t; return nil }
func (l *linkLine) SetWriteDeadline(time.Time) error  { return nil }

func (l *linkLine) Close() error {
	_, _, err := l.s.post(context.Background(), "/sync/close", l.id, "")
	return err
}

// linkPeer is a tablet that speaks over a link.
func (s *shop) linkPeer(dev string) *peer { return s.over(&linkLine{s: s}, dev) }

func (s *shop) linkJoin(dev string) *peer {
	s.t.Helper()
	p := s.linkPeer(dev)
	p.hello("measure")
	p.want("welcome")
	return p
}

// linkOf returns the server's end of a peer's link.
func (s *shop) linkOf(t *testing.T, p *peer) *link {
	t.Helper()
	l := s.srv.links.get(p.conn.(*linkLine).id)
	if l == nil {
		t.Fatalf("%s has no link", p.dev)
	}
	return l
}
