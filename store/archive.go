package store

import (
	"archive/zip"
	"bufio"
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
	"tubewright/calc/photo"
)

// The archive file is described in ARCHIVE.md.
const (
	archiveVersion = 1
	headName       = "tubewright.json"
	hashesName     = "hashes.txt"
	recordsName    = "records.jsonl"
	draftsName     = "drafts.jsonl"
	photosName     = "photos/"
)

const (
	maxTable   = 32 << 20  // bytes of the table of contents
	maxHead    = 64 << 10  // bytes of tubewright.json
	maxLine    = 512 << 10 // bytes of a line: a record of 64 KiB of which every byte is escaped, with room
	maxRecords = 4 << 30   // bytes of all lines
	maxHashes  = 10 << 20  // lines of hashes.txt
)

// ErrNoArchive is wrapped by the errors about files that are not archives, or not
// of a version that this program reads.
var ErrNoArchive = errors.New("the file is not an archive of Tubewright")

// photoEnds are the names' ends by kind of picture.
var photoEnds = map[string]string{"image/jpeg": ".jpg", "image/png": ".png", "image/webp": ".webp"}

// archiveHead is tubewright.json.
type archiveHead struct {
	Version int    `json:"tubewright_archive"`
	MadeMS  int64  `json:"made_ms"`
	By      string `json:"by"`
	Name    string `json:"name"`
	Records int    `json:"records"`
	Photos  int    `json:"photos"`
	Drafts  int    `json:"drafts"`
}

// archive reads an archive file, of which any byte may be wrong.
type archive struct {
	head   archiveHead
	photos []entry
	say    func(format string, args ...any) // gets a sentence for everything that is wrong

	file     io.ReaderAt
	size     int64
	entries  map[string][]entry // by name: as the table of contents has it, then as found from the front
	salvaged bool
	hashes   map[[32]byte]bool // of whole records, when the archive lists them; true until taken
}

// entry is one file in the archive. Reading it to the end gives an error when
// its checksum is wrong.
type entry struct {
	name        string
	start, size int64 // of its packed bytes in the file; start is -1 where it is not known
	open        func() (io.ReadCloser, error)
}

// openArchive finds out what an archive holds. The error is for a file that is no
// archive of ours, or one that a newer program wrote.
func openArchive(r io.ReaderAt, size int64, say func(string, ...any)) (*archive, error) {
	a := &archive{say: say, file: r, size: size, entries: map[string][]entry{}}
	whole := a.contents()
	if !whole {
		a.salvage()
	}
	if len(a.entries[headName]) == 0 && len(a.entries[recordsName]) == 0 && len(a.photos) == 0 {
		return nil, fmt.Errorf("%w: nothing of what belongs into one was found", ErrNoArchive)
	}
	if !whole {
		say("The table of contents is damaged or was cut off; what could be found in the archive was read.")
	}
	if err := a.readHead(); err != nil {
		return nil, err
	}
	a.readHashes()
	return a, nil
}

// salvage looks, once, for entries that the table of contents does not lead to.
// It tells whether it had not been done before.
func (a *archive) salvage() bool {
	if a.salvaged {
		return false
	}
	a.salvaged = true
	for _, e := range salvage(a.file, a.size) {
		a.take(e)
	}
	return true
}

// try returns entry number i of a name: the first is where the table of contents
// says, the others are asked for when that was no good.
func (a *archive) try(name string, i int) (entry, bool) {
	if i >= len(a.entries[name]) && !a.salvage() || i >= len(a.entries[name]) {
		return entry{}, false
	}
	return a.entries[name][i], true
}

// contents reads the table of contents and tells whether there is one.
func (a *archive) contents() bool {
	limited := &tableReader{ReaderAt: a.file, left: maxTable}
	z, err := zip.NewReader(limited, a.size)
	limited.left = -1
	if err != nil {
		return false
	}
	for _, f := range z.File {
		if strings.HasSuffix(f.Name, "/") && f.UncompressedSize64 == 0 {
			continue // a folder, which some programs list
		}
		start, err := f.DataOffset()
		if err != nil {
			start = -1
		}
		if !a.take(entry{f.Name, start, int64(f.CompressedSize64), f.Open}) {
			a.say("%s is no name of an archive; it was passed over.", shortName(f.Name))
		}
	}
	return true
}

// tableReader limits what is read while left is not negative.
type tableReader struct {
	io.ReaderAt
	left int64
}

func (t *tableReader) ReadAt(b []byte, at int64) (int, error) {
	if t.left >= 0 {
		if t.left -= int64(len(b)); t.left < 0 {
			t.left = 0
			return 0, errors.New("the table of contents is too long")
		}
	}
	return t.ReaderAt.ReadAt(b, at)
}

// take notes an entry of a known name; names are compared and never used as a
// path.
func (a *archive) take(e entry) bool {
	switch e.name {
	case headName, hashesName, recordsName, draftsName:
	default:
		if _, ok := photoName(e.name); !ok {
			return false
		}
		if len(a.entries[e.name]) == 0 {
			a.photos = append(a.photos, e)
		}
	}
	same := func(o entry) bool { return o.start == e.start && o.size == e.size }
	if e.start < 0 || !slices.ContainsFunc(a.entries[e.name], same) {
		a.entries[e.name] = append(a.entries[e.name], e)
	}
	return true
}

// photoName returns the sha256 that the name of a photo in an archive says.
func photoName(name string) (sha string, ok bool) {
	rest, ok := strings.CutPrefix(name, photosName)
	sha, end, dot := strings.Cut(rest, ".")
	return sha, ok && dot && ledger.IsSHA(sha) && (end == "jpg" || end == "png" || end == "webp")
}

// shortName is a name for a sentence.
func shortName(name string) string {
	if len(name) > 60 {
		name = name[:60] + "…"
	}
	return strconv.Quote(name)
}

// readHead reads tubewright.json. One that is damaged is said; only what is
// certainly of another version is an error.
func (a *archive) readHead() error {
	for i := 0; ; i++ {
		e, ok := a.try(headName, i)
		if !ok {
			break
		}
		b, err := readSmall(e, maxHead)
		var head archiveHead
		if err == nil {
			err = json.Unmarshal(b, &head)
		}
		if err != nil {
			a.say("%s cannot be read: %v.", headName, err)
			continue
		}
		if head.Version != archiveVersion {
			return fmt.Errorf("%w of version %d, which this program reads, but of version %d: a newer one may read it", ErrNoArchive, archiveVersion, head.Version)
		}
		a.head = head
		return nil
	}
	if len(a.entries[headName]) == 0 {
		a.say("%s is missing.", headName)
	}
	return nil
}

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
