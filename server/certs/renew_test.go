package certs

import (
	"bufio"
	"crypto/tls"
	"crypto/x509"
	"fmt"
	"net"
	"sync/atomic"
	"testing"
	"time"
)

// The same listener serves the next certificate when its time has come. A tablet
// that trusts the authority and nothing else notices nothing, and a connection that
// was open stays so.
func TestTL2RenewalNeedsNoRestart(t *testing.T) {
	b := newBench(t)
	var at atomic.Int64 // the server asks for the time from goroutines of its own
	at.Store(noon.UnixNano())
	clock := func() time.Time { return time.Unix(0, at.Load()) }
	leaf, err := OpenLeaf(b.authority, b.folder, clock, func() []net.IP { return nil }, func(time.Time, error) {})
	if err != nil {
		t.Fatal(err)
	}
	l, err := tls.Listen("tcp", "127.0.0.1:0", &tls.Config{GetCertificate: leaf.GetCertificate, MinVersion: tls.VersionTLS12, NextProtos: []string{"http/1.1"}})
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go func() {
				defer c.Close()
				for s := bufio.NewScanner(c); s.Scan(); {
					fmt.Fprintln(c, s.Text())
				}
			}()
		}
	}()
	roots := x509.NewCertPool()
	roots.AddCert(b.authority.cert)
	dial := func() *tls.Conn {
		t.Helper()
		c, err := tls.Dial("tcp", l.Addr().String(), &tls.Config{RootCAs: roots, ServerName: shopName, Time: clock})
		if err != nil {
			t.Fatalf("on %v: %v", clock(), err)
		}
		t.Cleanup(func() { c.Close() })
		return c
	}
	echo := func(c *tls.Conn) {
		t.Helper()
		if _, err := fmt.Fprintln(c, "still here"); err != nil {
			t.Fatal(err)
		}
		if line, err := bufio.NewReader(c).ReadString('\n'); err != nil || line != "still here\n" {
			t.Fatalf("%q, %v", line, err)
		}
	}
	first := dial()
	echo(first)
	at.Store(noon.AddDate(0, 0, 337).UnixNano())
	second := dial()
	echo(second)
	echo(first)
	before, after := first.ConnectionState().PeerCertificates[0], second.ConnectionState().PeerCertificates[0]
	if before.SerialNumber.Cmp(after.SerialNumber) == 0 || !after.NotAfter.After(before.NotAfter) {
		t.Errorf("the certificate until %v was not renewed", before.NotAfter)
	}
	// Long after the first one's end the second is good.
	at.Store(noon.AddDate(0, 0, 600).UnixNano())
	dial()
}
