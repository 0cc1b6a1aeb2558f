package shop

import (
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"time"

	"tubewright/calc/ledger"
)

// roleChoice is a role with what it may do, as the page offers it.
type roleChoice struct {
	Role       ledger.Role
	Name, Does string
}

var roles = []roleChoice{
	{ledger.Measure, "Measure", "readings, notes, photos"},
	{ledger.Bench, "Bench", "all of that, and choices"},
	{ledger.Board, "Wall board", "looks on; no customers, notes or photos"},
}

func roleName(r ledger.Role) string {
	for _, c := range roles {
		if c.Role == r {
			return c.Name
		}
	}
	return string(r)
}

// frontView is the page as its template wants it.
type frontView struct {
	State
	Did    string
	Asked  asked
	Roles  []roleChoice
	Groups []string
	Lines  []line // devices that may connect
	Gone   []line // devices that were taken off the list
	Open   []openLine
	Aside  []asideView // devices from which something was set aside
	Backup string
	Until  string
}

// openLine is a code that would let a device in.
type openLine struct {
	N                     int
	Name, RoleName, Until string
}

// asideView is what was set aside of one device, the first of it in words.
type asideView struct {
	line
	Count string
	Shown []asideLine
	More  int // not shown
}

type asideLine struct {
	SetAside
	At string
}

// line is one device in words.
type line struct {
	Device
	RoleName, At, Heard, Revoked string
	Live                         bool
}

func (p *page) showFront(w http.ResponseWriter, r *http.Request, status int, a asked, back url.Values) {
	s, ok := p.state(w, r)
	if !ok {
		return
	}
	now := p.now()
	if a.Role == "" {
		a.Role = ledger.Measure
	}
	v := frontView{State: s, Did: p.did(back, s.Devices), Open: p.openCodes(now), Asked: a, Roles: roles, Backup: backupWords(s.Backup, now),
		Until: day(s.Until)}
	if s.Fingerprint != "" {
		v.Groups = groups(s.Fingerprint)
	}
	for _, d := range s.Devices {
		l := lineOf(d, now)
		if d.Revoked.IsZero() {
			v.Lines = append(v.Lines, l)
		} else {
			v.Gone = append(v.Gone, l)
		}
		if d.Aside > 0 || d.IsFull {
			set, err := p.desk.Aside(r.Context(), d.Dev)
			if err != nil {
				p.sorry(w, http.StatusInternalServerError, "What was set aside cannot be read: "+err.Error()+".")
				return
			}
			v.Aside = append(v.Aside, asideOf(l, set))
		}
	}
	show(w, status, shopPage, "shop.html", v, self)
}

// openCodes are the codes that would let a device in, the oldest first.
func (p *page) openCodes(now time.Time) (lines []openLine) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, n := range slices.Sorted(maps.Keys(p.codes)) {
		c := p.codes[n]
		if now.Before(c.Until) && !c.withdrawn && p.desk.IsOpen(c.Secret) {
			lines = append(lines, openLine{n, c.Name, roleName(c.Role), clock(c.Until)})
		}
	}
	return lines
}

func asideOf(l line, set []SetAside) asideView {
	v := asideView{line: l, Count: entries(l.Aside), More: max(l.Aside-len(set), 0)}
	for _, s := range set {
		v.Shown = append(v.Shown, asideLine{s, when(s.At)})
	}
	return v
}

func lineOf(d Device, now time.Time) line {
	l := line{Device: d, RoleName: roleName(d.Role), At: when(d.At), Heard: "never", Live: d.Live > 0}
	switch {
	case l.Live:
		l.Heard = "now"
	case !d.Heard.IsZero():
		l.Heard = ago(d.Heard, now)
	}
	if !d.Revoked.IsZero() {
		l.Revoked = when(d.Revoked)
	}
	return l
}

func backupWords(b Backup, now time.Time) string {
	switch {
	case b.Wrong != "":
		return b.Wrong
	case b.At.IsZero():
		return "none yet; one is made when there is something to keep, at most once an hour"
	}
	return fmt.Sprintf("%s, %s", when(b.At), ago(b.At, now))
}

// codeView is the page of one code.
type codeView struct {
	State
	Code
	N             int
	RoleName      string
	Shown         string // the short code in two groups
	Link          string // for the QR code
	Until         string
	Over, IsBoard bool
	Withdrawn     bool
	Paired        string // when a device came in under its name, empty before
}

func (p *page) showCode(w http.ResponseWriter, r *http.Request) {
	n, code, known := p.code(r.PathValue("n"))
	if !known {
		p.noCode(w)
		return
	}
	s, ok := p.state(w, r)
	if !ok {
		return
	}
	v := codeView{State: s, Code: code.Code, N: n, RoleName: roleName(code.Role), Shown: code.Short,
		Link: s.Origin + "/#/pair?code=" + code.Secret, Until: clock(code.Until),
		Over: !p.now().Before(code.Until), IsBoard: code.Role == ledger.Board, Withdrawn: code.withdrawn}
	if v.IsBoard {
		v.Link = s.Origin + "/wall#code=" + code.Secret
	}
	if half := len(code.Short) / 2; half > 0 {
		v.Shown = code.Short[:half] + " " + code.Short[half:]
	}
	for _, d := range s.Devices {
		// Whoever had the code got its name and came after it was made.
		if d.Name == code.Name && d.Role == code.Role && d.Revoked.IsZero() && !d.At.Before(code.at.Truncate(time.Millisecond)) {
			v.Paired = when(d.At)
		}
	}
	show(w, http.StatusOK, shopPage, "code.html", v, self)
}

func clock(t time.Time) string { return t.Local().Format("15:04") }

func when(t time.Time) string { return t.Local().Format("2006-01-02 15:04") }

func day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Local().Format(time.DateOnly)
}

// ago says how long something is past, in one unit.
func ago(t, now time.Time) string {
	d := now.Sub(t)
	for _, u := range []struct {
		of   time.Duration
		name string
	}{{24 * time.Hour, "days"}, {time.Hour, "h"}, {time.Minute, "min"}} {
		if d >= 2*u.of || u.of < 24*time.Hour && d >= u.of {
			return fmt.Sprintf("%d %s ago", d/u.of, u.name)
		}
	}
	if d < -time.Minute {
		return "by a clock that was ahead"
	}
	return "just now"
}
