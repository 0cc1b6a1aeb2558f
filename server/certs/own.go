package certs

import (
	"crypto/tls"
	"errors"
	"fmt"
	"os"
	"sync"
	"time"
)

const ownLook = 10 * time.Second // between two looks at the files

// Own is a certificate that the shop brings along, with its key. It is read again
// when one of its files changes, so that whatever renews it need not know this
// program. Safe for concurrent use.
type Own struct {
	certFile, keyFile, name string
	now                     func() time.Time
	told                    func(until time.Time, err error)

	mu     sync.Mutex
	cert   *tls.Certificate
	looked time.Time
	seen   [2]stamp // of the files when they were last read, well or not
}

// stamp tells one state of a file from the next.
type stamp struct {
	size int64
	at   time.Time
}

// OpenOwn reads a certificate, with what is above it in the same file, and its key,
// both in PEM. It has to be good for name. told hears of each new one and of one that
// cannot be used, after which the old certificate stays in use.
func OpenOwn(certFile, keyFile, name string, now func() time.Time, told func(until time.Time, err error)) (*Own, error) {
	o := &Own{certFile: certFile, keyFile: keyFile, name: name, now: now, told: told, looked: now()}
	seen, err := o.stamps()
	if err != nil {
		return nil, err
	}
	o.seen = seen
	if o.cert, err = o.read(); err != nil {
		return nil, err
	}
	return o, nil
}

// GetCertificate is for tls.Config. It never fails.
func (o *Own) GetCertificate(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.look()
	return o.cert, nil
}

// Until is when the certificate in use ends.
func (o *Own) Until() time.Time {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.look()
	return o.cert.Leaf.NotAfter
}

func (o *Own) look() {
	now := o.now()
	if since := now.Sub(o.looked); since >= 0 && since < ownLook {
		return
	}
	o.looked = now
	seen, err := o.stamps()
	if err != nil || seen == o.seen {
		return // a file that is being replaced is there again at the next look
	}
	o.seen = seen
	cert, err := o.read()
	if err != nil {
		o.told(time.Time{}, err)
		return
	}
	o.cert = cert
	o.told(cert.Leaf.NotAfter, nil)
}

func (o *Own) stamps() (s [2]stamp, err error) {
	for i, path := range []string{o.certFile, o.keyFile} {
		info, err := os.Stat(path)
		if err != nil {
			return s, err
		}
		s[i] = stamp{info.Size(), info.ModTime()}
	}
	return s, nil
}

func (o *Own) read() (*tls.Certificate, error) {
	cert, err := tls.LoadX509KeyPair(o.certFile, o.keyFile)
	if err != nil {
		return nil, fmt.Errorf("read certificate %s and key %s: %w", o.certFile, o.keyFile, err)
	}
	if cert.Leaf == nil {
		return nil, errors.New("the certificate " + o.certFile + " cannot be read")
	}
	if err := cert.Leaf.VerifyHostname(o.name); err != nil {
		return nil, fmt.Errorf("the certificate %s is not for %s: %w", o.certFile, o.name, err)
	}
	return &cert, nil
}
