package store

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// These make the test program the victim, on the file named there.
const (
	appendEnv  = "STORE_TEST_APPEND"  // appends until it is killed
	migrateEnv = "STORE_TEST_MIGRATE" // migrates, then waits to be killed
	stepEnv    = "STORE_TEST_STEP"    // kills itself at that step of what another variable names
	sendEnv    = "STORE_TEST_SEND"    // takes in a photo
	backupEnv  = "STORE_TEST_BACKUP"  // backs up
	restoreEnv = "STORE_TEST_RESTORE" // restores the newest backup
)

func TestMain(m *testing.M) {
	if path := os.Getenv(appendEnv); path != "" {
		appendUntilKilled(path)
	}
	if path := os.Getenv(migrateEnv); path != "" {
		migrateAndWait(path)
	}
	for env, do := range map[string]func(string) error{sendEnv: sendAll, backupEnv: backUp, restoreEnv: restoreNewest} {
		if path := os.Getenv(env); path != "" {
			if err := do(path); err != nil {
				fmt.Fprintln(os.Stderr, err)
				os.Exit(1)
			}
			os.Exit(0)
		}
	}
	os.Exit(m.Run())
}

// appendUntilKilled prints every id once it is acknowledged.
func appendUntilKilled(path string) {
	s, err := Open(context.Background(), path)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	rnd := rand.New(rand.NewPCG(uint64(os.Getpid()), 0))
	dev := fmt.Sprintf("p%d", os.Getpid())
	fmt.Println("ready")
	for n := 0; ; {
		batch := raws(dev, n, 1+rnd.IntN(20))
		n += len(batch)
		a, err := s.Append(context.Background(), dev, batch)
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		for _, id := range a.Stored {
			fmt.Println(id)
		}
	}
}

// I8, K9: the program is killed at ten random moments. Nothing that it
// acknowledged is missing, and what is there is whole. (A power cut cannot be
// tried this way; for that there is synchronous=FULL, which another test reads.)
func TestDB9KilledStoreLosesNothingAcknowledged(t *testing.T) {
	const seed = 1
	rnd := rand.New(rand.NewPCG(seed, 0))
	path := filepath.Join(t.TempDir(), "shop.db")
	acked := map[string]bool{}
	for round := range 10 {
		life := time.Duration(1+rnd.IntN(120)) * time.Millisecond
		for _, id := range killedAfter(t, appendEnv, path, life) {
			acked[id] = true
		}
		r := mustCheck(t, path) // before anything is repaired by opening
		if !r.OK() {
			t.Fatalf("seed %d round %d: %+v", seed, round, r)
		}
		s, err := Open(t.Context(), path)
		if err != nil {
			t.Fatal(err)
		}
		there := map[string]bool{}
		pos, chain := follow(t, s, 0, [32]byte{}, func(id string) { there[id] = true })
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		for id := range acked {
			if !there[id] {
				t.Errorf("seed %d round %d: acknowledged %s is missing", seed, round, id)
			}
		}
		if r := mustCheck(t, path); !r.OK() || r.High != pos || r.Chain != chain {
			t.Fatalf("seed %d round %d: %+v", seed, round, r)
		}
	}
	t.Logf("%d records acknowledged, none lost", len(acked))
	if len(acked) == 0 {
		t.Error("nothing was acknowledged: the test says nothing")
	}
}

func migrateAndWait(path string) {
	fmt.Println("ready")
	if _, err := open(context.Background(), path, later(addSize, addPieces)); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	fmt.Println("done")
	time.Sleep(time.Minute)
}

// A program killed anywhere in a migration leaves a file at one schema or
// another, never between, with every record; the next start finishes the work.
func TestKilledMigrationCanBeFinished(t *testing.T) {
	const seed = 2
	rnd := rand.New(rand.NewPCG(seed, 0))
	s, path := testOpen(t)
	for i := range 3 {
		push(t, s, raws("a", 200*i, 200)...)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	before := mustCheck(t, path)
	reached := map[int]int{}
	for round := range 8 {
		file := copyFile(t, path)
		killedAfter(t, migrateEnv, file, time.Duration(rnd.IntN(150))*time.Millisecond)
		db, err := connect(file, readSettings, 1)
		if err != nil {
			t.Fatal(err)
		}
		have, err := readVersion(t.Context(), db)
		if err != nil {
			t.Fatalf("seed %d round %d: %v", seed, round, err)
		}
		db.Close()
		reached[have]++
		s, err := open(t.Context(), file, later(addSize, addPieces))
		if err != nil {
			t.Fatalf("seed %d round %d: %v", seed, round, err)
		}
		pos, chain := follow(t, s, 0, [32]byte{}, func(string) {})
		var pieces int
		if err := s.read.Get(&pieces, `SELECT count(*) FROM pieces`); err != nil || pieces != 600 || pos != 600 || chain != before.Chain {
			t.Errorf("seed %d round %d: at schema %d when killed: %d pieces, %d records, chain %x, %v", seed, round, have, pieces, pos, chain, err)
		}
		s.Close()
	}
	t.Logf("schema when killed: %v", reached)
}

// killedAfter runs a victim, kills it some time after it is ready, and returns
// the lines that it had printed by then.
func killedAfter(t *testing.T, env, path string, life time.Duration) (lines []string) {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe)
	cmd.Env = append(os.Environ(), env+"="+path)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	printed := bufio.NewReader(out)
	if ready, err := printed.ReadString('\n'); err != nil || ready != "ready\n" {
		t.Fatalf("victim says %q, %v", ready, err)
	}
	timer := time.AfterFunc(life, func() { cmd.Process.Kill() })
	defer timer.Stop()
	for {
		line, err := printed.ReadString('\n')
		if err != nil { // a line that was cut off does not count
			break
		}
		lines = append(lines, line[:len(line)-1])
	}
	if err := cmd.Wait(); err == nil {
		t.Fatal("the victim ended by itself")
	}
	return lines
}
