package certs

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/x509"
	"crypto/x509/pkix"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

const (
	authorityFile    = "authority.crt"
	authorityKeyFile = "authority.key"
	authorityYears   = 10
)

// authorityFrom is long past, so that a tablet whose clock is behind does not take
// the authority for one of the future.
var authorityFrom = time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)

// permitted are the addresses that the authority may vouch for: private ones
// (RFC 1918, RFC 4193), link-local ones (RFC 3927, RFC 4291) and this machine itself.
var permitted = []string{"10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8", "fc00::/7", "fe80::/10", "::1/128"}

// Authority is the shop's own certificate authority.
type Authority struct {
	cert *x509.Certificate
	key  *ecdsa.PrivateKey
}

// OpenAuthority reads the authority in a folder, or makes one for name when the
// folder holds none. An authority that is there is for one name for ever: another
// name is an error, since what tablets hold belongs to the name they know. An empty
// name means the one of the authority that is there.
func OpenAuthority(folder, name string, now time.Time) (*Authority, error) {
	path, keyPath := filepath.Join(folder, authorityFile), filepath.Join(folder, authorityKeyFile)
	a, err := readAuthority(path, keyPath)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return makeAuthority(folder, name, now)
	case err != nil:
		return nil, err
	case name != "" && name != a.Name():
		return nil, fmt.Errorf("the name of this shop machine is %s and cannot become %s: tablets keep what they hold under the name they know. Start it without -name, or see README, \"Another name\"", a.Name(), name)
	case now.After(a.cert.NotAfter):
		return nil, fmt.Errorf("the shop's authority in %s ended on %s; see README, \"When the authority ends\"", path, a.cert.NotAfter.Format(time.DateOnly))
	}
	return a, nil
}

// HasAuthority says whether an authority was made in a folder.
func HasAuthority(folder string) bool {
	_, err := os.Stat(filepath.Join(folder, authorityFile))
	_, keyErr := os.Stat(filepath.Join(folder, authorityKeyFile))
	return err == nil || keyErr == nil
}

func readAuthority(path, keyPath string) (*Authority, error) {
	cert, err := readCert(path)
	if err != nil {
		_, keyErr := os.Stat(keyPath)
		if errors.Is(err, fs.ErrNotExist) && keyErr == nil {
			return nil, fmt.Errorf("there is a key %s without its certificate %s: bring the certificate back from a copy, or move the key away and set the tablets up anew", keyPath, path)
		}
		return nil, err
	}
	key, err := readKey(keyPath)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("the key %s is missing: bring it back from a copy, or move %s away and set the tablets up anew", keyPath, path)
	}
	if err != nil {
		return nil, err
	}
	if !key.PublicKey.Equal(cert.PublicKey) {
		return nil, fmt.Errorf("%s is not the key of %s", keyPath, path)
	}
	if !cert.IsCA || len(cert.PermittedDNSDomains) == 0 {
		return nil, fmt.Errorf("%s is no authority that this program made", path)
	}
	return &Authority{cert, key}, nil
}

func makeAuthority(folder, name string, now time.Time) (*Authority, error) {
	if err := CheckName(name); err != nil {
		return nil, err
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, fmt.Errorf("make the authority's key: %w", err)
	}
	serial, err := serial()
	if err != nil {
		return nil, err
	}
	template := &x509.Certificate{
		SerialNumber:          serial,
		Subject:               pkix.Name{CommonName: "Tubewright shop " + name},
		NotBefore:             authorityFrom,
		NotAfter:              now.AddDate(authorityYears, 0, 0),
		KeyUsage:              x509.KeyUsageCertSign | x509.KeyUsageCRLSign,
		BasicConstraintsValid: true, IsCA: true, MaxPathLenZero: true,
		PermittedDNSDomainsCritical: true,
		PermittedDNSDomains:         []string{name, "localhost"},
	}
	for _, r := range permitted {
		_, network, err := net.ParseCIDR(r)
		if err != nil {
			panic("certs: bug: " + err.Error())
		}
		template.PermittedIPRanges = append(template.PermittedIPRanges, network)
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, &key.PublicKey, key)
	if err != nil {
		return nil, fmt.Errorf("make the authority's certificate: %w", err)
	}
	cert, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, fmt.Errorf("make folder for certificates: %w", err)
	}
	// The certificate comes last: with it the authority counts.
	if err := writeKey(filepath.Join(folder, authorityKeyFile), key); err != nil {
		return nil, err
	}
	if err := writeCert(filepath.Join(folder, authorityFile), der); err != nil {
		return nil, err
	}
	return &Authority{cert, key}, nil
}

// Name is the one name under which tablets know the shop machine.
func (a *Authority) Name() string { return a.cert.PermittedDNSDomains[0] }

// DER is the authority's certificate, for a tablet to install. Its key never leaves
// this package.
func (a *Authority) DER() []byte { return slices.Clone(a.cert.Raw) }

// Until is when the authority ends.
func (a *Authority) Until() time.Time { return a.cert.NotAfter }

// Fingerprint is the SHA-256 of the certificate as people compare it: pairs of
// upper-case hexadecimal digits.
func (a *Authority) Fingerprint() string { return fingerprint(a.cert.Raw) }

func fingerprint(der []byte) string {
	sum := sha256.Sum256(der)
	pairs := make([]string, len(sum))
	for i, b := range sum {
		pairs[i] = fmt.Sprintf("%02X", b)
	}
	return strings.Join(pairs, ":")
}

// CheckName says whether a name can be the shop machine's: at least two labels of
// small letters, digits and hyphens (RFC 1123 section 2.1), none of them of a public
// domain's owner to give away by accident.
func CheckName(name string) error {
	labels := strings.Split(name, ".")
	if len(labels) < 2 || len(name) > 63 {
		return fmt.Errorf("name %q: want something like tubewright.local or shop.home.arpa, at most 63 letters", name)
	}
	for _, l := range labels {
		if l == "" || strings.Trim(l, "abcdefghijklmnopqrstuvwxyz0123456789-") != "" || strings.HasPrefix(l, "-") || strings.HasSuffix(l, "-") {
			return fmt.Errorf("name %q: the part %q may have small letters, digits and inner hyphens only", name, l)
		}
	}
	if net.ParseIP(name) != nil {
		return fmt.Errorf("name %q is an address: routers give addresses away again, and what tablets hold would be lost to the name", name)
	}
	return nil
}

func serial() (*big.Int, error) {
	// RFC 5280 section 4.1.2.2: positive, at most 20 bytes.
	n, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 127))
	if err != nil {
		return nil, fmt.Errorf("draw a serial number: %w", err)
	}
	return n.Add(n, big.NewInt(1)), nil
}
