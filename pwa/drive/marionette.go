package drive

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"strconv"
	"time"
)

// marionette is Firefox's own protocol: frames "LENGTH:JSON" over TCP, a command as
// [0, id, name, params] and its answer as [1, id, error, result]. One command at a time.
type marionette struct {
	conn net.Conn
	in   *bufio.Reader
	id   int
}

// newMarionette waits for the port, reads the greeting and opens a session.
func newMarionette(ctx context.Context, addr string) (*marionette, error) {
	var m *marionette
	for m == nil {
		var dialer net.Dialer
		conn, err := dialer.DialContext(ctx, "tcp", addr)
		if err == nil {
			m = &marionette{conn: conn, in: bufio.NewReader(conn)}
			break
		}
		if pauseErr := pause(ctx, 100*time.Millisecond); pauseErr != nil {
			return nil, fmt.Errorf("reach Firefox: %w", errors.Join(err, pauseErr))
		}
	}
	if deadline, ok := ctx.Deadline(); ok {
		if err := m.conn.SetDeadline(deadline); err != nil {
			return nil, fmt.Errorf("reach Firefox: %w", err)
		}
	}
	if _, err := m.read(); err != nil {
		m.close()
		return nil, fmt.Errorf("greeting of Firefox: %w", err)
	}
	if _, err := m.call(ctx, "NewSession", map[string]any{"strictFileInteractability": true}); err != nil {
		m.close()
		return nil, fmt.Errorf("open a session: %w", err)
	}
	return m, nil
}

func (m *marionette) call(ctx context.Context, command string, params map[string]any) (json.RawMessage, error) {
	deadline, ok := ctx.Deadline()
	if !ok {
		deadline = time.Time{}
	}
	if err := m.conn.SetDeadline(deadline); err != nil {
		return nil, err
	}
	m.id++
	b, err := json.Marshal([]any{0, m.id, "WebDriver:" + command, params})
	if err != nil {
		return nil, fmt.Errorf("write the command: %w", err)
	}
	if _, err := fmt.Fprintf(m.conn, "%d:%s", len(b), b); err != nil {
		return nil, err
	}
	frame, err := m.read()
	if err != nil {
		return nil, err
	}
	var answer [4]json.RawMessage
	if err := json.Unmarshal(frame, &answer); err != nil {
		return nil, fmt.Errorf("read %.200s: %w", frame, err)
	}
	if string(answer[2]) != "null" {
		var fault struct{ Error, Message string }
		if err := json.Unmarshal(answer[2], &fault); err != nil {
			return nil, fmt.Errorf("read %.200s: %w", answer[2], err)
		}
		return nil, fmt.Errorf("%s: %s", fault.Error, fault.Message)
	}
	var result struct {
		Value json.RawMessage `json:"value"`
	}
	if err := json.Unmarshal(answer[3], &result); err != nil || result.Value == nil {
		return answer[3], nil // some answers are the value itself
	}
	return result.Value, nil
}

func (m *marionette) read() ([]byte, error) {
	head, err := m.in.ReadString(':')
	if err != nil {
		return nil, err
	}
	n, err := strconv.Atoi(head[:len(head)-1])
	if err != nil || n < 0 || n > 64<<20 {
		return nil, fmt.Errorf("length of a frame: %q", head)
	}
	b := make([]byte, n)
	_, err = io.ReadFull(m.in, b)
	return b, err
}

func (m *marionette) close() { m.conn.Close() }
