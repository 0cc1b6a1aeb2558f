package shop

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"

	"tubewright/calc/ledger"
)

const (
	nameLength = 40       // characters of a device's name: it stands in a line of the wall
	formBytes  = 4 << 10  // of one form
	codesKept  = 20       // pages of codes that can be looked at again
	asideShown = 20       // records set aside of one device
	self       = "'self'" // forms go to this page only
)

var shopPage = parse("head.html", "shop.html", "code.html", "revoke.html", "imported.html", "sorry.html")

// page is what one Desk shows.
type page struct {
	desk Desk
	now  func() time.Time

	mu     sync.Mutex
	opened int // codes so far; the newest has this number
	codes  map[int]opened
}

// opened is a code with when it was made.
type opened struct {
	Code
	at        time.Time
	withdrawn bool
}

// Page answers /shop and what lies below it. It checks that a form comes from a
// page of its own; that only the shop machine itself reaches it, under its own
// name, is the caller's to see to.
func Page(d Desk, now func() time.Time) http.Handler {
	p := &page{desk: d, now: now, codes: map[int]opened{}}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /shop", p.front)
	mux.HandleFunc("GET /shop/{$}", func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, "/shop", http.StatusSeeOther) })
	mux.HandleFunc("GET /shop/code/{n}", p.showCode)
	mux.HandleFunc("GET /shop/revoke", p.askRevoke)
	mux.HandleFunc("POST /shop/code", p.form(p.makeCode))
	mux.HandleFunc("POST /shop/withdraw", p.form(p.withdraw))
	mux.HandleFunc("POST /shop/rename", p.form(p.rename))
	mux.HandleFunc("POST /shop/revoke", p.form(p.revoke))
	mux.HandleFunc("POST /shop/takein", p.form(p.takeIn))
	mux.HandleFunc("POST /shop/import", p.ownPage(p.takeArchive))
	return mux
}

// ownPage lets through what was sent from a page that came from here.
func (p *page) ownPage(act http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		scheme := "http"
		if r.TLS != nil {
			scheme = "https"
		}
		if o := r.Header["Origin"]; len(o) != 1 || o[0] != scheme+"://"+strings.ToLower(r.Host) {
			p.sorry(w, http.StatusForbidden, "That came from another page. Open the shop page of this machine and do it there.")
			return
		}
		act(w, r)
	}
}

// form lets through a small form from such a page.
func (p *page) form(act http.HandlerFunc) http.HandlerFunc {
	return p.ownPage(func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, formBytes)
		if err := r.ParseForm(); err != nil {
			p.sorry(w, http.StatusBadRequest, "What was sent cannot be read: "+err.Error()+".")
			return
		}
		act(w, r)
	})
}

func (p *page) front(w http.ResponseWriter, r *http.Request) {
	p.showFront(w, r, http.StatusOK, asked{}, r.URL.Query())
}

// did says what the page was left for and come back to; from the address, so it
// names only what the shop machine knows, and nothing that could be put there.
func (p *page) did(q url.Values, devices []Device) string {
	what := q.Get("did")
	if what == "withdrawn" {
		if _, code, known := p.code(q.Get("n")); known && code.withdrawn {
			return fmt.Sprintf("The code for “%s” was withdrawn.", code.Name)
		}
		return ""
	}
	i := slices.IndexFunc(devices, func(d Device) bool { return d.Dev == q.Get("dev") })
	if i < 0 {
		return ""
	}
	name := devices[i].Name
	switch what {
	case "renamed":
		return fmt.Sprintf("The device is called “%s” now.", name)
	case "revoked":
		if devices[i].Role == ledger.Board {
			return fmt.Sprintf("“%s” is off the list.", name)
		}
		return fmt.Sprintf("“%s” is off the list. What it still holds is set aside when it comes.", name)
	case "taken":
		if n, err := strconv.ParseUint(q.Get("n"), 10, 31); err == nil {
			return fmt.Sprintf("Taken in from “%s”: %s.", name, entries(int(n)))
		}
	}
	return ""
}

// entries counts entries in words.
func entries(n int) string {
	if n == 1 {
		return "1 entry"
	}
	return fmt.Sprintf("%d entries", n)
}

// asked is a form for a code as it was filled in, and what is wrong with it.
type asked struct {
	Name, Wrong string
	Role        ledger.Role
}

