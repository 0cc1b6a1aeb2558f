package main

import (
	"context"
	"fmt"
	"time"

	"tubewright/server"
	"tubewright/store"
)

// clockSlack is how far the clock may be behind the latest record before that is
// said: it may have been set right by a second or two.
const clockSlack = 2 * time.Minute

// noteOrigin notes under which address devices know this machine, and returns the
// one that they know when it is another. As long as none was paired there is nobody
// to know one. The old address stays noted until a person says that the move is
// meant, so that the warning does not go away by itself.
func noteOrigin(ctx context.Context, st *store.Store, origin string, moved bool, now time.Time) (was string, err error) {
	known, err := st.Origin(ctx)
	if err != nil || known.Value == origin {
		return "", err
	}
	paired, err := st.AllPaired(ctx)
	if err != nil {
		return "", err
	}
	switch {
	case known.Value == "" || len(paired) == 0:
		return "", st.SetOrigin(ctx, store.Known{Value: origin})
	case moved:
		return "", st.SetOrigin(ctx, store.Known{Value: origin, Since: now})
	}
	return known.Value, nil
}

// noteAuthority notes which authority devices trust; none with a certificate of the
// shop's own.
func noteAuthority(ctx context.Context, st *store.Store, fingerprint string, now time.Time) error {
	known, err := st.Authority(ctx)
	if err != nil || fingerprint == "" || known.Value == fingerprint {
		return err
	}
	if known.Value == "" {
		return st.SetAuthority(ctx, store.Known{Value: fingerprint})
	}
	return st.SetAuthority(ctx, store.Known{Value: fingerprint, Since: now})
}

// changes are when the address and the authority became others; zero when they never
// did.
type changes struct{ moved, trusted time.Time }

func readChanges(ctx context.Context, st *store.Store) (c changes, err error) {
	origin, err := st.Origin(ctx)
	if err != nil {
		return c, err
	}
	authority, err := st.Authority(ctx)
	return changes{origin.Since, authority.Since}, err
}

// asks says what a device from before a change needs; nothing for one that was paired
// or has come since.
func (c changes) asks(l server.DeviceLine) string {
	isBefore := func(since time.Time) bool {
		return l.Live == 0 && l.At.Before(since) && l.Heard.Before(since)
	}
	switch {
	case isBefore(c.moved):
		return "paired under the old address: pair it anew, all steps"
	case isBefore(c.trusted):
		return "it has to trust this machine anew: step 1"
	}
	return ""
}

func movedWarning(was, origin string) string {
	return fmt.Sprintf("The tablets know this machine as %s, and now it is %s. They will not find it, and what they have not sent yet stays on them under the old address. Start it again with the name and port from before. If the move is meant, start it once with -moved, let each tablet write what it holds into a file under the old address, import that, and pair it anew.", was, origin)
}

// clockWarning says so when the clock went backwards; nothing when it did not.
func clockWarning(latest, now time.Time) string {
	if latest.Sub(now) < clockSlack {
		return ""
	}
	return fmt.Sprintf("This machine's clock says %s, and the latest record came in at %s. Set the clock: certificates, backups and the times on the wall go by it.", when(now), when(latest))
}
