package server

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base32"
	"slices"
	"strings"
	"sync"
	"time"

	"tubewright/calc/ledger"
)

const (
	codeTime  = 5 * time.Minute
	codeTries = 10 // wrong ones while a code is open, then it can no longer be typed
	codePace  = 5  // wrong ones a minute, for all who try together
	codeMost  = 20 // open at once
	codeSpent = 40 // remembered as no longer good

	codeChars  = "ABCDEFGHJKMNPQRSTUVWXYZ23456789" // what is not taken for another sign by hand or eye
	codeLength = 8

	secretLength = 26 // of 128 bits, five to a letter
)

// Code is what one new device is let in with, once.
type Code struct {
	Secret string // 128 random bits, for a QR code: small letters and digits; nobody guesses it
	Short  string // the same for typing: 8 signs, weaker, so tries are counted
	Role   ledger.Role
	Name   string // of the device
	Until  time.Time
}

// codes are the open pairing codes. They live in memory only: a new start voids them.
type codes struct {
	now func() time.Time

	mu    sync.Mutex
	open  []*openCode
	spent []spentCode // the newest last
	wrong []time.Time // of the last minute
}

type openCode struct {
	Code
	wrong int
}

// spentCode is one that was good once: whoever has it still is told why it is no more.
type spentCode struct {
	Code
	why string // used or expired
}

// newCode opens a code. The oldest gives way when there are too many.
func (c *codes) newCode(role ledger.Role, name string) Code {
	secret := make([]byte, 16)
	rand.Read(secret) // never fails
	code := Code{
		Secret: strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(secret)),
		Short:  shortCode(), Role: role, Name: name, Until: c.now().Add(codeTime),
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.sweep()
	if len(c.open) == codeMost {
		c.spend(c.open[0].Code, "expired")
		c.open = c.open[1:]
	}
	c.open = append(c.open, &openCode{Code: code})
	return code
}

func shortCode() string {
	var b strings.Builder
	one := make([]byte, 1)
	for b.Len() < codeLength {
		rand.Read(one)
		if i := int(one[0]); i < 256/len(codeChars)*len(codeChars) { // else some signs would come more often
			b.WriteByte(codeChars[i%len(codeChars)])
		}
	}
	return b.String()
}

// claim takes a code out of the open ones and returns it; place is where it was
// typed, empty where that was not said. The reason why not is one of code, expired,
// used and many, and wall or app for one that belongs there: it stays open. Tries are counted against what is typed only:
// somebody in the Wi-Fi who guesses must not keep a tablet out that scans.
func (c *codes) claim(typed, place string) (Code, string) {
	typed = strings.Map(func(r rune) rune {
		if strings.ContainsRune(" -·\t\n", r) {
			return -1
		}
		return r
	}, strings.ToUpper(typed))
	c.mu.Lock()
	defer c.mu.Unlock()
	c.sweep()
	isGuess := len(typed) != secretLength
	if isGuess && len(c.wrong) >= codePace {
		return Code{}, "many" // right or wrong: whoever guesses learns nothing
	}
	found := -1
	for i, o := range c.open {
		if o.isTyped(typed) {
			found = i
		}
	}
	if found >= 0 {
		code := c.open[found].Code
		if belongs := code.place(); place != "" && place != belongs {
			return Code{}, belongs
		}
		c.open = append(c.open[:found], c.open[found+1:]...)
		c.spend(code, "used")
		return code, ""
	}
	if isGuess {
		c.countWrong()
	}
	why := "code"
	for _, s := range c.spent {
		if s.isTyped(typed) {
			why = s.why
		}
	}
	return Code{}, why
}

func (c *codes) countWrong() {
	c.wrong = append(c.wrong, c.now())
	for _, o := range c.open {
		if o.wrong++; o.wrong == codeTries {
			c.spend(Code{Short: o.Short}, "expired")
			o.Short = ""
		}
	}
}

// isOpen tells whether a code, by its secret, would let a device in now.
func (c *codes) isOpen(secret string) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.sweep()
	return slices.ContainsFunc(c.open, func(o *openCode) bool { return same(o.Secret, secret) })
}

// withdraw ends a code before its time.
func (c *codes) withdraw(secret string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.open = slices.DeleteFunc(c.open, func(o *openCode) bool {
		if !same(o.Secret, secret) {
			return false
		}
		c.spend(o.Code, "expired")
		return true
	})
}

// giveBack opens a code again that was taken and could not be used.
func (c *codes) giveBack(code Code) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.spent = slices.DeleteFunc(c.spent, func(s spentCode) bool { return s.Secret == code.Secret })
	c.open = append(c.open, &openCode{Code: code})
}

// place is where a code is to be typed.
func (c Code) place() string {
	if c.Role == ledger.Board {
		return forWall
	}
	return forApp
}

// isTyped tells whether a text, in capitals and without gaps, is this code.
func (c Code) isTyped(text string) bool {
	long, short := same(text, strings.ToUpper(c.Secret)), same(text, c.Short)
	return text != "" && (long || short) // one of them may have been taken away
}

func (c *codes) spend(code Code, why string) {
	if len(c.spent) == codeSpent {
		c.spent = c.spent[1:]
	}
	c.spent = append(c.spent, spentCode{code, why})
}

// sweep drops codes whose time is over, and wrong tries of more than a minute ago.
func (c *codes) sweep() {
	now := c.now()
	open := c.open[:0]
	for _, o := range c.open {
		if now.Before(o.Until) {
			open = append(open, o)
		} else {
			c.spend(o.Code, "expired")
		}
	}
	c.open = open
	for len(c.wrong) > 0 && now.Sub(c.wrong[0]) >= time.Minute {
		c.wrong = c.wrong[1:]
	}
}

// same compares in a time that tells nothing of where two texts differ.
func same(a, b string) bool {
	x, y := sha256.Sum256([]byte(a)), sha256.Sum256([]byte(b))
	return subtle.ConstantTimeCompare(x[:], y[:]) == 1
}
