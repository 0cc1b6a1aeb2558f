package certs

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/base64"
	"encoding/pem"
	"encoding/xml"
	"errors"
	"io/fs"
	"math/big"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

const shopName = "shop.home.arpa"

var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// bench is an authority and its server's certificate with a clock to turn.
type bench struct {
	*testing.T
	folder    string
	authority *Authority
	leaf      *Leaf
	now       time.Time
	ips       []net.IP
	renewed   int
	faults    []error
}

func newBench(t *testing.T) *bench {
	t.Helper()
	b := &bench{T: t, folder: filepath.Join(t.TempDir(), "tls"), now: noon, ips: []net.IP{net.IPv4(192, 168, 1, 20)}}
	b.open()
	return b
}

func (b *bench) open() {
	b.Helper()
	var err error
	if b.authority, err = OpenAuthority(b.folder, shopName, b.now); err != nil {
		b.Fatal(err)
	}
	told := func(_ time.Time, err error) {
		if err != nil {
			b.faults = append(b.faults, err)
			return
		}
		b.renewed++
	}
	if b.leaf, err = OpenLeaf(b.authority, b.folder, func() time.Time { return b.now }, func() []net.IP { return b.ips }, told); err != nil {
		b.Fatal(err)
	}
}

func (b *bench) served() *x509.Certificate {
	b.Helper()
	c, err := b.leaf.GetCertificate(nil)
	if err != nil {
		b.Fatal(err)
	}
	return c.Leaf
}

// verify is what a tablet does that trusts the authority and nothing else.
func (b *bench) verify(cert *x509.Certificate, name string, at time.Time) error {
	roots := x509.NewCertPool()
	roots.AddCert(b.authority.cert)
	_, err := cert.Verify(x509.VerifyOptions{DNSName: name, Roots: roots, CurrentTime: at, KeyUsages: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}})
	return err
}

// TL3: a clock that is two days behind or ahead does no harm; TL2: the certificate
// lasts until it is renewed, and no longer than browsers take (398 days; from memory).
func TestTL2TL3LeafHoldsForItsTime(t *testing.T) {
	b := newBench(t)
	leaf := b.served()
	for _, name := range []string{shopName, "localhost", "127.0.0.1", "[::1]", "192.168.1.20"} {
		for _, days := range []time.Duration{0, 1, 300, 393} {
			if err := b.verify(leaf, name, noon.Add(days*24*time.Hour)); err != nil {
				t.Errorf("%s on day %d: %v", name, days, err)
			}
		}
		if err := b.verify(leaf, name, noon.Add(-47*time.Hour)); err != nil {
			t.Errorf("%s with a clock behind: %v", name, err)
		}
	}
	for _, at := range []time.Duration{-49 * time.Hour, 395 * 24 * time.Hour} {
		if b.verify(leaf, shopName, noon.Add(at)) == nil {
			t.Errorf("it is good at %v", at)
		}
	}
	if d := leaf.NotAfter.Sub(leaf.NotBefore); d > 398*24*time.Hour {
		t.Errorf("it lasts %v", d)
	}
	if err := b.verify(leaf, "bank.example", noon); err == nil {
		t.Error("it is good for another name")
	}
}

// Whoever steals the authority's key can pretend to be no other name and no public
// address (RFC 5280 section 4.2.1.10).
func TestTL2AuthorityVouchesForTheShopOnly(t *testing.T) {
	b := newBench(t)
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		good bool
	}{
		{shopName, true}, {"localhost", true}, {"10.1.2.3", true}, {"172.31.0.9", true}, {"192.168.77.1", true}, {"fd00::9", true},
		{"bank.example", false}, {"home.arpa", false}, {"other.home.arpa", false}, {"8.8.8.8", false}, {"172.32.0.1", false}, {"2001:db8::1", false},
	} {
		template := &x509.Certificate{SerialNumber: big.NewInt(7), NotBefore: noon, NotAfter: noon.AddDate(1, 0, 0), ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}}
		asked := c.name
		if ip := net.ParseIP(c.name); ip != nil {
			template.IPAddresses, asked = []net.IP{ip}, "["+c.name+"]"
		} else {
			template.DNSNames = []string{c.name}
		}
		der, err := x509.CreateCertificate(rand.Reader, template, b.authority.cert, &key.PublicKey, b.authority.key)
		if err != nil {
			t.Fatal(err)
		}
		forged, err := x509.ParseCertificate(der)
		if err != nil {
			t.Fatal(err)
		}
		if err := b.verify(forged, asked, noon.Add(time.Hour)); (err == nil) != c.good {
			t.Errorf("%s: good %v, want %v: %v", c.name, err == nil, c.good, err)
		}
	}
	if !b.authority.cert.PermittedDNSDomainsCritical || !b.authority.cert.MaxPathLenZero {
		t.Error("the constraints are not critical, or the authority may make other authorities")
	}
	if got := b.authority.Until(); got.Year() != noon.Year()+10 || b.authority.cert.NotBefore.Year() != 2020 {
		t.Errorf("the authority is good from %v to %v", b.authority.cert.NotBefore, got)
	}
}

