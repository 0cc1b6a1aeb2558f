package certs

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"math/big"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// brought writes a certificate of the shop's own for a name, with its key.
func brought(t *testing.T, folder, name string, serial int64) (certFile, keyFile string) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	template := &x509.Certificate{SerialNumber: big.NewInt(serial), NotBefore: noon, NotAfter: noon.AddDate(0, 3, 0), DNSNames: []string{name}}
	der, err := x509.CreateCertificate(rand.Reader, template, template, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	certFile, keyFile = filepath.Join(folder, "own.crt"), filepath.Join(folder, "own.key")
	if err := writeKey(keyFile, key); err != nil {
		t.Fatal(err)
	}
	if err := writeCert(certFile, der); err != nil {
		t.Fatal(err)
	}
	return certFile, keyFile
}

func TestOwnCertificateIsReadAgainWhenItsFileChanges(t *testing.T) {
	folder := t.TempDir()
	certFile, keyFile := brought(t, folder, "shop.example", 1)
	now := noon
	var faults, renewed int
	own, err := OpenOwn(certFile, keyFile, "shop.example", func() time.Time { return now }, func(_ time.Time, err error) {
		if err != nil {
			faults++
		} else {
			renewed++
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	serves := func(step string, serial int64) {
		t.Helper()
		now = now.Add(ownLook)
		c, err := own.GetCertificate(nil)
		if err != nil || c.Leaf.SerialNumber.Int64() != serial {
			t.Errorf("%s: serves %v, %v, want %d", step, c.Leaf.SerialNumber, err, serial)
		}
	}
	later := time.Now()
	touch := func() { // files written within one tick of the file system's clock have one time
		later = later.Add(time.Second)
		for _, f := range []string{certFile, keyFile} {
			if err := os.Chtimes(f, later, later); err != nil {
				t.Fatal(err)
			}
		}
	}
	serves("unchanged", 1)
	brought(t, folder, "shop.example", 2)
	touch()
	serves("replaced", 2)
	if renewed != 1 || faults != 0 || !own.Until().Equal(noon.AddDate(0, 3, 0)) {
		t.Errorf("renewed %d, faults %d, until %v", renewed, faults, own.Until())
	}
	// Half written, for another name, gone: the old one stays, and each is told once.
	if err := os.WriteFile(certFile, []byte("no"), 0o600); err != nil {
		t.Fatal(err)
	}
	touch()
	serves("torn", 2)
	serves("torn still", 2)
	brought(t, folder, "other.example", 3)
	touch()
	serves("for another name", 2)
	if faults != 2 {
		t.Errorf("told %d faults, want one for each file that cannot be used", faults)
	}
	if err := os.Remove(certFile); err != nil {
		t.Fatal(err)
	}
	serves("gone", 2)
	brought(t, folder, "shop.example", 4)
	touch()
	serves("there again", 4)
}

func TestOwnCertificateHasToBeForTheName(t *testing.T) {
	certFile, keyFile := brought(t, t.TempDir(), "shop.example", 1)
	clock, told := func() time.Time { return noon }, func(time.Time, error) {}
	if _, err := OpenOwn(certFile, keyFile, "other.example", clock, told); err == nil || !strings.Contains(err.Error(), "is not for other.example") {
		t.Error(err)
	}
	_, other := brought(t, t.TempDir(), "shop.example", 2)
	if _, err := OpenOwn(certFile, other, "shop.example", clock, told); err == nil {
		t.Error("a key of another certificate is taken")
	}
	if _, err := OpenOwn(certFile+".none", keyFile, "shop.example", clock, told); err == nil {
		t.Error("no file, no error")
	}
}
