package store

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The settings hold on every connection of both pools.
func TestDB6SettingsHoldOnEveryConnection(t *testing.T) {
	s, _ := testOpen(t)
	if err := verify(t.Context(), s.write, writeSettings, 1); err != nil {
		t.Error(err)
	}
	if err := verify(t.Context(), s.read, readSettings, readers); err != nil {
		t.Error(err)
	}
	want := map[string]string{"busy_timeout": "5000", "journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "journal_size_limit": "67108864"}
	for range 2 * readers { // opened again and again
		s.read.SetMaxIdleConns(0)
		for name, w := range want {
			var got string
			if err := s.read.Get(&got, "PRAGMA "+name); err != nil || got != w {
				t.Errorf("%s is %q, want %q (%v)", name, got, w, err)
			}
		}
	}
	if s.write.Stats().MaxOpenConnections != 1 {
		t.Errorf("write pool has %d connections", s.write.Stats().MaxOpenConnections)
	}
	if _, err := s.read.Exec(`DELETE FROM records`); err == nil {
		t.Error("the read handle can write")
	}
}

// The check at the start notices a setting that reached one connection only.
func TestStartCheckSeesAConnectionThatDiffers(t *testing.T) {
	s, _ := testOpen(t)
	c, err := s.read.Connx(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.ExecContext(t.Context(), `PRAGMA foreign_keys = 0`); err != nil {
		t.Fatal(err)
	}
	c.Close()
	if err := verify(t.Context(), s.read, readSettings, readers); err == nil || !strings.Contains(err.Error(), "foreign_keys is 0") {
		t.Errorf("verify: %v", err)
	}
}

func TestFileNamesAreTakenAsTheyAre(t *testing.T) {
	for _, name := range []string{"shop #1.db", "50%41 ?x=1&y.db", "übersicht.db", "a'b.db"} {
		path := filepath.Join(t.TempDir(), name)
		s := reopen(t, path)
		push(t, s, raws("a", 0, 1)...)
		if _, err := os.Stat(path); err != nil {
			t.Error(err)
		}
		if r := mustCheck(t, path); r.Records != 1 {
			t.Errorf("%s: %+v", name, r)
		}
	}
}

func TestFolderThatIsNotThereIsNamed(t *testing.T) {
	_, err := Open(t.Context(), filepath.Join(t.TempDir(), "none", "shop.db"))
	if err == nil || !strings.Contains(err.Error(), "none") {
		t.Errorf("open: %v", err)
	}
}

// The lines are in the format of proc_pid_mountinfo(5); invented.
func TestDB10NetworkFolderIsTheDeepestMount(t *testing.T) {
	const mounts = `22 1 8:1 / / rw,relatime shared:1 - ext4 /dev/sda1 rw
30 22 0:40 / /srv/shop rw shared:5 master:2 - nfs4 nas:/shop rw,vers=4.2
31 30 8:2 / /srv/shop/local rw - xfs /dev/sdb1 rw
32 22 0:41 / /mnt/with\040space rw - cifs //nas/share rw
33 22 0:42 / /home/p/far rw - fuse.sshfs p@nas: rw
34 22 8:3 / /twice rw - cifs //nas/old rw
35 34 8:3 / /twice rw - ext4 /dev/sdc1 rw
broken line
`
	for dir, want := range map[string]string{
		"/": "ext4", "/srv": "ext4", "/srv/shopping": "ext4", "/srv/shop": "nfs4", "/srv/shop/a/b": "nfs4", "/srv/shop/local/x": "xfs",
		"/mnt/with space/x": "cifs", "/home/p/far": "fuse.sshfs", "/twice/x": "ext4",
	} {
		if got := mountType(mounts, dir); got != want {
			t.Errorf("%s lies on %q, want %q", dir, got, want)
		}
	}
	for kind, network := range map[string]bool{"nfs4": true, "cifs": true, "fuse.sshfs": true, "ext4": false, "tmpfs": false, "btrfs": false, "": false} {
		if networkTypes[kind] != network {
			t.Errorf("%q counts as network: %v", kind, networkTypes[kind])
		}
	}
}