func TestLeafIsRenewedInTime(t *testing.T) {
	b := newBench(t)
	first := b.served()
	for _, c := range []struct {
		after   time.Duration
		renewed bool
	}{{time.Hour, false}, {300 * 24 * time.Hour, false}, {333 * 24 * time.Hour, false}, {335 * 24 * time.Hour, true}} {
		b.now = noon.Add(c.after)
		leaf := b.served()
		if (leaf.SerialNumber.Cmp(first.SerialNumber) != 0) != c.renewed {
			t.Errorf("after %v: renewed %v", c.after, !c.renewed)
		}
		if err := b.verify(leaf, shopName, b.now); err != nil {
			t.Errorf("after %v: %v", c.after, err)
		}
	}
	// A new start reads what is there.
	before := b.served()
	b.open()
	if b.served().SerialNumber.Cmp(before.SerialNumber) != 0 {
		t.Error("a new start made another certificate")
	}
	// Another address, and a clock that was set back.
	b.ips = append(b.ips, net.IPv4(10, 0, 0, 5), net.IPv4(203, 0, 113, 9))
	b.now = b.now.Add(2 * leafLook)
	leaf := b.served()
	if err := b.verify(leaf, "10.0.0.5", b.now); err != nil {
		t.Error(err)
	}
	if len(leaf.IPAddresses) != 4 {
		t.Errorf("it names %v, a public address is not to be named", leaf.IPAddresses)
	}
	b.now = noon.AddDate(0, -3, 0)
	if err := b.verify(b.served(), shopName, b.now); err != nil {
		t.Error(err)
	}
}

func TestLeafEndsWithItsAuthority(t *testing.T) {
	b := newBench(t)
	b.now = b.authority.Until().AddDate(0, 0, -20)
	first := b.served()
	if !first.NotAfter.Equal(b.authority.Until()) {
		t.Errorf("it ends %v", first.NotAfter)
	}
	b.now = b.now.Add(time.Hour)
	if b.served() != first {
		t.Error("it is renewed again and again")
	}
	b.now = b.authority.Until().Add(time.Hour)
	if _, err := OpenAuthority(b.folder, "", b.now); err == nil || !strings.Contains(err.Error(), "ended on 2036-11-25") {
		t.Error(err)
	}
}

// A killed first start, a lost file or a file of something else never silently
// makes another authority, which every tablet would have to install.
func TestAuthorityIsNeverReplaced(t *testing.T) {
	b := newBench(t)
	if _, err := OpenAuthority(b.folder, "other.home.arpa", noon); err == nil || !strings.Contains(err.Error(), "cannot become") {
		t.Error(err)
	}
	again, err := OpenAuthority(b.folder, "", noon)
	if err != nil || again.Fingerprint() != b.authority.Fingerprint() {
		t.Errorf("%v", err)
	}
	for name, want := range map[string]string{authorityFile: "without its certificate", authorityKeyFile: "is missing"} {
		path := filepath.Join(b.folder, name)
		if err := os.Rename(path, path+".away"); err != nil {
			t.Fatal(err)
		}
		if _, err := OpenAuthority(b.folder, shopName, noon); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("without %s: %v", name, err)
		}
		if err := os.WriteFile(path, []byte("no"), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := OpenAuthority(b.folder, shopName, noon); err == nil || !strings.Contains(err.Error(), "in PEM") {
			t.Errorf("with a bad %s: %v", name, err)
		}
		if err := os.Rename(path+".away", path); err != nil {
			t.Fatal(err)
		}
	}
}

// The server's own pair is made again when it was torn by a kill, or is lost.
func TestTornLeafIsMadeAgain(t *testing.T) {
	b := newBench(t)
	other := newBench(t)
	key, err := os.ReadFile(filepath.Join(other.folder, leafKeyFile))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(b.folder, leafKeyFile), key, 0o600); err != nil {
		t.Fatal(err)
	}
	b.open()
	if err := b.verify(b.served(), shopName, noon); err != nil || len(b.faults) != 1 {
		t.Errorf("%v, told %v", err, b.faults)
	}
	if err := os.Remove(filepath.Join(b.folder, leafFile)); err != nil {
		t.Fatal(err)
	}
	b.open()
	if err := b.verify(b.served(), shopName, noon); err != nil || len(b.faults) != 1 {
		t.Errorf("%v, told %v", err, b.faults)
	}
	// One of another authority does not count.
	for _, name := range []string{leafFile, leafKeyFile} {
		bytes, err := os.ReadFile(filepath.Join(other.folder, name))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(b.folder, name), bytes, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	b.open()
	if err := b.verify(b.served(), shopName, noon); err != nil {
		t.Error(err)
	}
}

