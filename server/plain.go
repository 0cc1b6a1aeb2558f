package server

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"net"
	"net/http"
)

const plainBytes = 8 << 10 // of a request that came without encryption

// SendOn returns the listener for TLS to stand on: who asks there for a page without
// encryption is sent to the same page of origin, "https://tubewright.local:8411". No
// more of such a request than its head is read, and within the time that the TLS
// server allows for a handshake.
func SendOn(l net.Listener, origin string) net.Listener { return sendOn{l, origin} }

type sendOn struct {
	net.Listener
	origin string
}

func (l sendOn) Accept() (net.Conn, error) {
	c, err := l.Listener.Accept()
	if err != nil {
		return nil, err
	}
	return &firstConn{Conn: c, origin: l.origin}, nil
}

// firstConn looks at the first byte that comes. One goroutine reads at a time: the
// handshake, then whoever has the TLS connection.
type firstConn struct {
	net.Conn
	origin string
	begun  bool
}

var errPlain = errors.New("a request without encryption was sent on")

func (c *firstConn) Read(b []byte) (int, error) {
	n, err := c.Conn.Read(b)
	if c.begun || n == 0 {
		return n, err
	}
	c.begun = true
	if b[0] < 'A' || b[0] > 'Z' { // a method begins so; the record of a handshake with 22 (RFC 8446, section 5.1)
		return n, err
	}
	c.answer(io.MultiReader(bytes.NewReader(b[:n]), c.Conn))
	return 0, errPlain
}

func (c *firstConn) answer(from io.Reader) {
	r, err := http.ReadRequest(bufio.NewReader(io.LimitReader(from, plainBytes)))
	if err != nil {
		return
	}
	res := http.Response{StatusCode: http.StatusBadRequest, ProtoMajor: 1, ProtoMinor: 1, Close: true, Header: http.Header{"Cache-Control": {"no-store"}}}
	if r.Method == http.MethodGet || r.Method == http.MethodHead {
		res.StatusCode = http.StatusTemporaryRedirect
		res.Header.Set("Location", c.origin+r.URL.RequestURI())
	}
	res.Write(c.Conn) // whoever is gone asks again
}
