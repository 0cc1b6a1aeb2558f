package server

import (
	"encoding/json"
	"fmt"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
)

// push stores the records of one frame and acknowledges them after the commit.
func (s *session) push(f *pushFrame) error {
	raws, ids, no := s.sift(f.Recs)
	ctx, cancel := s.server.limited()
	defer cancel()
	s.remember(ids, raws)
	done, err := s.server.cfg.Log.Append(ctx, s.dev, raws)
	if err != nil {
		return s.logFault("append records", err)
	}
	aside := map[string]bool{}
	for _, id := range done.Quarantined {
		aside[id] = true
	}
	ack := ackFrame{T: "ack", IDs: []string{}, Pos: done.Pos, Quarantined: []string{}, Refused: no}
	for _, id := range ids {
		if aside[id] {
			ack.Quarantined = append(ack.Quarantined, id)
		} else {
			ack.IDs = append(ack.IDs, id)
		}
	}
	s.pushed += len(done.Stored)
	if len(done.Quarantined) > 0 || len(no) > 0 {
		s.server.log.Warn("records not stored as sent", "dev", s.dev, "set aside", done.Quarantined, "refused", len(no))
	}
	s.out.put(encode(ack))
	s.server.people.heard(s.dev, s.name, s.server.cfg.Now(), nil, nil)
	s.server.hub.reach(done.Pos)
	s.server.board()
	return nil
}

// sift parts the records that can be stored from those that cannot: text that
// is no record, and what this device's own role may not write. Records of other
// devices pass whatever they are, since after a restored backup any tablet
// brings back what it holds of the others. One bad record holds up no other.
func (s *session) sift(recs []string) (raws, ids []string, no []refused) {
	for i, raw := range recs {
		r, err := ledger.Decode(raw)
		switch {
		case err != nil:
			no = append(no, refused{Rec: i, ID: idOf(raw), Text: err.Error()})
		case r.Dev == s.dev && !s.role.May(r.Kind):
			no = append(no, refused{Rec: i, ID: r.ID, Text: fmt.Sprintf("a record of kind %.40q needs the role %s", r.Kind, ledger.Lowest(r.Kind))})
		default:
			raws, ids = append(raws, raw), append(ids, r.ID)
		}
	}
	return raws, ids, no
}

// idOf returns the id of a text that is no record for some other reason, so that
// the tablet knows which of its own is meant; "" when there is none.
func idOf(raw string) string {
	var r struct {
		ID string `json:"id"`
	}
	if json.Unmarshal([]byte(raw), &r) != nil || !ledger.IsID(r.ID) {
		return ""
	}
	return r.ID
}

// remember keeps what was pushed here, so that it comes back as a stub.
func (s *session) remember(ids, raws []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.own == nil {
		s.own = map[string][32]byte{}
	}
	for i, id := range ids {
		if len(s.own) >= ownRecords {
			return
		}
		s.own[id] = chain.Of(raws[i])
	}
}
