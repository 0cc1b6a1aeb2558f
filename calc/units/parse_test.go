package units_test

import (
	"strings"
	"testing"
	"unicode/utf8"

	"tubewright/calc/units"
)

// A parser that passes over a sign turns 1 5/8 into 158. So the checks below run
// on every text that is accepted.

// isSilent reports whether a character may be removed without changing what is
// read: spaces, the hyphen before a fraction or before inches, the 0 of 0.5, a last
// decimal 0 that says no more about how finely the value is meant, the mark and the
// minus of a zero,
// the mark of a unit that is the default anyway.
func isSilent(r rune, before, after string, v int64) bool {
	switch r {
	case '0':
		return strings.HasPrefix(after, ".") || strings.HasPrefix(after, ",") || strings.ContainsAny(before, ".,")
	case '\u2212', '.', ',':
		return v == 0
	}
	return strings.ContainsRune(" \u00a0\u2007\u2009\u202f-\"″”°", r)
}

func checkNothingIgnored(t *testing.T, text string, parse func(string) (units.Typed, error)) {
	t.Helper()
	whole, err := parse(text)
	if err != nil {
		return
	}
	if whole.Text != text {
		t.Fatalf("%q: kept as %q", text, whole.Text)
	}
	if max(whole.V, -whole.V) >= 1<<53 || whole.Res < 0 {
		t.Fatalf("%q: %+v is out of the range that every device can hold", text, whole)
	}
	for i, r := range text {
		cut := text[:i] + text[i+utf8.RuneLen(r):]
		got, err := parse(cut)
		if err == nil && got.V == whole.V && got.Unit == whole.Unit && got.Res == whole.Res &&
			!isSilent(r, text[:i], text[i+utf8.RuneLen(r):], whole.V) {
			t.Fatalf("%q and %q read the same: %q was ignored", text, cut, r)
		}
		// A sign from outside the grammar is not passed over, wherever it stands.
		for _, sign := range []string{"#", "x", ";", "\n", "\t", "é", "٣"} {
			if got, err := parse(text[:i] + sign + text[i:]); err == nil {
				t.Fatalf("%q with %q at %d: read as %+v", text, sign, i, got)
			}
		}
	}
}

// Cutting off the last character changes the value without an error only where a
// figure, a one-character fraction or part of a unit is lost: nothing else can.
func checkTrimmed(t *testing.T, text string, parse func(string) (units.Typed, error)) {
	t.Helper()
	whole, err := parse(text)
	if err != nil {
		return
	}
	last, n := utf8.DecodeLastRuneInString(text)
	cut, err := parse(text[:len(text)-n])
	if err != nil || cut.V == whole.V && cut.Unit == whole.Unit {
		return
	}
	if !strings.ContainsRune("0123456789½¼¾⅛⅜⅝⅞\"″”'′’m", last) {
		t.Fatalf("%q: %+v; without its last character %+v", text, whole, cut)
	}
}

func FuzzParseLength(f *testing.F) {
	for _, e := range table(f) {
		if e.Kind == "length" {
			f.Add(e.Text, e.Def == "in")
		}
	}
	f.Fuzz(func(t *testing.T, text string, inches bool) {
		def := units.Unit("mm")
		if inches {
			def = "in"
		}
		parse := func(s string) (units.Typed, error) { return units.ParseLength(s, def) }
		checkNothingIgnored(t, text, parse)
		checkTrimmed(t, text, parse)
	})
}

func FuzzParseAngle(f *testing.F) {
	for _, e := range table(f) {
		f.Add(e.Text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		checkNothingIgnored(t, text, units.ParseAngle)
		checkTrimmed(t, text, units.ParseAngle)
	})
}

func FuzzParseNumber(f *testing.F) {
	for _, e := range table(f) {
		f.Add(e.Text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		checkNothingIgnored(t, text, units.ParseNumber)
		checkTrimmed(t, text, units.ParseNumber)
	})
}

// The screen reads the whole text again at every key.
func BenchmarkParseLength(b *testing.B) {
	for _, text := range []string{"41.275", "1 5/8", `1' 3 1/2"`, "1 625"} {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, _ = units.ParseLength(text, "in")
			}
		})
	}
}
