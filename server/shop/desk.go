package shop

import (
	"context"
	"io"
	"time"

	"tubewright/calc/ledger"
)

// Desk is what the page of the shop machine works on.
type Desk interface {
	// State returns what the page shows.
	State(ctx context.Context) (State, error)
	// NewCode opens a code that lets one device in, once.
	NewCode(role ledger.Role, name string) Code
	// IsOpen tells whether a code, by its Secret, would let a device in now.
	IsOpen(secret string) bool
	// Withdraw ends a code, by its Secret, before its time.
	Withdraw(secret string)
	// Rename gives a device another name.
	Rename(ctx context.Context, dev, name string) error
	// Revoke ends what a device may do, at once.
	Revoke(ctx context.Context, dev string) error
	// Aside returns the first of what was set aside from a device and could be taken
	// in, at most 20.
	Aside(ctx context.Context, dev string) ([]SetAside, error)
	// TakeIn puts what was set aside from a device into the records and returns how
	// many records that were.
	TakeIn(ctx context.Context, dev string) (int, error)
	// Import takes in an archive and says what became of it, a sentence each; also with
	// an error, which is for what could not be taken in at all.
	Import(ctx context.Context, from io.Reader) (said []string, err error)
}

// State is the shop machine as its page shows it.
type State struct {
	Origin      string    // where tablets find the app: https://tubewright.local:8411
	Trust       []string  // addresses of the trust page, the likeliest first; none with a certificate of one's own
	Fingerprint string    // of the shop's authority, SHA-256 in pairs; empty with a certificate of one's own
	Until       time.Time // when the authority, or the certificate of one's own, ends
	Warnings    []string  // in sentences, the gravest first
	Devices     []Device  // paired ones, in the order to show
	Jobs        []Job     // in the order to show
	Backup      Backup
	Data        string // folder
	Version     string // of the program
}

// Device is one that was paired.
type Device struct {
	Dev, Name string
	Role      ledger.Role
	At        time.Time // of pairing
	Revoked   time.Time // zero while it may connect
	Heard     time.Time // zero when it never was
	Unsent    int64     // entries that it had not sent when it was last heard
	Live      int       // connections open now
	Copied    bool      // two of them act as this device at the same time
	Aside     int       // entries of it that were set aside and can be taken in
	IsFull    bool      // no more of it is set aside
	Asks      string    // what it needs after this machine changed, empty when nothing
}

// Job is one of which a record pack can be had.
type Job struct{ ID, Name, Stage string }

// SetAside is a record that TakeIn would take in, in words.
type SetAside struct {
	Job, Slot, Value string
	Who              string    // wrote it; empty when nobody is named
	At               time.Time // by the device's clock, or of arrival
}

// Backup is the newest one that works.
type Backup struct {
	Folder   string
	At       time.Time // zero when there is none
	SameDisk bool      // as the data
	Wrong    string    // why the folder cannot be read, empty when it can
}

// Code lets one device in, once.
type Code struct {
	Secret string // for a QR code
	Short  string // for typing, 8 signs
	Role   ledger.Role
	Name   string
	Until  time.Time
}
