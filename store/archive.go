package store

import (
	"archive/zip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"tubewright/calc/ledger"
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
	Pack    string `json:"pack,omitempty"` // id of the job of which it is the record pack
}

// archive reads an archive file, of which any byte may be wrong.
type archive struct {
	head   archiveHead
	photos []entry
	papers int                              // found; they are for people and stay in the file
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
		if isPaper(e.name) {
			if len(a.entries[e.name]) == 0 {
				a.papers++
			}
			break
		}
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
