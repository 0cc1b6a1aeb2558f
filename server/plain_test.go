package server

import (
	"bufio"
	"crypto/tls"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
)

// Who types the address without its https comes to it all the same.
func TestPlainRequestIsSentToTheEncryptedAddress(t *testing.T) {
	s := httptest.NewUnstartedServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { io.WriteString(w, "inside") }))
	s.Listener = SendOn(s.Listener, "https://tubewright.local:8411")
	s.Config.ReadHeaderTimeout = 300 * time.Millisecond
	s.StartTLS()
	defer s.Close()
	addr := s.Listener.Addr().String()

	for _, c := range []struct {
		sent   string
		status int // 0: the connection is closed without a word of ours
		to     string
	}{
		{"GET / HTTP/1.1\r\nHost: tubewright.local:8411\r\n\r\n", http.StatusTemporaryRedirect, "https://tubewright.local:8411/"},
		{"GET /wall?a=b%20c HTTP/1.1\r\nHost: 192.168.1.20:8411\r\n\r\n", http.StatusTemporaryRedirect, "https://tubewright.local:8411/wall?a=b%20c"},
		{"HEAD //evil.example/x HTTP/1.1\r\nHost: evil.example\r\n\r\n", http.StatusTemporaryRedirect, "https://tubewright.local:8411//evil.example/x"},
		{"GET http://evil.example/x HTTP/1.1\r\nHost: evil.example\r\n\r\n", http.StatusTemporaryRedirect, "https://tubewright.local:8411/x"},
		{"POST /pair/claim HTTP/1.1\r\nHost: tubewright.local:8411\r\nContent-Length: 2\r\n\r\n{}", http.StatusBadRequest, ""},
		{"GET / HTTP/1.1\r\nHost: a\r\nX: " + strings.Repeat("x", 2*plainBytes) + "\r\n\r\n", 0, ""},
		{"GET / HTTP/1.1\r\n", 0, ""}, // and then nothing: it is not waited for
		{"\x16\x03", 0, ""},
		{"\x00\x00\x00\x00\x00\x00\x00", 0, ""},
	} {
		conn, err := net.Dial("tcp", addr)
		if err != nil {
			t.Fatal(err)
		}
		conn.SetDeadline(time.Now().Add(10 * time.Second))
		fmt.Fprint(conn, c.sent)
		res, err := http.ReadResponse(bufio.NewReader(conn), nil)
		switch {
		case err != nil && c.status != 0:
			t.Errorf("%.60q: %v", c.sent, err)
		case err == nil && (res.StatusCode != c.status || res.Header.Get("Location") != c.to):
			t.Errorf("%.60q: %d to %q, want %d to %q", c.sent, res.StatusCode, res.Header.Get("Location"), c.status, c.to)
		}
		if ne, ok := err.(net.Error); ok && ne.Timeout() {
			t.Errorf("%.60q: the connection stays open", c.sent)
		}
		conn.Close()
	}

	conn, err := tls.Dial("tcp", addr, &tls.Config{InsecureSkipVerify: true})
	if err != nil {
		t.Fatal(err)
	}
	conn.Close()
	if res, err := s.Client().Get(s.URL); err != nil || res.StatusCode != http.StatusOK {
		t.Errorf("over TLS: %v", err)
	}
}
