package server

import "testing"

// StartShop starts a shop machine with an empty store and returns where it
// listens: all that a stranger knows of it.
func StartShop(t testing.TB) (host string) { return openShop(t, openLog(t), quick(), nil).host }
