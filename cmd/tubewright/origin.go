package main

import (
	"context"
	"fmt"
	"time"

	"tubewright/store"
)

// clockSlack is how far the clock may be behind the latest record before that is
// said: it may have been set right by a second or two.
const clockSlack = 2 * time.Minute

// noteOrigin notes under which address devices know this machine, and returns the
// one that they know when it is another. As long as none was paired there is nobody
// to know one. The old address stays noted until a person says that the move is
// meant, so that the warning does not go away by itself.
func noteOrigin(ctx context.Context, st *store.Store, origin string, moved bool) (was string, err error) {
	known, err := st.Origin(ctx)
	if err != nil || known == origin {
		return "", err
	}
	paired, err := st.AllPaired(ctx)
	if err != nil {
		return "", err
	}
	if known == "" || len(paired) == 0 || moved {
		return "", st.SetOrigin(ctx, origin)
	}
	return known, nil
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
