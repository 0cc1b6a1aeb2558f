package server

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"net/http"
	"strings"
	"time"

	"tubewright/calc/ledger"
)

const (
	tokenBytes  = 32
	tokenScheme = "Tubewright " // of the header Authorization

	// revokedTime is how long a revoked device may send what it holds, which is put
	// aside: a person may have measured with it for weeks without the network.
	revokedTime = 30 * 24 * time.Hour
)

const (
	unknownText = "the shop machine does not know this tablet; pair it again. Everything on it is kept"
	revokedText = "the shop took this tablet off its list. Everything on it is kept"
)

// newToken makes what a device proves itself with. The shop keeps only its sha256.
func newToken() (token string, sum [32]byte) {
	b := make([]byte, tokenBytes)
	rand.Read(b) // never fails
	return base64.RawURLEncoding.EncodeToString(b), sha256.Sum256(b)
}

// paired returns the device of a token. The error is a *refusal: token where no
// device has it, store where that cannot be looked up.
func (s *Server) paired(ctx context.Context, token string) (Paired, error) {
	b, err := base64.RawURLEncoding.Strict().DecodeString(token)
	if err != nil || len(b) != tokenBytes {
		return Paired{}, refuse("token", unknownText)
	}
	p, known, err := s.cfg.Pairs.PairedBy(ctx, sha256.Sum256(b))
	switch {
	case err != nil:
		s.log.Error("look for a token", "error", err)
		return Paired{}, refuse("store", "the shop machine cannot use its records file; this tablet keeps everything and tries again")
	case !known:
		return Paired{}, refuse("token", unknownText)
	}
	return p, nil
}

// isGone tells whether a device was revoked so long ago that nothing more of it is
// taken.
func (s *Server) isGone(p Paired) bool {
	return !p.Revoked.IsZero() && s.cfg.Now().Sub(p.Revoked) >= revokedTime
}

// pairing returns the pairing of the device that says hello. The error is a
// *refusal.
func (s *session) pairing(h *helloFrameIn) (Paired, error) {
	ctx, cancel := s.server.limited()
	defer cancel()
	p, err := s.server.paired(ctx, h.Token)
	switch {
	case err != nil:
		return p, err
	case p.Dev != h.Dev:
		return p, refuse("token", unknownText)
	case s.server.isGone(p), p.Role == ledger.Board && !p.Revoked.IsZero(): // a wall has nothing to send
		return p, refuse("revoked", revokedText)
	}
	return p, nil
}

// admit takes the role and the name of the pairing for those of the hello.
func (s *session) admit(h *helloFrameIn) error {
	p, err := s.pairing(h)
	if err != nil {
		return err
	}
	s.role, s.name, s.isRevoked = p.Role, p.Name, !p.Revoked.IsZero()
	return nil
}

// stillLetIn looks again once the session is one of those that Revoke and a new
// pairing end: either may have come in between.
func (s *session) stillLetIn(h *helloFrameIn) error {
	if s.door.Open || s.isRevoked {
		return nil
	}
	p, err := s.pairing(h)
	if err == nil && !p.Revoked.IsZero() {
		err = refuse("revoked", revokedText)
	}
	return err
}

// access is what a request does that a token is needed for.
type access int

const (
	reads access = iota // records or pictures
	sends               // bytes of pictures; a revoked device may, so that they are not lost
	packs               // a whole job with the shop's prices, in one file: for the bench
)

// allowed tells whether whoever asks may do that at this door. The error is a
// *refusal. A wall board may neither: what it shows comes by its own frames.
func (e entry) allowed(r *http.Request, what access) error {
	if e.door.Open {
		return nil
	}
	token, ok := strings.CutPrefix(r.Header.Get("Authorization"), tokenScheme)
	if !ok {
		return refuse("token", unknownText)
	}
	p, err := e.paired(r.Context(), token)
	switch {
	case err != nil:
		return err
	case e.isGone(p), what != sends && !p.Revoked.IsZero():
		return refuse("revoked", revokedText)
	case p.Role == ledger.Board:
		return refuse("role", "a wall board gets no records and no photos")
	case what == packs && p.Role != ledger.Bench:
		return refuse("role", "a record pack is for the bench and for the shop machine")
	}
	return nil
}

// forbidden are the answers to the reasons of allowed.
var forbidden = map[string]int{"token": http.StatusUnauthorized, "revoked": http.StatusForbidden, "role": http.StatusForbidden, "store": http.StatusServiceUnavailable}

// only lets a request through that is allowed; no is called with the answer for
// one that is not.
func (e entry) only(what access, h http.HandlerFunc, no func(w http.ResponseWriter, status int, why, text string)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		var refused *refusal
		if err := e.allowed(r, what); errors.As(err, &refused) {
			status := forbidden[refused.why]
			if status == http.StatusUnauthorized {
				w.Header().Set("WWW-Authenticate", strings.TrimSpace(tokenScheme))
			}
			w.Header().Set("Cache-Control", "no-store")
			no(w, status, refused.why, refused.text)
			return
		}
		h(w, r)
	}
}
