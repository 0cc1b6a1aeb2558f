package store

import (
	"bufio"
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
	"tubewright/calc/photo"
)

// by is who the records come from, for what is set aside.
func (a *archive) by() string {
	const most = 256 // bytes that a device id has at most
	if a.head.By == "" || len(a.head.By) > most {
		return "archive"
	}
	return a.head.By
}

func (a *archive) readHashes() {
	if len(a.entries[hashesName]) == 0 {
		return // most have none
	}
	for i := 0; ; i++ {
		e, ok := a.try(hashesName, i)
		if !ok {
			return
		}
		n := 0
		err := eachLine(e, 4096, func(line []byte, _ error) bool {
			if sha := string(line); ledger.IsSHA(sha) {
				if a.hashes == nil {
					a.hashes = map[[32]byte]bool{}
				}
				all, _ := hashes([]string{sha})
				a.hashes[[32]byte(all)] = true
			}
			n++
			return n < maxHashes
		})
		if err == nil {
			return
		}
		a.say("%s: %v.", hashesName, err)
	}
}

// records calls do with the text of every record that is certainly whole. A line
// counts when the checksum of all lines is right, or when its hash is listed.
func (a *archive) records(ctx context.Context, do func(raw string) error) error {
	for i := 0; ; i++ {
		e, ok := a.try(recordsName, i)
		if !ok && i == 0 {
			a.say("%s is missing: there are no records.", recordsName)
		}
		if !ok {
			return nil
		}
		wrong := checksum(ctx, e)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if wrong != nil {
			a.say("%s: %v.", recordsName, wrong)
			if a.hashes == nil {
				a.say("Without %s it cannot be known which of its lines are right: none was taken.", hashesName)
				continue
			}
		}
		if err := a.lines(ctx, e, wrong == nil, do); err != nil || wrong == nil {
			return err
		}
	}
}

// checksum reads an entry to its end.
func checksum(ctx context.Context, e entry) error {
	r, err := e.open()
	if err != nil {
		return err
	}
	defer r.Close()
	buf := make([]byte, 1<<16)
	for left := int64(maxRecords); ; {
		n, err := r.Read(buf)
		if left -= int64(n); left < 0 {
			return fmt.Errorf("more than %d bytes of records", int64(maxRecords))
		}
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
}

// lines calls do for the records of an entry; sure when its checksum is right.
func (a *archive) lines(ctx context.Context, e entry, sure bool, do func(raw string) error) error {
	no, read := 0, int64(0)
	var failed error
	err := eachLine(e, maxLine, func(line []byte, tooLong error) bool {
		no++
		if read += int64(len(line)); read > maxRecords || ctx.Err() != nil {
			failed = ctx.Err()
			return false
		}
		var raw string
		switch err := json.Unmarshal(line, &raw); {
		case tooLong != nil:
			a.say("Record line %d: %v.", no, tooLong)
		case err != nil:
			a.say("Record line %d is not one JSON string.", no)
		default:
			failed = a.record(no, raw, sure, do)
		}
		return failed == nil
	})
	if failed != nil {
		return failed
	}
	if err != nil && sure {
		a.say("%s: %v.", recordsName, err)
	}
	return nil
}

func (a *archive) record(no int, raw string, sure bool, do func(raw string) error) error {
	sum := chain.Of(raw)
	fresh, listed := a.hashes[sum]
	switch {
	case listed && !fresh:
		return nil // taken from the same entry before
	case listed:
		a.hashes[sum] = false
	case !sure:
		a.say("Record line %d was changed: its hash is not in %s.", no, hashesName)
		return nil
	}
	return do(raw)
}

// eachLine calls do for the lines of an entry, without their ends and without
// empty ones, until it returns false. A line that is too long is called with an
// error and no text.
func eachLine(e entry, most int, do func(line []byte, tooLong error) bool) error {
	r, err := e.open()
	if err != nil {
		return err
	}
	defer r.Close()
	lines := bufio.NewReaderSize(r, most)
	for {
		line, err := lines.ReadSlice('\n')
		var tooLong error
		for errors.Is(err, bufio.ErrBufferFull) {
			tooLong = fmt.Errorf("the line has more than %d bytes", most)
			line, err = lines.ReadSlice('\n')
		}
		if tooLong != nil {
			line = nil
		}
		text := strings.TrimRight(string(line), "\r\n")
		if (text != "" || tooLong != nil) && !do([]byte(text), tooLong) {
			return nil
		}
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
	}
}

// readPhoto returns the bytes of a photo that have the sha256 of its name, which
// says more than a checksum.
func (a *archive) readPhoto(name string) (b []byte, sha string, err error) {
	sha, _ = photoName(name)
	for i := 0; ; i++ {
		e, ok := a.try(name, i)
		if !ok {
			return nil, sha, err
		}
		b, wrong := readSmall(e, photo.MaxBytes)
		if hashOf(b) == sha {
			return b, sha, nil
		}
		if wrong == nil {
			wrong = errors.New("its bytes do not have the sha256 that is its name")
		}
		err = cmp.Or(err, wrong)
	}
}

func (a *archive) drafts() (n int) {
	for _, e := range a.entries[draftsName] {
		n = 0
		if err := eachLine(e, maxLine, func([]byte, error) bool { n++; return true }); err == nil {
			break
		}
	}
	return n
}

// readSmall returns all bytes of an entry that has at most so many.
func readSmall(e entry, most int64) ([]byte, error) {
	r, err := e.open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	var b bytes.Buffer
	_, err = b.ReadFrom(io.LimitReader(r, most+1))
	if err == nil && int64(b.Len()) > most {
		err = fmt.Errorf("it has more than %d bytes", most)
	}
	return b.Bytes(), err
}
