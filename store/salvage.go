package store

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"encoding/binary"
	"errors"
	"hash"
	"hash/crc32"
	"io"
)

// salvage looks for the entries of a ZIP file from the front, by the header that
// stands before each, for a file whose table of contents is damaged or was cut
// off. Layout of the header: PKWARE APPNOTE 6.3, section 4.3.7 (from memory).
func salvage(r io.ReaderAt, size int64) (list []entry) {
	for at := int64(0); len(list) < maxSalvaged; {
		at = find(r, at, size, localMark)
		if at < 0 {
			return list
		}
		e, next, ok := localEntry(r, at, size)
		if !ok {
			at++
			continue
		}
		list = append(list, e)
		at = next
	}
	return list
}

const (
	maxSalvaged = 200_000
	localSize   = 30      // bytes of the fixed part of the header before an entry
	unknownSize = 1 << 3  // flag: sizes and checksum follow after the data
	maxName     = 1 << 10 // bytes of a name that can be ours
)

var (
	localMark      = []byte("PK\x03\x04")
	descriptorMark = []byte("PK\x07\x08")
)

// localEntry reads the header at a place; next is where to look for the one after
// it.
func localEntry(r io.ReaderAt, at, size int64) (e entry, next int64, ok bool) {
	head := make([]byte, localSize)
	if _, err := r.ReadAt(head, at); err != nil {
		return e, 0, false
	}
	u16 := func(i int) int64 { return int64(binary.LittleEndian.Uint16(head[i:])) }
	u32 := func(i int) int64 { return int64(binary.LittleEndian.Uint32(head[i:])) }
	flags, method, sum, packed, unpacked, nameLen, extraLen := u16(6), u16(8), uint32(u32(14)), u32(18), u32(22), u16(26), u16(28)
	if nameLen == 0 || nameLen > maxName || method != int64(zip.Store) && method != int64(zip.Deflate) {
		return e, 0, false
	}
	name := make([]byte, nameLen)
	if _, err := r.ReadAt(name, at+localSize); err != nil {
		return e, 0, false
	}
	start := at + localSize + nameLen + extraLen
	const larger = 0xffffffff // the sizes are elsewhere, because they need more bits
	known := flags&unknownSize == 0 && packed != larger && unpacked != larger
	end := min(start+packed, size)
	next = end
	if !known {
		next, end = start, size
		if method == int64(zip.Store) {
			if d := find(r, start, size, descriptorMark); d >= 0 {
				end = d
			}
		}
	}
	if start > end {
		return e, 0, false
	}
	open := func() (io.ReadCloser, error) {
		data := io.NewSectionReader(r, start, end-start)
		var body io.ReadCloser = io.NopCloser(data)
		if method == int64(zip.Deflate) {
			body = flate.NewReader(data)
		}
		if !known {
			return unsure{body}, nil
		}
		return &summed{ReadCloser: body, want: sum, size: unpacked, sum: crc32.NewIEEE()}, nil
	}
	return entry{string(name), start, end - start, open}, next, true
}

// find returns where a mark stands at or after a place, -1 when nowhere.
func find(r io.ReaderAt, at, size int64, mark []byte) int64 {
	buf := make([]byte, 64<<10)
	for at < size {
		n, err := r.ReadAt(buf[:min(int64(len(buf)), size-at)], at)
		if i := bytes.Index(buf[:n], mark); i >= 0 {
			return at + int64(i)
		}
		if err != nil || n < len(mark) {
			return -1
		}
		at += int64(n - len(mark) + 1) // a mark may lie across
		if at+int64(len(mark)) > size {
			return -1
		}
	}
	return -1
}

// summed reads an entry and compares size and checksum at its end.
type summed struct {
	io.ReadCloser
	want uint32
	size int64
	sum  hash.Hash32
	read int64
}

func (s *summed) Read(b []byte) (int, error) {
	n, err := s.ReadCloser.Read(b)
	s.sum.Write(b[:n])
	s.read += int64(n)
	if err == io.EOF && (s.read != s.size || s.sum.Sum32() != s.want) {
		err = zip.ErrChecksum
	}
	return n, err
}

// unsure reads an entry whose checksum is not known: its end is an error.
type unsure struct{ io.ReadCloser }

var errUnsure = errors.New("the checksum was not found")

func (u unsure) Read(b []byte) (int, error) {
	n, err := u.ReadCloser.Read(b)
	if err == io.EOF {
		err = errUnsure
	}
	return n, err
}
