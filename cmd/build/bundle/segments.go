package bundle

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
)

// zerosFrom is from how many zeros on a module begins a new segment of data rather than
// write them out.
const zerosFrom = 256

// dataSection is the id of a module's section of data (WebAssembly Core Specification
// 1.0, 5.5.14).
const dataSection = 11

// JoinSegments returns the module with what it puts into its memory in few large pieces.
// The linker leaves out every eight zeros, and so cuts the data into 80,000 pieces that
// each say where they go: figures that cannot be packed, where zeros can. On the wire the
// first module becomes 7 % less, unpacked it becomes 12 % more: zeros, none of it code, and
// the memory that it fills is the same.
func JoinSegments(wasm []byte) ([]byte, error) {
	if len(wasm) < 8 || string(wasm[:4]) != "\x00asm" {
		return nil, errors.New("read the compiled wasm: it does not begin as a module")
	}
	out := bytes.Clone(wasm[:8])
	for r := (reader{left: wasm[8:]}); len(r.left) > 0; {
		id := r.take(1)
		body := r.take(r.size())
		if r.failed {
			return nil, errors.New("read the compiled wasm: a section is cut off")
		}
		if id[0] == dataSection {
			joined, err := joinData(body)
			if err != nil {
				return nil, fmt.Errorf("read the data of the compiled wasm: %w", err)
			}
			body = joined
		}
		out = append(appendSize(append(out, id[0]), len(body)), body...)
	}
	return out, nil
}

// segment is what goes to one place of the memory.
type segment struct {
	at   int
	data []byte
}

// joinData writes a section of data anew.
func joinData(section []byte) ([]byte, error) {
	list, err := readData(section)
	if err != nil {
		return nil, err
	}
	var joined []segment
	for _, s := range list {
		last := len(joined) - 1
		if last >= 0 {
			p := &joined[last]
			gap := s.at - p.at - len(p.data)
			if gap < 0 {
				return nil, fmt.Errorf("segments go to the same place, %d", s.at)
			}
			if gap < zerosFrom {
				p.data = append(append(p.data, make([]byte, gap)...), s.data...)
				continue
			}
		}
		joined = append(joined, segment{s.at, bytes.Clone(s.data)})
	}
	out := appendSize(nil, len(joined))
	for _, s := range joined {
		out = append(appendOffset(append(out, 0, i32Const), s.at), end)
		out = append(appendSize(out, len(s.data)), s.data...)
	}
	return out, nil
}

// readData reads the segments of a section of data, in the order of their places. Each
// has to go into memory 0 at a place that is written down.
func readData(section []byte) ([]segment, error) {
	r := reader{left: section}
	var list []segment
	for n, i := r.size(), 1; i <= n; i++ {
		kind, op := r.take(1), r.take(1)
		if kind[0] != 0 || op[0] != i32Const {
			return nil, fmt.Errorf("segment %d of %d does not go to a place that is written down", i, n)
		}
		s := segment{at: r.offset()}
		ends := r.take(1)
		s.data = r.take(r.size())
		if r.failed || ends[0] != end {
			return nil, fmt.Errorf("segment %d of %d is not whole", i, n)
		}
		list = append(list, s)
	}
	if r.failed || len(r.left) > 0 {
		return nil, fmt.Errorf("%d bytes follow the last segment", len(r.left))
	}
	slices.SortStableFunc(list, func(a, b segment) int { return cmp.Compare(a.at, b.at) })
	return list, nil
}

// The instructions by which a segment says where it goes (the same, 5.4).
const (
	i32Const = 0x41
	end      = 0x0b
)

// reader reads the parts of a module; failed tells that one was not whole, and nothing
// that was read since is of use.
type reader struct {
	left   []byte
	failed bool
}

// take returns the next n bytes; where there are fewer, n zeros of up to one.
func (r *reader) take(n int) []byte {
	if n < 0 || n > len(r.left) {
		r.failed = true
		return make([]byte, 1)
	}
	b := r.left[:n]
	r.left = r.left[n:]
	return b
}

// size reads a number without a sign (LEB128).
func (r *reader) size() int {
	v, n := binary.Uvarint(r.left)
	if n <= 0 || v > 1<<32-1 {
		r.failed = true
		return 0
	}
	r.left = r.left[n:]
	return int(v)
}

// offset reads a number with a sign (signed LEB128), which must not be below zero.
func (r *reader) offset() int {
	v, n := binary.Uvarint(r.left)
	if n <= 0 || n > 5 || v>>(7*n-1)&1 == 1 {
		r.failed = true
		return 0
	}
	r.left = r.left[n:]
	return int(v)
}

// appendSize writes a number without a sign.
func appendSize(b []byte, n int) []byte { return binary.AppendUvarint(b, uint64(n)) }

// appendOffset writes a number that is not below zero as one with a sign.
func appendOffset(b []byte, v int) []byte {
	for ; v > 0x3f; v >>= 7 {
		b = append(b, byte(v)&0x7f|0x80)
	}
	return append(b, byte(v))
}
