package store

import (
	"context"
	"errors"
	"time"

	"github.com/jmoiron/sqlx"
)

// SetAside is a text that is not in the log: it has another one under that id, or
// the device that pushed it may not write it. A person looks.
type SetAside struct {
	ID    string
	Dev   string // device that pushed it
	Name  string // of that device, when it said one
	At    time.Time
	Kept  string // the text in the log, "" when there is none under that id
	Other string // the text that was set aside
}

func (r *Report) asides(ctx context.Context, db *sqlx.DB) (err error) {
	rows, err := db.QueryxContext(ctx, `
		SELECT q.id, q.dev, coalesce(d.name, '') AS name, q.recv_ms AS at, coalesce(r.raw, x'') AS kept, q.raw AS other
		FROM quarantine q LEFT JOIN records r ON r.id = q.id LEFT JOIN devices d ON d.dev = q.dev
		ORDER BY q.n DESC LIMIT ?`, maxFaults)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var row struct {
			ID, Dev, Name string
			At            int64
			Kept, Other   []byte
		}
		if err := rows.StructScan(&row); err != nil {
			return err
		}
		a := SetAside{row.ID, row.Dev, row.Name, time.UnixMilli(row.At), string(row.Kept), string(row.Other)}
		r.SetAside = append([]SetAside{a}, r.SetAside...)
	}
	return rows.Err()
}
