package ledger

import (
	"encoding/base32"
	"fmt"
)

const idLetters = "abcdefghijklmnopqrstuvwxyz234567"

var idText = base32.NewEncoding(idLetters).WithPadding(base32.NoPadding)

// ID writes 128 random bits as the id of a record: base32, lower case, 26
// characters. The caller brings the random bits.
func ID(random [16]byte) string { return idText.EncodeToString(random[:]) }

// IsID tells whether s can be the id of a record: 26 characters of a-z and 2-7.
func IsID(s string) bool {
	if len(s) != 26 {
		return false
	}
	for i := range len(s) {
		if c := s[i]; (c < 'a' || c > 'z') && (c < '2' || c > '7') {
			return false
		}
	}
	return true
}

// Stamp writes a hybrid clock: milliseconds since 1970 UTC in 13 digits, a count
// of stamps within that millisecond as 4 hex digits, and the device. Stamps sort
// as text. They order what people look at and decide nothing.
func Stamp(ms int64, count uint16, dev string) string {
	return fmt.Sprintf("%013d-%04x-%s", ms, count, dev)
}
