package server

import (
	"context"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"tubewright/calc/ledger"
)

// Pairs is what the server needs of whatever keeps the devices that may connect.
// A token is known by its sha256 only.
type Pairs interface {
	// Pair lets a device in. One that was paired before gets the new token, name
	// and role; its old token is good for nothing from then on.
	Pair(ctx context.Context, p Paired, token [32]byte) error
	// PairedBy returns the device that has a token; known is false when none has.
	PairedBy(ctx context.Context, token [32]byte) (p Paired, known bool, err error)
	// AllPaired returns every device that was ever paired, the newest first.
	AllPaired(ctx context.Context) ([]Paired, error)
	RenamePaired(ctx context.Context, dev, name string) error
	// Revoke ends what a device may do; one that was revoked before keeps its time.
	Revoke(ctx context.Context, dev string, at time.Time) error
	// PutAside keeps beside the log what a device pushed and may not write, but
	// for what the log holds already, and no more of one device than the room.
	PutAside(ctx context.Context, dev string, raws []string, room AsideRoom) (Appended, error)
	// AsideOf counts what was put aside of each device.
	AsideOf(ctx context.Context) (map[string]AsideCount, error)
	// TakeIn appends what was put aside of a device under ids that the log does
	// not hold, and returns how many records that were.
	TakeIn(ctx context.Context, dev string) (int, error)
}

// AsideRoom is how much one device may have beside the log.
type AsideRoom struct {
	Records int
	Bytes   int64 // of their text
}

// AsideCount is what was put aside of one device.
type AsideCount struct {
	Open int       // records that TakeIn would append
	Used AsideRoom // of it and all else
}

// isFull tells whether there may be no room for one more record.
func (r AsideRoom) isFull(used AsideRoom) bool {
	return used.Records >= r.Records || used.Bytes > r.Bytes-recordBytes
}

// Paired is a device that may connect, or might until it was revoked.
type Paired struct {
	Dev     string // as it names itself in records
	Name    string // as the shop calls it
	Role    ledger.Role
	At      time.Time
	Revoked time.Time // zero while it may connect
}

const nameLength = 80 // characters of a device's name

// DeviceLine is a paired device as the shop page shows it.
type DeviceLine struct {
	Paired
	Heard  time.Time // when its program last spoke; zero when it never did
	Unsent int64     // records that it said were not yet in the shop
	Live   int       // open connections
	Copied bool      // two programs speak as this device at the same time
	Aside  int       // records of it that were put aside and could be taken in
	IsFull bool      // no more of it is put aside
}

// NewCode opens a code with which one device is let in, as whatever the shop calls
// it. A role that is not one of board, measure and bench counts as board.
func (s *Server) NewCode(role ledger.Role, name string) Code {
	if role != ledger.Measure && role != ledger.Bench {
		role = ledger.Board
	}
	name = strings.TrimSpace(strings.ToValidUTF8(name, ""))
	if n := []rune(name); len(n) > nameLength {
		name = string(n[:nameLength])
	}
	return s.codes.newCode(role, name)
}

// IsOpen tells whether a code, by its Secret, would let a device in now.
func (s *Server) IsOpen(secret string) bool { return s.codes.isOpen(secret) }

// Withdraw ends a code before its time.
func (s *Server) Withdraw(secret string) { s.codes.withdraw(secret) }

// Paired returns the devices that were ever paired, the newest first.
func (s *Server) Paired(ctx context.Context) ([]DeviceLine, error) {
	all, err := s.cfg.Pairs.AllPaired(ctx)
	if err != nil {
		return nil, err
	}
	aside, err := s.cfg.Pairs.AsideOf(ctx)
	if err != nil {
		return nil, err
	}
	lines := make([]DeviceLine, len(all))
	for i, p := range all {
		t := s.people.of(p.Dev)
		lines[i] = DeviceLine{Paired: p, Heard: t.last, Unsent: t.unsent, Live: s.hub.live(p.Dev), Copied: s.hub.isCopied(p.Dev), Aside: aside[p.Dev].Open, IsFull: s.lim.aside.isFull(aside[p.Dev].Used)}
	}
	return lines, nil
}

// Rename gives a device another name of 1 to 80 characters.
func (s *Server) Rename(ctx context.Context, dev, name string) error {
	name = strings.TrimSpace(name)
	if n := utf8.RuneCountInString(name); n < 1 || n > nameLength || !utf8.ValidString(name) {
		return fmt.Errorf("name %.100q has %d characters; allowed 1 to %d", name, n, nameLength)
	}
	if err := s.cfg.Pairs.RenamePaired(ctx, dev, name); err != nil {
		return err
	}
	s.people.rename(dev, name)
	s.board()
	return nil
}

// Revoke ends what a device may do, at once: its open connections are closed. What
// it still holds it may send for revokedTime, and that is put aside.
func (s *Server) Revoke(ctx context.Context, dev string) error {
	if err := s.cfg.Pairs.Revoke(ctx, dev, s.cfg.Now()); err != nil {
		return err
	}
	s.log.Info("revoked", "dev", dev)
	s.hub.sendOff(dev, bye("revoked", revokedText))
	s.people.hide(dev, true)
	s.people.forget(dev)
	s.board()
	return nil
}

// TakeIn puts into the log what was put aside of a device, and returns how many
// records that were. The device connects anew then, and sends what there was no
// room for.
func (s *Server) TakeIn(ctx context.Context, dev string) (int, error) {
	n, err := s.cfg.Pairs.TakeIn(ctx, dev)
	if err != nil {
		return 0, err
	}
	s.log.Info("taken in", "dev", dev, "records", n)
	if err := s.CameIn(ctx); err != nil {
		return n, err
	}
	s.hub.sendOff(dev, bye("resync", "the shop took in what it had put aside of this tablet"))
	return n, nil
}

// CameIn looks at what was appended by another way than a tablet's, and lets tablets and
// walls have it.
func (s *Server) CameIn(ctx context.Context) error {
	high, err := s.cfg.Log.High(ctx)
	if err != nil {
		return err
	}
	s.hub.reach(high)
	s.board()
	return nil
}
