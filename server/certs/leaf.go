package certs

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"path/filepath"
	"slices"
	"sync"
	"time"
)

const (
	leafFile    = "server.crt"
	leafKeyFile = "server.key"

	leafBack  = 48 * time.Hour       // before now: a tablet's clock may be behind
	leafTime  = 396 * 24 * time.Hour // from then on; 398 days are the most that browsers take
	leafRenew = 60 * 24 * time.Hour  // left when a new one is made
	leafLook  = time.Minute          // between two looks at the clock and the addresses
)

// Leaf keeps the server's certificate under the shop's authority: it is renewed in
// time, and when the machine got an address that it does not name. Safe for
// concurrent use.
type Leaf struct {
	authority *Authority
	folder    string
	now       func() time.Time
	addresses func() []net.IP
	told      func(until time.Time, err error)

	mu     sync.Mutex
	cert   *tls.Certificate
	looked time.Time
}

// OpenLeaf reads the server's certificate in a folder, or makes one. addresses
// returns those of this machine; told hears of each renewal and of one that failed,
// after which the old certificate stays in use.
func OpenLeaf(a *Authority, folder string, now func() time.Time, addresses func() []net.IP, told func(until time.Time, err error)) (*Leaf, error) {
	l := &Leaf{authority: a, folder: folder, now: now, addresses: addresses, told: told}
	cert, err := l.read()
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		told(time.Time{}, err) // what cannot be read is made anew: nothing depends on the old one
	}
	l.cert = cert
	if err := l.look(); err != nil {
		return nil, err
	}
	return l, nil
}

// GetCertificate is for tls.Config. It never fails once a certificate is there.
func (l *Leaf) GetCertificate(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if err := l.look(); err != nil {
		l.told(time.Time{}, err)
	}
	return l.cert, nil
}

// look makes a new certificate when the old one will not do.
func (l *Leaf) look() error {
	now := l.now()
	if since := now.Sub(l.looked); l.cert != nil && since >= 0 && since < leafLook {
		return nil
	}
	l.looked = now
	ips := nameable(l.addresses())
	if l.cert != nil && fits(l.cert.Leaf, l.authority, ips, now) {
		return nil
	}
	cert, err := l.make(ips, now)
	if err != nil {
		return fmt.Errorf("renew the server's certificate: %w", err)
	}
	l.cert = cert
	l.told(cert.Leaf.NotAfter, nil)
	return nil
}

// fits says whether a certificate will do from now on for a while.
func fits(leaf *x509.Certificate, a *Authority, ips []net.IP, now time.Time) bool {
	if leaf.CheckSignatureFrom(a.cert) != nil || now.Before(leaf.NotBefore) {
		return false
	}
	// Near the authority's own end no certificate reaches further.
	if leaf.NotAfter.Sub(now) < leafRenew && leaf.NotAfter.Before(a.cert.NotAfter) {
		return false
	}
	return !slices.ContainsFunc(ips, func(ip net.IP) bool { return leaf.VerifyHostname(ip.String()) != nil })
}

// nameable keeps the addresses that the authority may vouch for.
func nameable(ips []net.IP) []net.IP {
	all := []net.IP{net.IPv4(127, 0, 0, 1), net.IPv6loopback}
	for _, ip := range ips {
		if (ip.IsPrivate() || ip.IsLinkLocalUnicast()) && !slices.ContainsFunc(all, ip.Equal) {
			all = append(all, ip)
		}
	}
	return all
}

func (l *Leaf) make(ips []net.IP, now time.Time) (*tls.Certificate, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	serial, err := serial()
	if err != nil {
		return nil, err
	}
	from := now.Add(-leafBack)
	until := from.Add(leafTime)
	if until.After(l.authority.cert.NotAfter) {
		until = l.authority.cert.NotAfter
	}
	template := &x509.Certificate{
		SerialNumber: serial,
		Subject:      pkix.Name{CommonName: l.authority.Name()},
		NotBefore:    from, NotAfter: until,
		KeyUsage:              x509.KeyUsageDigitalSignature,
		ExtKeyUsage:           []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		BasicConstraintsValid: true,
		DNSNames:              []string{l.authority.Name(), "localhost"},
		IPAddresses:           ips,
	}
	der, err := x509.CreateCertificate(rand.Reader, template, l.authority.cert, &key.PublicKey, l.authority.key)
	if err != nil {
		return nil, err
	}
	leaf, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, err
	}
	if err := writeKey(filepath.Join(l.folder, leafKeyFile), key); err != nil {
		return nil, err
	}
	if err := writeCert(filepath.Join(l.folder, leafFile), der); err != nil {
		return nil, err
	}
	return l.pair(leaf, key), nil
}

// pair sends the authority along: a tablet shows whose it is when it does not trust it.
func (l *Leaf) pair(leaf *x509.Certificate, key *ecdsa.PrivateKey) *tls.Certificate {
	return &tls.Certificate{Certificate: [][]byte{leaf.Raw, l.authority.cert.Raw}, PrivateKey: key, Leaf: leaf}
}

func (l *Leaf) read() (*tls.Certificate, error) {
	leaf, err := readCert(filepath.Join(l.folder, leafFile))
	if err != nil {
		return nil, err
	}
	key, err := readKey(filepath.Join(l.folder, leafKeyFile))
	if err != nil {
		return nil, err
	}
	if !key.PublicKey.Equal(leaf.PublicKey) {
		return nil, fmt.Errorf("%s is not the key of %s: another is made", leafKeyFile, leafFile) // killed between the two
	}
	return l.pair(leaf, key), nil
}

// Addresses returns the addresses of this machine's interfaces that are up.
func Addresses() []net.IP {
	var ips []net.IP
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil // the certificate then names none of them, the name is what counts
	}
	for _, a := range all {
		if n, ok := a.(*net.IPNet); ok {
			ips = append(ips, n.IP)
		}
	}
	return ips
}
