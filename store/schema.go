package store

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/jmoiron/sqlx"
)

// version is the schema that sql/schema makes.
const version = 3

//go:embed sql
var sqlFiles embed.FS

// schema is how a database is made and how older ones get there.
type schema struct {
	version    int
	make       []string    // statements that make the newest tables
	migrations []migration // from 2 to version, in order
}

type migration struct {
	to   int
	name string
	text string
}

// newest returns the schema of this program. It panics when the files that it
// was built with do not fit together, which a test notices first.
func newest() schema {
	sc := schema{version: version}
	for _, name := range files("sql/schema") {
		sc.make = append(sc.make, text(name))
	}
	for _, name := range files("sql/migrate") {
		num, _, _ := strings.Cut(filepath.Base(name), "-")
		to, err := strconv.Atoi(num)
		if err != nil || to != len(sc.migrations)+2 {
			panic("store: bug: migration out of order: " + name)
		}
		sc.migrations = append(sc.migrations, migration{to, filepath.Base(name), text(name)})
	}
	if len(sc.migrations) != version-1 {
		panic("store: bug: migrations do not end at the newest schema")
	}
	return sc
}

func files(dir string) []string {
	names, err := fs.Glob(sqlFiles, dir+"/*.sql")
	if err != nil {
		panic("store: bug: " + err.Error())
	}
	slices.Sort(names)
	return names
}

func text(name string) string {
	b, err := sqlFiles.ReadFile(name)
	if err != nil {
		panic("store: bug: " + err.Error())
	}
	return string(b)
}

// apply makes the tables in an empty file and brings older ones up to date.
func (sc schema) apply(ctx context.Context, db *sqlx.DB, path string) error {
	made, err := sc.create(ctx, db)
	if err != nil || made {
		return err
	}
	have, err := readVersion(ctx, db)
	if err != nil {
		return err
	}
	if have > sc.version {
		return fmt.Errorf("the file was written by a newer program (schema %d, this one knows up to %d): start the newer program, or restore a backup from before it", have, sc.version)
	}
	if have == sc.version {
		return nil
	}
	aside := fmt.Sprintf("%s.before-v%d", path, sc.version)
	if err := copyAside(ctx, db, aside); err != nil {
		return fmt.Errorf("copy aside to %s before migrating: %w", aside, err)
	}
	return sc.migrate(ctx, db)
}

// migrate runs what a file lacks of the migrations.
func (sc schema) migrate(ctx context.Context, db *sqlx.DB) error {
	have, err := readVersion(ctx, db)
	if err != nil {
		return err
	}
	for _, m := range sc.migrations {
		if m.to <= have {
			continue
		}
		if err := m.run(ctx, db); err != nil {
			return fmt.Errorf("migrate to schema %d (%s), nothing of it was kept: %w", m.to, m.name, err)
		}
	}
	return nil
}

// create makes the newest tables when the file holds none.
func (sc schema) create(ctx context.Context, db *sqlx.DB) (made bool, err error) {
	tx, err := db.BeginTxx(ctx, nil)
	if err != nil {
		return false, err
	}
	defer tx.Rollback()
	var tables int
	if err := tx.GetContext(ctx, &tables, `SELECT count(*) FROM sqlite_schema`); err != nil {
		return false, err
	}
	if tables > 0 {
		return false, nil
	}
	for _, s := range sc.make {
		if _, err := tx.ExecContext(ctx, s); err != nil {
			return false, fmt.Errorf("make tables: %w", err)
		}
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO meta (key, value) VALUES ('schema', ?)`, strconv.Itoa(sc.version)); err != nil {
		return false, fmt.Errorf("write schema version: %w", err)
	}
	return true, tx.Commit()
}

type getter interface {
	GetContext(ctx context.Context, into any, query string, args ...any) error
}

func readVersion(ctx context.Context, db getter) (int, error) {
	var tables int
	if err := db.GetContext(ctx, &tables, `SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name IN ('meta', 'records')`); err != nil {
		return 0, err
	}
	if tables != 2 {
		return 0, errors.New("the file is a database of something else: it has no tables of ours")
	}
	var text string
	if err := db.GetContext(ctx, &text, `SELECT value FROM meta WHERE key = 'schema'`); err != nil {
		return 0, fmt.Errorf("read schema version: %w", err)
	}
	v, err := strconv.Atoi(text)
	if err != nil || v < 1 {
		return 0, fmt.Errorf("schema version is %q, not a number from 1", text)
	}
	return v, nil
}

// run does one migration together with its version row, all or nothing.
func (m migration) run(ctx context.Context, db *sqlx.DB) error {
	tx, err := db.BeginTxx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	have, err := readVersion(ctx, tx)
	if err != nil {
		return err
	}
	if have != m.to-1 {
		return fmt.Errorf("the file is at schema %d now: is another program using it?", have)
	}
	if _, err := tx.ExecContext(ctx, m.text); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `UPDATE meta SET value = ? WHERE key = 'schema'`, strconv.Itoa(m.to)); err != nil {
		return err
	}
	var broken int // the PRAGMA run with Exec reports nothing
	if err := tx.GetContext(ctx, &broken, `SELECT count(*) FROM pragma_foreign_key_check`); err != nil {
		return err
	}
	if broken > 0 {
		return fmt.Errorf("%d rows would point at rows that are not there", broken)
	}
	return tx.Commit()
}

// copyAside writes a whole, checked copy of the database to path: under another
// name first, so that path is there only when it is good. An older file of that
// name comes from an attempt that did not finish and is replaced.
func copyAside(ctx context.Context, db *sqlx.DB, path string) error {
	half := path + ".part"
	if err := os.Remove(half); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := vacuumInto(ctx, db, half); err != nil {
		return err
	}
	if err := sound(ctx, half); err != nil {
		return err
	}
	if err := syncFile(half); err != nil {
		return err
	}
	if err := os.Rename(half, path); err != nil {
		return err
	}
	return syncDir(filepath.Dir(path))
}

// sound runs SQLite's own check on a file.
func sound(ctx context.Context, path string) error {
	db, err := connect(path, []setting{{"query_only", "1", "1"}}, 1)
	if err != nil {
		return err
	}
	defer db.Close()
	var says []string
	if err := db.SelectContext(ctx, &says, `SELECT integrity_check FROM pragma_integrity_check`); err != nil {
		return fmt.Errorf("check %s: %w", path, err)
	}
	if len(says) != 1 || says[0] != "ok" {
		return fmt.Errorf("check %s: %s", path, strings.Join(says, "; "))
	}
	return nil
}
