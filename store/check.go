package store

import (
	"context"
	"errors"
	"fmt"
	"os"

	"github.com/jmoiron/sqlx"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
)

// maxFaults is how many faults a report lists; the rest are only counted.
const maxFaults = 100

// Report is what Check found.
type Report struct {
	Schema                      int
	Records, Quarantine, Paired int64      // Paired may connect; 0 before schema 3, which had no pairing
	High                        int64      // newest position
	Chain                       [32]byte   // at High, as stored
	SetAside                    []SetAside // what a person should look at, newest last; at most 100
	Photos                      PhotoReport
	Faults                      []string // sentences; none when the file is sound
	More                        int      // faults beyond those listed

	named map[string]bool // photos and previews that records speak of
}

// OK tells whether nothing was found.
func (r Report) OK() bool { return len(r.Faults) == 0 }

func (r *Report) fault(format string, args ...any) {
	if len(r.Faults) >= maxFaults {
		r.More++
		return
	}
	r.Faults = append(r.Faults, fmt.Sprintf(format, args...))
}

// Check tells whether a database and the photos beside it are sound, without
// changing them: what checkRecords says of the records, and for every photo that
// its bytes are there and have the sha256 that is its name. The error is for a
// file that cannot be opened or read at all; whatever could be read by then is in
// the report.
func Check(ctx context.Context, path string) (Report, error) {
	r, err := checkRecords(ctx, path)
	if err != nil || r.Schema < 2 { // schema 1 had no photos
		return r, err
	}
	if err := r.photos(ctx, path); err != nil {
		if ctx.Err() != nil {
			return r, fmt.Errorf("check %s: %w", path, ctx.Err())
		}
		r.fault("The photos cannot be checked: %v.", err)
	}
	return r, nil
}

// checkRecords runs SQLite's own check, looks for rows that point nowhere, and
// for every record that its position follows the one before, that its text still
// has the hash and the envelope that were stored beside it, and that the chain
// fits. A record that was taken off the end shows in the sequence, which remembers
// the highest position ever.
func checkRecords(ctx context.Context, path string) (Report, error) {
	r := Report{named: map[string]bool{}}
	if _, err := os.Stat(path); err != nil {
		return r, fmt.Errorf("check: %w", err)
	}
	db, err := connectReadOnly(path)
	if err != nil {
		return r, fmt.Errorf("check %s: %w", path, err)
	}
	defer db.Close()
	if r.Schema, err = readVersion(ctx, db); err != nil {
		return r, fmt.Errorf("check %s: %w", path, err)
	}
	if r.Schema > version {
		return r, fmt.Errorf("check %s: schema %d is newer than this program knows (%d)", path, r.Schema, version)
	}
	var says []string
	if err := db.SelectContext(ctx, &says, `SELECT integrity_check FROM pragma_integrity_check`); err != nil {
		r.fault("SQLite cannot check the file: %v.", err)
	}
	for _, s := range says {
		if s != "ok" {
			r.fault("SQLite says: %s.", s)
		}
	}
	for _, c := range []struct {
		into  *int64
		query string
	}{
		{&r.Records, `SELECT count(*) FROM records`},
		{&r.Quarantine, `SELECT count(*) FROM quarantine`},
		{&r.Paired, `SELECT count(*) FROM paired WHERE revoked_ms IS NULL`},
	} {
		if c.into == &r.Paired && r.Schema < 3 {
			continue
		}
		if err := db.GetContext(ctx, c.into, c.query); err != nil {
			r.fault("Rows cannot be counted: %v.", err)
		}
	}
	if err := r.asides(ctx, db); err != nil {
		r.fault("What was set aside cannot be read: %v.", err)
	}
	var broken int64
	if err := db.GetContext(ctx, &broken, `SELECT count(*) FROM pragma_foreign_key_check`); err != nil {
		r.fault("Rows that point nowhere cannot be counted: %v.", err)
	} else if broken > 0 {
		r.fault("%d rows point at rows that are not there.", broken)
	}
	if err := r.walk(ctx, db); err != nil {
		if ctx.Err() != nil {
			return r, fmt.Errorf("check %s: %w", path, ctx.Err())
		}
		r.fault("Records after position %d cannot be read: %v.", r.High, err)
	}
	var ever int64
	if err := db.GetContext(ctx, &ever, `SELECT coalesce(max(seq), 0) FROM sqlite_sequence WHERE name = 'records'`); err != nil {
		r.fault("The highest position ever cannot be read: %v.", err)
	} else if ever != r.High {
		r.fault("The log ends at position %d, but %d was given out: the records after it are gone.", r.High, ever)
	}
	return r, nil
}

// connectReadOnly opens a file so that nothing can be written, not even by
// folding the log back on closing.
func connectReadOnly(path string) (*sqlx.DB, error) {
	name, err := source(path, []setting{{"busy_timeout", "5000", "5000"}, {"query_only", "1", "1"}})
	if err != nil {
		return nil, err
	}
	db, err := sqlx.Open("sqlite", name+"&mode=ro")
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(2)
	return db, nil
}

type storedRow struct {
	Pos           int64
	ID, Dev, Kind string
	Job, Slot     string
	H, Raw, Chain []byte
}

// walk reads the log from its beginning and compares every row with the one
// before it and with its own text.
func (r *Report) walk(ctx context.Context, db *sqlx.DB) (err error) {
	rows, err := db.QueryxContext(ctx, `SELECT pos, id, dev, kind, job, slot, h, raw, chain FROM records ORDER BY pos`)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var row storedRow
		if err := rows.StructScan(&row); err != nil {
			return err
		}
		r.row(row)
	}
	return rows.Err()
}

func (r *Report) row(row storedRow) {
	if row.Pos != r.High+1 {
		r.fault("Position %d follows %d: records between are missing.", row.Pos, r.High)
	}
	where := fmt.Sprintf("Record %s at position %d", row.ID, row.Pos)
	h := chain.Of(string(row.Raw))
	if string(h[:]) != string(row.H) {
		r.fault("%s: its text is not what was stored: the hash differs.", where)
	}
	rec, err := ledger.Decode(string(row.Raw))
	if err != nil {
		r.fault("%s: its text is no record: %v.", where, err)
	} else if rec.ID != row.ID || rec.Dev != row.Dev || rec.Kind != row.Kind || rec.Job != row.Job || rec.Slot != row.Slot {
		r.fault("%s: id, device, kind, job or slot beside it differ from its text.", where)
	} else if p, ok := ledger.PhotoOf(rec); ok {
		r.named[p.SHA] = true
		if p.Preview != nil {
			r.named[p.Preview.SHA] = true
		}
	}
	want := chain.Next(r.Chain, row.ID, h)
	if string(want[:]) != string(row.Chain) {
		r.fault("%s: the chain does not fit what stands before it and its text.", where)
	}
	r.High = row.Pos
	r.Chain = [32]byte{}
	copy(r.Chain[:], row.Chain) // go on from what is stored, so that one fault is reported once
}