func (p *page) makeCode(w http.ResponseWriter, r *http.Request) {
	a := asked{Name: r.PostForm.Get("name"), Role: ledger.Role(r.PostForm.Get("role"))}
	name, err := deviceName(a.Name)
	if err == nil && !slices.ContainsFunc(roles, func(c roleChoice) bool { return c.Role == a.Role }) {
		err = fmt.Errorf("role %q is none; allowed are measure, bench and board", a.Role)
	}
	if err != nil {
		a.Wrong = err.Error()
		p.showFront(w, r, http.StatusUnprocessableEntity, a, nil)
		return
	}
	code := p.desk.NewCode(a.Role, name)
	p.mu.Lock()
	p.opened++
	n := p.opened
	p.codes[n] = opened{Code: code, at: p.now()}
	delete(p.codes, n-codesKept)
	p.mu.Unlock()
	http.Redirect(w, r, fmt.Sprintf("/shop/code/%d", n), http.StatusSeeOther)
}

// deviceName takes a name as it was typed, or says what is wrong with it.
func deviceName(typed string) (string, error) {
	name := strings.TrimSpace(typed)
	if n := utf8.RuneCountInString(name); n < 1 || n > nameLength {
		return "", fmt.Errorf("name %q has %d characters; allowed 1 to %d", name, n, nameLength)
	}
	if !utf8.ValidString(name) || strings.ContainsFunc(name, unicode.IsControl) {
		return "", fmt.Errorf("name %q has signs that cannot be shown", name)
	}
	return name, nil
}

// code returns the code of a number, in a form or an address.
func (p *page) code(number string) (n int, code opened, known bool) {
	n, err := strconv.Atoi(number)
	if err != nil {
		return 0, opened{}, false
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	code, known = p.codes[n]
	return n, code, known
}

func (p *page) withdraw(w http.ResponseWriter, r *http.Request) {
	n, code, known := p.code(r.PostForm.Get("n"))
	if !known {
		p.noCode(w)
		return
	}
	p.desk.Withdraw(code.Secret)
	code.withdrawn = true
	p.mu.Lock()
	if _, kept := p.codes[n]; kept {
		p.codes[n] = code
	}
	p.mu.Unlock()
	p.back(w, r, "withdrawn", n, nil)
}

func (p *page) noCode(w http.ResponseWriter) {
	p.sorry(w, http.StatusNotFound, "That code is no longer here. Make another.")
}

func (p *page) rename(w http.ResponseWriter, r *http.Request) {
	name, err := deviceName(r.PostForm.Get("name"))
	if err != nil {
		p.sorry(w, http.StatusUnprocessableEntity, err.Error()+".")
		return
	}
	p.back(w, r, "renamed", 0, p.desk.Rename(r.Context(), r.PostForm.Get("dev"), name))
}

func (p *page) revoke(w http.ResponseWriter, r *http.Request) {
	p.back(w, r, "revoked", 0, p.desk.Revoke(r.Context(), r.PostForm.Get("dev")))
}

func (p *page) takeIn(w http.ResponseWriter, r *http.Request) {
	n, err := p.desk.TakeIn(r.Context(), r.PostForm.Get("dev"))
	p.back(w, r, "taken", n, err)
}

// back goes to the front page after something was done, so that loading it again
// does nothing twice.
func (p *page) back(w http.ResponseWriter, r *http.Request, did string, n int, err error) {
	if err != nil {
		p.sorry(w, http.StatusInternalServerError, "That did not work: "+err.Error()+".")
		return
	}
	http.Redirect(w, r, "/shop?"+url.Values{"did": {did}, "n": {strconv.Itoa(n)}, "dev": {r.PostForm.Get("dev")}}.Encode(), http.StatusSeeOther)
}

func (p *page) sorry(w http.ResponseWriter, status int, text string) {
	show(w, status, shopPage, "sorry.html", text, "'none'")
}

// state reads what is to be shown; it has answered when ok is false.
func (p *page) state(w http.ResponseWriter, r *http.Request) (s State, ok bool) {
	s, err := p.desk.State(r.Context())
	if err != nil {
		p.sorry(w, http.StatusInternalServerError, "What the page shows cannot be read: "+err.Error()+".")
		return s, false
	}
	return s, true
}

func (p *page) askRevoke(w http.ResponseWriter, r *http.Request) {
	s, ok := p.state(w, r)
	if !ok {
		return
	}
	dev := r.URL.Query().Get("dev")
	i := slices.IndexFunc(s.Devices, func(d Device) bool { return d.Dev == dev && d.Revoked.IsZero() })
	if i < 0 {
		p.sorry(w, http.StatusNotFound, "There is no such device, or it is off the list already.")
		return
	}
	show(w, http.StatusOK, shopPage, "revoke.html", lineOf(s.Devices[i], p.now()), self)
}
