package server

import (
	"strings"
	"testing"
	"time"

	"tubewright/calc/ledger"
)

func newCodes() (*codes, *time.Time) {
	now := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	return &codes{now: func() time.Time { return now }}, &now
}

func TestCodeIsGoodOnce(t *testing.T) {
	c, _ := newCodes()
	for _, typed := range []func(Code) string{
		func(k Code) string { return k.Secret },
		func(k Code) string { return k.Short },
		func(k Code) string { return " " + strings.ToLower(k.Short[:4]) + "-" + k.Short[4:] + "\n" },
	} {
		code := c.newCode(ledger.Measure, "Tablet 2")
		got, why := c.claim(typed(code), "")
		if why != "" || got != code {
			t.Errorf("%q: %q, %+v", typed(code), why, got)
		}
		if _, why := c.claim(typed(code), ""); why != "used" {
			t.Errorf("a second time: %q", why)
		}
		if _, why := c.claim(code.Short, ""); why != "used" {
			t.Errorf("by its other half: %q", why)
		}
		c.wrong = nil
	}
}

// A code typed at the wrong place says where it belongs, and is good there still.
func TestCodeIsForAWallOrForAnApp(t *testing.T) {
	for _, k := range []struct {
		role       ledger.Role
		wrong, why string
		right      string
	}{{ledger.Board, "app", "wall", "wall"}, {ledger.Measure, "wall", "app", "app"}, {ledger.Bench, "wall", "app", "app"}, {ledger.Board, "app", "wall", ""}} {
		c, _ := newCodes()
		code := c.newCode(k.role, "")
		for _, typed := range []string{code.Short, code.Secret} {
			if _, why := c.claim(typed, k.wrong); why != k.why {
				t.Errorf("%s from %s: %q, want %q", k.role, k.wrong, why, k.why)
			}
		}
		if len(c.wrong) != 0 {
			t.Errorf("%s from %s: counted as a guess", k.role, k.wrong)
		}
		if got, why := c.claim(code.Short, k.right); why != "" || got != code {
			t.Errorf("%s from %q afterwards: %q", k.role, k.right, why)
		}
		if _, why := c.claim(code.Short, k.wrong); why != "used" {
			t.Errorf("%s from %s once it is used: %q", k.role, k.wrong, why)
		}
	}
}

func TestWithdrawnCodeIsNoLongerGood(t *testing.T) {
	c, now := newCodes()
	one, other := c.newCode(ledger.Measure, "One"), c.newCode(ledger.Board, "Other")
	if !c.isOpen(one.Secret) || !c.isOpen(other.Secret) || c.isOpen("") {
		t.Error("two codes are open, and no other")
	}
	c.withdraw(one.Secret)
	c.withdraw("")
	if c.isOpen(one.Secret) || !c.isOpen(other.Secret) {
		t.Error("one is withdrawn, and only that")
	}
	if _, why := c.claim(one.Short, ""); why != "expired" {
		t.Errorf("a withdrawn code: %q", why)
	}
	*now = now.Add(codeTime)
	if c.isOpen(other.Secret) {
		t.Error("open after its time")
	}
}

func TestCodeEnds(t *testing.T) {
	c, now := newCodes()
	code := c.newCode(ledger.Bench, "")
	*now = now.Add(codeTime - time.Second)
	other := c.newCode(ledger.Board, "Wall")
	*now = now.Add(time.Second)
	if _, why := c.claim(code.Secret, ""); why != "expired" {
		t.Errorf("after its time: %q", why)
	}
	if _, why := c.claim(other.Secret, ""); why != "" {
		t.Errorf("within its time: %q", why)
	}
}

// Who guesses gets 5 tries a minute, and 10 for one code, from however many places.
func TestCodesCannotBeGuessed(t *testing.T) {
	c, now := newCodes()
	code := c.newCode(ledger.Measure, "")
	tried := map[string]int{}
	for range 1000 {
		_, why := c.claim("AAAAAAAA", "")
		tried[why]++
		*now = now.Add(100 * time.Millisecond) // 1,000 tries in 100 s
	}
	if tried["code"] != 2*codePace || tried["many"] != 1000-2*codePace {
		t.Errorf("%v", tried)
	}
	*now = now.Add(time.Minute)
	if _, why := c.claim(code.Short, ""); why != "expired" {
		t.Errorf("the code can be typed after %d wrong tries: %q", codeTries, why)
	}
	if _, why := c.claim("", ""); why != "code" {
		t.Errorf("no code at all: %q", why)
	}
	if _, why := c.claim(code.Secret, ""); why != "" {
		t.Errorf("the code cannot be scanned after %d wrong tries: %q", codeTries, why)
	}
}

func TestShortCodesHaveNoLookAlikes(t *testing.T) {
	seen := map[byte]int{}
	const n = 4000
	for range n {
		s := shortCode()
		if len(s) != codeLength || strings.ContainsAny(s, "0O1IL") {
			t.Fatalf("%q", s)
		}
		for i := range len(s) {
			seen[s[i]]++
		}
	}
	// Chi-squared over the signs, 30 degrees of freedom: above 59.7 comes once in 1,000
	// (table of the distribution; from memory). Twice that is a fault.
	want, sum := float64(n*codeLength)/float64(len(codeChars)), 0.0
	for i := range len(codeChars) {
		d := float64(seen[codeChars[i]]) - want
		sum += d * d / want
	}
	if len(seen) != len(codeChars) || sum > 2*59.7 {
		t.Errorf("%d signs, chi-squared %.1f", len(seen), sum)
	}
}

// The disk of the shop machine failed after the code was taken: the code is good still.
func TestCodeGivenBackIsGoodAgain(t *testing.T) {
	c, _ := newCodes()
	code := c.newCode(ledger.Measure, "")
	taken, _ := c.claim(code.Short, "")
	c.giveBack(taken)
	for _, want := range []string{"", "used"} {
		if got, why := c.claim(code.Secret, ""); why != want {
			t.Errorf("%+v, %q; want %q", got, why, want)
		}
	}
}

func TestManyCodesTakeNoMoreRoom(t *testing.T) {
	c, now := newCodes()
	for range 200 {
		c.newCode(ledger.Measure, "")
		*now = now.Add(time.Second)
	}
	if len(c.open) > codeMost || len(c.spent) > codeSpent {
		t.Errorf("%d open, %d spent", len(c.open), len(c.spent))
	}
}
