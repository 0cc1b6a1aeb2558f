package store

import (
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/jmoiron/sqlx"
)

var update = flag.Bool("update", false, "write the database of the newest schema where there is none")

// released is where one database of every released schema is kept.
const released = "../testdata/db"

// Every schema that was ever released opens, comes up to date and keeps its
// records. The files hold ten readings, one record set aside and one device, from
// schema 3 on a paired one.
func TestEveryReleasedSchemaOpens(t *testing.T) {
	newestFile := filepath.Join(released, fmt.Sprintf("v%d.db", version))
	if _, err := os.Stat(newestFile); err != nil && *update {
		makeReleased(t, newestFile)
	}
	files, err := filepath.Glob(filepath.Join(released, "v*.db"))
	if err != nil || len(files) != version {
		t.Fatalf("%d files for %d schemas (run with -update for the newest), %v", len(files), version, err)
	}
	for _, file := range files {
		path := copyFile(t, file)
		s := reopen(t, path)
		page, err := s.After(t.Context(), 0, 1<<20)
		if err != nil || len(page.Rows) != 10 {
			t.Fatalf("%s: %d records, %v", file, len(page.Rows), err)
		}
		for i, r := range page.Rows {
			if r.Raw != raw("tab1", i, int64(40_000_000+i)) {
				t.Errorf("%s: record %d is %s", file, i+1, r.Raw)
			}
		}
		paired := 1
		if strings.HasSuffix(file, "v1.db") || strings.HasSuffix(file, "v2.db") {
			paired = 0
		}
		if all, err := s.AllPaired(t.Context()); err != nil || len(all) != paired {
			t.Errorf("%s: paired %v, %v", file, all, err)
		}
		if a := push(t, s, raws("tab1", 8, 4)...); len(a.Known) != 2 || len(a.Stored) != 2 {
			t.Errorf("%s: append: %+v", file, a)
		}
		if r := mustCheck(t, path); !r.OK() || r.Quarantine != 1 || r.Paired != int64(paired) || r.Schema != version {
			t.Errorf("%s: %+v", file, r)
		}
	}
}