// A renewal that cannot be written leaves the old certificate in use.
func TestRenewalThatFailsIsTold(t *testing.T) {
	b := newBench(t)
	first := b.served()
	if err := os.RemoveAll(b.folder); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(b.folder, nil, 0o600); err != nil { // in the way, for root too
		t.Fatal(err)
	}
	b.now = noon.AddDate(0, 0, 340)
	if b.served() != first || len(b.faults) != 1 {
		t.Errorf("told %v", b.faults)
	}
}

func TestKeysAreForTheOwnerOnly(t *testing.T) {
	b := newBench(t)
	err := filepath.WalkDir(b.folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		if err == nil && strings.HasSuffix(path, ".key") && info.Mode().Perm() != 0o600 {
			t.Errorf("%s has mode %v", path, info.Mode())
		}
		if strings.HasSuffix(path, ".part") {
			t.Errorf("%s is left over", path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestNames(t *testing.T) {
	for _, name := range []string{"tubewright.local", "shop.home.arpa", "a-1.b"} {
		if err := CheckName(name); err != nil {
			t.Error(err)
		}
	}
	for _, name := range []string{"", "shop", "Shop.local", "shop..local", "-a.local", "a-.local", "sh op.local", "shop.local.", "*.local", "192.168.1.20", "shöp.local", strings.Repeat("a", 60) + ".local"} {
		if CheckName(name) == nil {
			t.Errorf("%q is taken", name)
		}
	}
}

// A TLS client that trusts the authority gets through, another does not.
func TestHandshake(t *testing.T) {
	b := newBench(t)
	l, err := tls.Listen("tcp", "127.0.0.1:0", &tls.Config{GetCertificate: b.leaf.GetCertificate, MinVersion: tls.VersionTLS12})
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
			go func() { defer c.Close(); c.(*tls.Conn).Handshake() }()
		}
	}()
	roots := x509.NewCertPool()
	roots.AddCert(b.authority.cert)
	dial := func(roots *x509.CertPool) error {
		c, err := tls.Dial("tcp", l.Addr().String(), &tls.Config{RootCAs: roots, ServerName: shopName, Time: func() time.Time { return noon }})
		if err == nil {
			c.Close()
		}
		return err
	}
	if err := dial(roots); err != nil {
		t.Error(err)
	}
	var unknown x509.UnknownAuthorityError
	if err := dial(x509.NewCertPool()); !errors.As(err, &unknown) {
		t.Error(err)
	}
}

// Another implementation reads and verifies what is made here.
func TestOpenSSLVerifies(t *testing.T) {
	if _, err := exec.LookPath("openssl"); err != nil {
		t.Skip("openssl is not installed")
	}
	b := newBench(t)
	out, err := exec.Command("openssl", "verify", "-x509_strict", "-attime", "1795694400", "-purpose", "sslserver", "-verify_hostname", shopName,
		"-CAfile", filepath.Join(b.folder, authorityFile), filepath.Join(b.folder, leafFile)).CombinedOutput()
	if err != nil {
		t.Errorf("%v: %s", err, out)
	}
	out, err = exec.Command("openssl", "x509", "-noout", "-fingerprint", "-sha256", "-in", filepath.Join(b.folder, authorityFile)).CombinedOutput()
	if err != nil || !strings.Contains(string(out), b.authority.Fingerprint()) {
		t.Errorf("it says %s, we say %s", out, b.authority.Fingerprint())
	}
}

func TestProfileHoldsTheAuthority(t *testing.T) {
	b := newBench(t)
	profile := b.authority.Profile()
	if !bytes.Equal(profile, b.authority.Profile()) {
		t.Error("the same authority makes another profile")
	}
	d := xml.NewDecoder(bytes.NewReader(profile))
	var text strings.Builder
	var data string
	for {
		token, err := d.Token()
		if token == nil {
			if !errors.Is(err, os.ErrClosed) && err != nil && err.Error() != "EOF" {
				t.Fatal(err)
			}
			break
		}
		if start, ok := token.(xml.StartElement); ok && start.Name.Local == "data" {
			if err := d.DecodeElement(&data, &start); err != nil {
				t.Fatal(err)
			}
		}
		if chars, ok := token.(xml.CharData); ok {
			text.Write(chars)
		}
	}
	der, err := base64.StdEncoding.DecodeString(strings.TrimSpace(data))
	if err != nil || !bytes.Equal(der, b.authority.DER()) {
		t.Errorf("the certificate in it is another one: %v", err)
	}
	if !strings.Contains(text.String(), "com.apple.security.root") || !strings.Contains(text.String(), shopName) {
		t.Error(text.String())
	}
	block, _ := pem.Decode(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}))
	if _, err := x509.ParseCertificate(block.Bytes); err != nil {
		t.Error(err)
	}
}
