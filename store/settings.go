package store

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"strings"

	"github.com/jmoiron/sqlx"
)

// setting is one PRAGMA: how it is set for every connection, and how SQLite
// reads it back when it holds.
type setting struct{ name, set, reads string }

// The settings go in the data source name, because the pool opens connections
// when it likes and a PRAGMA run once reaches one of them. The waiting time comes
// first, so that it holds while the others are set.
var (
	writeSettings = []setting{
		{"busy_timeout", "5000", "5000"},               // ms to wait for another program, e.g. a backup
		{"journal_mode", "WAL", "wal"},                 // readers do not block the writer
		{"synchronous", "FULL", "2"},                   // a commit is on the disk before it is acknowledged
		{"foreign_keys", "1", "1"},                     // SQLite leaves them off
		{"journal_size_limit", "67108864", "67108864"}, // bytes that the log keeps after it was folded back
		{"query_only", "0", "0"},                       // this is the handle that writes
	}
	readSettings = append(append([]setting{}, writeSettings[:len(writeSettings)-1]...), setting{"query_only", "1", "1"})
)

// source returns the data source name for a file.
func source(path string, settings []setting) (string, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	abs = filepath.ToSlash(abs)
	if !strings.HasPrefix(abs, "/") {
		abs = "/" + abs // a drive letter
	}
	var q []string
	for _, p := range settings {
		q = append(q, "_pragma="+p.name+"("+p.set+")")
	}
	q = append(q, "_txlock=immediate") // a transaction that reads first and writes later would fail at once
	return (&url.URL{Scheme: "file", Path: abs}).String() + "?" + strings.Join(q, "&"), nil
}

func connect(path string, settings []setting, conns int) (*sqlx.DB, error) {
	name, err := source(path, settings)
	if err != nil {
		return nil, err
	}
	db, err := sqlx.Open("sqlite", name)
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(conns)
	db.SetMaxIdleConns(conns)
	return db, nil
}

// verify opens all connections of a pool at once and reads every setting back on
// each. A setting that does not hold is an error that names it.
func verify(ctx context.Context, db *sqlx.DB, settings []setting, conns int) (err error) {
	for i := range conns {
		c, cerr := db.Connx(ctx)
		if cerr != nil {
			return fmt.Errorf("connection %d: %w", i+1, cerr)
		}
		defer func() { err = errors.Join(err, c.Close()) }()
		for _, p := range settings {
			var got string
			if err := c.GetContext(ctx, &got, "PRAGMA "+p.name); err != nil {
				return fmt.Errorf("read setting %s on connection %d: %w", p.name, i+1, err)
			}
			if got != p.reads {
				return fmt.Errorf("setting %s is %s on connection %d, not %s", p.name, got, i+1, p.reads)
			}
		}
	}
	return nil
}