func makeReleased(t *testing.T, file string) {
	t.Helper()
	s, _ := testOpen(t)
	push(t, s, raws("tab1", 0, 10)...)
	push(t, s, raw("tab1", 3, 7))
	if err := s.Heard(t.Context(), "tab1", "Tablet 1", s.Now()); err != nil {
		t.Fatal(err)
	}
	pair(t, s, "tab1", "measure")
	if err := os.MkdirAll(released, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := copyAside(t.Context(), s.write, file); err != nil {
		t.Fatal(err)
	}
}

func copyFile(t *testing.T, from string) string {
	t.Helper()
	b, err := os.ReadFile(from)
	if err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(t.TempDir(), "shop.db")
	if err := os.WriteFile(to, b, 0o644); err != nil {
		t.Fatal(err)
	}
	return to
}

// later is a schema of the future, to try migrations with.
func later(texts ...string) schema {
	sc := newest()
	for i, text := range texts {
		sc.version = version + i + 1
		sc.migrations = append(sc.migrations, migration{sc.version, fmt.Sprintf("%02d-try.sql", sc.version), text})
	}
	return sc
}

const addSize = `
ALTER TABLE records ADD COLUMN size INTEGER NOT NULL DEFAULT 0;
UPDATE records SET size = length(raw);`

const addPieces = `
CREATE TABLE pieces (sha TEXT PRIMARY KEY NOT NULL, pos INTEGER NOT NULL REFERENCES records (pos)) STRICT;
INSERT INTO pieces (sha, pos) SELECT id, pos FROM records;`

func oldFile(t *testing.T) (path string, before Report) {
	t.Helper()
	s, path := testOpen(t)
	push(t, s, raws("a", 0, 10)...)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return path, mustCheck(t, path)
}

func TestMigrationsRunInOrderWithACopyAside(t *testing.T) {
	path, before := oldFile(t)
	sc := later(addSize, addPieces)
	for range 2 { // the second time there is nothing to do
		s, err := open(t.Context(), path, sc)
		if err != nil {
			t.Fatal(err)
		}
		var pieces, unsized int
		if err := s.read.Get(&pieces, `SELECT count(*) FROM pieces`); err != nil || pieces != 10 {
			t.Errorf("%d pieces, %v", pieces, err)
		}
		if err := s.read.Get(&unsized, `SELECT count(*) FROM records WHERE size != length(raw)`); err != nil || unsized != 0 {
			t.Errorf("%d without size, %v", unsized, err)
		}
		if have, err := readVersion(t.Context(), s.read); err != nil || have != sc.version {
			t.Errorf("schema %d, %v", have, err)
		}
		if _, chain, err := end(t.Context(), s.read); err != nil || chain != before.Chain {
			t.Errorf("chain %x, %v", chain, err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	aside := fmt.Sprintf("%s.before-v%d", path, sc.version)
	if r := mustCheck(t, aside); !r.OK() || r.Chain != before.Chain || r.Schema != version {
		t.Errorf("copy aside: %+v", r)
	}
	if left, err := filepath.Glob(path + "*.part"); len(left) > 0 || err != nil {
		t.Errorf("left over: %v, %v", left, err)
	}
}

// A migration that breaks off leaves the file as it was before that one; the
// ones before it stay, and the next start goes on from there.
func TestBrokenMigrationKeepsNothingOfItself(t *testing.T) {
	for name, bad := range map[string]string{
		"wrong SQL":    addPieces + `INSERT INTO nowhere VALUES (1);`,
		"broken links": `PRAGMA defer_foreign_keys = 1;` + addPieces + `INSERT INTO pieces (sha, pos) VALUES ('x', 999);`,
	} {
		path, before := oldFile(t)
		if _, err := open(t.Context(), path, later(addSize, bad)); err == nil || !strings.Contains(err.Error(), fmt.Sprintf("schema %d (", version+2)) {
			t.Errorf("%s: open: %v", name, err)
		}
		db, err := connect(path, readSettings, 1)
		if err != nil {
			t.Fatal(err)
		}
		var tables []string
		if err := db.Select(&tables, `SELECT name FROM sqlite_schema WHERE name = 'pieces'`); err != nil || len(tables) != 0 {
			t.Errorf("%s: tables %v, %v", name, tables, err)
		}
		if have, err := readVersion(t.Context(), db); err != nil || have != version+1 {
			t.Errorf("%s: schema %d, %v", name, have, err)
		}
		db.Close()
		if r := mustCheck(t, fmt.Sprintf("%s.before-v%d", path, version+2)); !r.OK() || r.Chain != before.Chain {
			t.Errorf("%s: copy aside: %+v", name, r)
		}
		s, err := open(t.Context(), path, later(addSize, addPieces))
		if err != nil {
			t.Fatal(err)
		}
		if high, err := s.High(t.Context()); err != nil || high != 10 {
			t.Errorf("%s: high %d, %v", name, high, err)
		}
		s.Close()
	}
}

// Rows that point nowhere, made by another program that did not look, stop the
// next migration rather than be carried along.
func TestMigrationRefusesRowsThatPointNowhere(t *testing.T) {
	path, _ := oldFile(t)
	s, err := open(t.Context(), path, later(addPieces))
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	db := sqlx.MustOpen("sqlite", path)
	db.MustExec(`INSERT INTO pieces (sha, pos) VALUES ('x', 999)`)
	db.Close()
	if _, err := open(t.Context(), path, later(addPieces, addSize)); err == nil || !strings.Contains(err.Error(), "1 rows would point") {
		t.Errorf("open: %v", err)
	}
}

func TestFilesOfOthersAreRefused(t *testing.T) {
	path, _ := oldFile(t)
	newer, err := open(t.Context(), path, later(addSize))
	if err != nil {
		t.Fatal(err)
	}
	newer.Close()
	if _, err := Open(t.Context(), path); err == nil || !strings.Contains(err.Error(), fmt.Sprintf("newer program (schema %d", version+1)) {
		t.Errorf("newer: %v", err)
	}
	if _, err := Check(t.Context(), path); err == nil || !strings.Contains(err.Error(), "newer") {
		t.Errorf("check newer: %v", err)
	}
	other := filepath.Join(t.TempDir(), "other.db")
	db := sqlx.MustOpen("sqlite", other)
	db.MustExec(`CREATE TABLE songs (title TEXT)`)
	db.Close()
	if _, err := Open(t.Context(), other); err == nil || !strings.Contains(err.Error(), "something else") {
		t.Errorf("other: %v", err)
	}
	text := filepath.Join(t.TempDir(), "letter.db")
	if err := os.WriteFile(text, []byte(strings.Repeat("Dear customer, ", 500)), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(t.Context(), text); err == nil {
		t.Error("a letter was opened")
	}
	if b, err := os.ReadFile(text); err != nil || !strings.HasPrefix(string(b), "Dear customer") {
		t.Errorf("the letter is now %.20q, %v", b, err)
	}
}

// The schema says what each table and column is for.
func TestSchemaFilesExplainThemselves(t *testing.T) {
	sc := newest()
	if len(sc.make) < 4 {
		t.Fatalf("%d files", len(sc.make))
	}
	for _, s := range sc.make {
		name := strings.Fields(s[strings.Index(s, "CREATE TABLE "):])[2]
		if !strings.HasPrefix(s, "-- "+name+" ") || !strings.Contains(s, "STRICT") {
			t.Errorf("table %s: no comment before it, or not STRICT", name)
		}
	}
	if !slices.IsSortedFunc(sc.migrations, func(a, b migration) int { return a.to - b.to }) {
		t.Error("migrations out of order")
	}
}

// A file that was brought forward has the tables that a new one gets, and the copy
// aside is the file as it was.
func TestMigratedFileHasTheTablesOfANewOne(t *testing.T) {
	tables := func(s *Store) map[string]string {
		var rows []struct{ Name, SQL string }
		if err := s.read.Select(&rows, `SELECT name, coalesce(sql, '') AS sql FROM sqlite_schema`); err != nil {
			t.Fatal(err)
		}
		m := map[string]string{}
		for _, r := range rows {
			var plain []string
			for line := range strings.Lines(r.SQL) {
				code, _, _ := strings.Cut(line, "--")
				plain = append(plain, strings.Fields(code)...)
			}
			m[r.Name] = strings.Join(plain, " ")
		}
		return m
	}
	fresh, _ := testOpen(t)
	want := tables(fresh)
	for from := 1; from < version; from++ {
		file := filepath.Join(released, fmt.Sprintf("v%d.db", from))
		before := mustCheck(t, file)
		path := copyFile(t, file)
		s := reopen(t, path)
		if got := tables(s); !maps.Equal(got, want) {
			t.Errorf("from schema %d: %v, want %v", from, got, want)
		}
		aside := fmt.Sprintf("%s.before-v%d", path, version)
		if r := mustCheck(t, aside); !r.OK() || r.Schema != from || r.Chain != before.Chain || r.High != before.High {
			t.Errorf("copy aside: %+v", r)
		}
		b, m := testPhoto(90, 40, 40)
		send(t, s, b, m)
		push(t, s, denyRecord("x", 1, m.SHA))
		if r := mustCheck(t, path); !r.OK() || r.Photos.Denied != 1 {
			t.Errorf("%+v", r)
		}
	}
}
