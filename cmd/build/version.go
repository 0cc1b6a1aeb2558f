package main

import (
	"context"
	"fmt"
	"os/exec"
	"regexp"
	"strings"
	"time"
)

// unversioned is what a program says of itself that was not built from a commit.
const unversioned = "dev"

// stampable is what can be a version: it goes into a linker flag and a file name.
var stampable = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._+-]*$`)

// describe returns the version of the tree in root: its tag, or the tag before it
// with how many commits later and which, or the commit; "-dirty" when files differ
// from the commit. Without git or outside of a clone it is unversioned.
func describe(ctx context.Context, root string) string {
	said, err := git(ctx, root, "describe", "--tags", "--match", "v[0-9]*", "--always", "--dirty")
	if err != nil || !stampable.MatchString(said) {
		return unversioned
	}
	return said
}

// committed returns when the commit of the tree was made; zero when there is none.
func committed(ctx context.Context, root string) time.Time {
	said, err := git(ctx, root, "log", "-1", "--format=%cI")
	if err != nil {
		return time.Time{}
	}
	at, err := time.Parse(time.RFC3339, said)
	if err != nil {
		return time.Time{}
	}
	return at.UTC()
}

func git(ctx context.Context, root string, args ...string) (string, error) {
	cmd := exec.CommandContext(ctx, "git", args...)
	cmd.Dir = root
	said, err := cmd.Output()
	if err != nil {
		return "", fmt.Errorf("git %s: %w", args[0], err)
	}
	return strings.TrimSpace(string(said)), nil
}
