package server

import (
	"context"
	"time"

	"tubewright/calc/ledger"
)

// Log is what the server needs of whatever keeps the records. Positions count
// from 1 in order of arrival; 0 stands before the first record. The chain at a
// position is chain.Next over all records up to it, all zero at 0.
type Log interface {
	// Append stores what is new of raws, in this order and in one transaction,
	// and returns when it is on disk. A record that cannot be kept under its id
	// is set aside, not refused.
	Append(ctx context.Context, dev string, raws []string) (Appended, error)
	// After returns the records that follow pos, oldest first, until their text
	// reaches maxBytes; at least one when there is one.
	After(ctx context.Context, pos int64, maxBytes int) (Page, error)
	// ChainAt returns the chain at pos; ok is false where the log has no pos.
	ChainAt(ctx context.Context, pos int64) (chain [32]byte, ok bool, err error)
	// High returns the position of the newest record, 0 when there is none.
	High(ctx context.Context) (int64, error)
	// Job returns the records of one job in order of arrival.
	Job(ctx context.Context, job string) ([]ledger.Record, error)
	// BackedPos returns the position up to which the newest good backup goes, 0
	// when there is none.
	BackedPos(ctx context.Context) (int64, error)
	// Aside returns how many records were set aside.
	Aside(ctx context.Context) (int64, error)
	// Heard notes when a device last spoke.
	Heard(ctx context.Context, dev, name string, at time.Time) error
	// Devices returns every device that was ever noted.
	Devices(ctx context.Context) ([]Device, error)
}

// Appended says what became of the records of one push, by id.
type Appended struct {
	Stored      []string // new, now in the log
	Known       []string // already there with the same bytes
	Quarantined []string // the id is there with other bytes: set aside
	NoRoom      []string // not set aside: the device has as much there as it may
	Pos         int64    // newest position of the log after the append
}

// Page is a run of the log: the records after From up to To, and the chain at To.
type Page struct {
	From, To int64
	Rows     []Row
	Chain    [32]byte
}

// Row is one record of the log, byte for byte as it was pushed.
type Row struct {
	Pos int64
	ID  string
	Raw string
}

// Device is a tablet that the log has heard of.
type Device struct {
	Dev, Name string
	Heard     time.Time
}
