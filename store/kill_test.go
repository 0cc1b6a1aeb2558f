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

// childEnv makes the test program the victim: it appends to the file named there
// until it is killed, and prints every id once it is acknowledged.
const childEnv = "STORE_TEST_VICTIM"

func TestMain(m *testing.M) {
	if path := os.Getenv(childEnv); path != "" {
		victim(path)
	}
	os.Exit(m.Run())
}

func victim(path string) {
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
func TestKilledStoreLosesNothingAcknowledged(t *testing.T) {
	const seed = 1
	rnd := rand.New(rand.NewPCG(seed, 0))
	path := filepath.Join(t.TempDir(), "shop.db")
	acked := map[string]bool{}
	for round := range 10 {
		life := time.Duration(1+rnd.IntN(120)) * time.Millisecond
		for _, id := range killedAfter(t, path, life) {
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

// killedAfter runs the victim, kills it some time after it is ready, and returns
// what it had acknowledged.
func killedAfter(t *testing.T, path string, life time.Duration) (ids []string) {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe)
	cmd.Env = append(os.Environ(), childEnv+"="+path)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewReader(out)
	if ready, err := lines.ReadString('\n'); err != nil || ready != "ready\n" {
		t.Fatalf("victim says %q, %v", ready, err)
	}
	timer := time.AfterFunc(life, func() { cmd.Process.Kill() })
	defer timer.Stop()
	for {
		line, err := lines.ReadString('\n')
		if err != nil { // a line that was cut off was not acknowledged whole
			break
		}
		ids = append(ids, line[:len(line)-1])
	}
	if err := cmd.Wait(); err == nil {
		t.Fatal("the victim ended by itself")
	}
	return ids
}
