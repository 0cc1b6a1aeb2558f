package chain_test

import (
	"encoding/hex"
	"testing"

	"tubewright/calc/chain"
)

// Worked out from the definition by another program (Python's hashlib).
const (
	id       = "aaaqeayeaudaocajbifqydiob4"
	chainOne = "b39d692e5dddc833bddd2e7ccd90576a89f99f4ca495f90d08a9b53530a321e3"
	chainTwo = "a3e8d52f4fce20663c404ce15fdea105fddc168bfd7aa4d7c2f8d40956024f03"
)

func TestChainIsHashOfPreviousIDAndHash(t *testing.T) {
	h := chain.Of("{}")
	if got := hex.EncodeToString(h[:]); got != "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a" {
		t.Errorf("hash of {} is %s", got)
	}
	one := chain.Next(chain.Sum{}, id, h)
	two := chain.Next(one, id, h)
	if got := hex.EncodeToString(one[:]); got != chainOne {
		t.Errorf("chain %s, want %s", got, chainOne)
	}
	if got := hex.EncodeToString(two[:]); got != chainTwo {
		t.Errorf("chain %s, want %s", got, chainTwo)
	}
}
