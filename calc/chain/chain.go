// Package chain is how two logs of records are compared: a hash over each
// record's text and a chain of them over the log. Tablets work it out with what
// their browser has built in; keeping it apart from package ledger leaves 150 kB
// of hashing out of the module that every tablet loads.
package chain

import "crypto/sha256"

// Sum is a sha256.
type Sum = [sha256.Size]byte

// Of returns the hash of a record's text.
func Of(raw string) Sum { return sha256.Sum256([]byte(raw)) }

// Next returns the chain over a log that ends in the record with this id and
// hash h, where prev is the chain over the log before it:
//
//	sha256(prev ‖ id ‖ h)
//
// An empty log has the chain of 32 zero bytes. Two logs with the same chain at
// the same position hold the same records in the same order up to there.
func Next(prev Sum, id string, h Sum) Sum {
	b := make([]byte, 0, len(prev)+len(id)+len(h))
	b = append(b, prev[:]...)
	b = append(b, id...)
	b = append(b, h[:]...)
	return sha256.Sum256(b)
}
