package shop

import (
	"fmt"
	"net/http"
	"strconv"
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
	Aside  []line // devices from which something was set aside
	Backup string
	Until  string
}

// line is one device in words.
type line struct {
	Device
	RoleName, At, Heard, Revoked string
	Live                         bool
}

func (p *page) showFront(w http.ResponseWriter, r *http.Request, status int, a asked, did string) {
	s, ok := p.state(w, r)
	if !ok {
		return
	}
	now := p.now()
	if a.Role == "" {
		a.Role = ledger.Measure
	}
	v := frontView{State: s, Did: did, Asked: a, Roles: roles, Backup: backupWords(s.Backup, now),
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
		if d.Aside > 0 {
			v.Aside = append(v.Aside, l)
		}
	}
	show(w, status, shopPage, "shop.html", v, self)
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
	Paired        string // when a device came in under its name, empty before
}

func (p *page) showCode(w http.ResponseWriter, r *http.Request) {
	n, err := strconv.Atoi(r.PathValue("n"))
	p.mu.Lock()
	code, known := p.codes[n]
	p.mu.Unlock()
	if err != nil || !known {
		p.sorry(w, http.StatusNotFound, "That code is no longer here. Make another.")
		return
	}
	s, ok := p.state(w, r)
	if !ok {
		return
	}
	v := codeView{State: s, Code: code.Code, N: n, RoleName: roleName(code.Role), Shown: code.Short,
		Link: s.Origin + "/#/pair?code=" + code.Secret, Until: code.Until.Local().Format("15:04"),
		Over: !p.now().Before(code.Until), IsBoard: code.Role == ledger.Board}
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
	show(w, http.StatusOK, shopPage, "code.html", v, "'none'")
}

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
