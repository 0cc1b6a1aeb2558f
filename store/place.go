package store

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// networkTypes are file systems whose locks and shared memory do not hold across
// machines; SQLite's own documentation warns of them (useovernet.html).
var networkTypes = map[string]bool{
	"nfs": true, "nfs4": true, "cifs": true, "smb3": true, "smbfs": true, "ncpfs": true, "afs": true, "coda": true,
	"ceph": true, "glusterfs": true, "lustre": true, "davfs": true,
	"fuse.sshfs": true, "fuse.glusterfs": true, "fuse.ceph": true, "fuse.davfs2": true, "fuse.rclone": true, "fuse.s3fs": true,
}

// refuseNetwork returns an error when path lies on a network file system. Where
// the system has no table of mounts to read (everywhere but Linux) it cannot
// tell and returns nil.
func refuseNetwork(path string) error {
	mounts, err := os.ReadFile("/proc/self/mountinfo")
	if err != nil {
		return nil
	}
	dir, err := filepath.Abs(filepath.Dir(path))
	if err != nil {
		return fmt.Errorf("find %s: %w", path, err)
	}
	if dir, err = filepath.EvalSymlinks(dir); err != nil {
		return fmt.Errorf("find folder of %s: %w", path, err)
	}
	if kind := mountType(string(mounts), dir); networkTypes[kind] {
		return fmt.Errorf("%s lies on a network file system (%s), where a database gets damaged: keep it on a disk of this machine and put backups there", path, kind)
	}
	return nil
}

// mountType returns the file system type of the folder, from the text of
// /proc/self/mountinfo (its format: proc_pid_mountinfo(5)). Of two mounts on one
// folder the later hides the earlier. Empty when no line fits.
func mountType(mounts, dir string) string {
	unescape := strings.NewReplacer(`\040`, " ", `\011`, "\t", `\012`, "\n", `\134`, `\`)
	best, kind := -1, ""
	for line := range strings.Lines(mounts) {
		before, after, ok := strings.Cut(line, " - ")
		where, what := strings.Fields(before), strings.Fields(after)
		if !ok || len(where) < 5 || len(what) < 1 {
			continue
		}
		point := strings.TrimSuffix(unescape.Replace(where[4]), "/")
		if (dir == point || strings.HasPrefix(dir, point+"/")) && len(point) >= best {
			best, kind = len(point), what[0]
		}
	}
	return kind
}
