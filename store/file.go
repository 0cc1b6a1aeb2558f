package store

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// step is called between the steps of whatever has to survive the end of the
// program at any moment. Tests end it there; else it does nothing.
var step = func() {}

// halfName starts the names of files that are still being written.
const halfName = "new-"

// writeFile makes a file so that it is there whole or not at all: under another
// name first, then on the disk, then in place.
func writeFile(path string, b []byte) (err error) {
	dir := filepath.Dir(path)
	f, err := os.CreateTemp(dir, halfName+"*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
		}
	}()
	step()
	_, err = f.Write(b)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	step()
	if err := os.Rename(f.Name(), path); err != nil {
		return err
	}
	step()
	return syncDir(dir)
}

// makeDir makes a folder and those above it, so that they last.
func makeDir(dir string) error {
	if info, err := os.Stat(dir); err == nil && info.IsDir() {
		return nil
	}
	if up := filepath.Dir(dir); up != dir {
		if err := makeDir(up); err != nil {
			return err
		}
	}
	if err := os.Mkdir(dir, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return syncDir(filepath.Dir(dir))
}

// copyWhole copies a file so that the copy is there whole or not at all, and
// returns the sha256 of what was read, in hex. With a want that differs nothing
// is left.
func copyWhole(from, to, want string) (sum string, err error) {
	in, err := os.Open(from)
	if err != nil {
		return "", err
	}
	defer in.Close()
	out, err := os.CreateTemp(filepath.Dir(to), halfName+"*")
	if err != nil {
		return "", err
	}
	defer func() {
		if err != nil {
			os.Remove(out.Name())
		}
	}()
	hash := sha256.New()
	_, err = io.Copy(io.MultiWriter(out, hash), in)
	if err == nil {
		err = out.Sync()
	}
	if err = errors.Join(err, out.Close()); err != nil {
		return "", err
	}
	sum = hex.EncodeToString(hash.Sum(nil))
	if want != "" && sum != want {
		return sum, &wrongSum{from, sum, want}
	}
	step()
	if err := os.Rename(out.Name(), to); err != nil {
		return sum, err
	}
	step()
	return sum, syncDir(filepath.Dir(to))
}

// wrongSum is about a file that is not what its name says.
type wrongSum struct{ path, sum, want string }

func (w *wrongSum) Error() string {
	return fmt.Sprintf("%s: its bytes have the sha256 %s…, not %s…", w.path, w.sum[:12], w.want[:12])
}

// hashFile returns the sha256 of a file, in hex.
func hashFile(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	hash := sha256.New()
	if _, err := io.Copy(hash, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(hash.Sum(nil)), nil
}

// hashOf returns the sha256 of b, in hex.
func hashOf(b []byte) string {
	h := sha256.Sum256(b)
	return hex.EncodeToString(h[:])
}

func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// syncDir makes a rename last. Windows cannot sync a folder and does not need to.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	err = d.Sync()
	if errors.Is(err, fs.ErrPermission) {
		err = nil
	}
	return errors.Join(err, d.Close())
}
