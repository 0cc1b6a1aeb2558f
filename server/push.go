package server

import (
	"encoding/json"
	"fmt"
	"slices"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
)

// push stores the records of one frame and acknowledges them after the commit.
func (s *session) push(f *pushFrame) error {
	raws, aside, no := s.sift(f.Recs)
	ack := ackFrame{T: "ack", IDs: []string{}, Quarantined: []string{}, Refused: no}
	ctx, cancel := s.server.limited()
	defer cancel()
	if !s.isRevoked {
		s.remember(raws)
		done, err := s.server.cfg.Log.Append(ctx, s.dev, raws.texts)
		if err != nil {
			return s.logFault("append records", err)
		}
		ack.take(raws, done)
		ack.Pos = done.Pos
		s.pushed += len(done.Stored)
	}
	if len(aside.ids) > 0 {
		done, err := s.server.cfg.Pairs.PutAside(ctx, s.dev, aside.texts, s.server.lim.aside)
		if err != nil {
			return s.logFault("put records aside", err)
		}
		ack.take(aside, done)
	}
	if len(ack.Quarantined) > 0 || len(ack.Refused) > 0 {
		s.server.log.Warn("records not stored as sent", "dev", s.dev, "set aside", len(ack.Quarantined), "refused", len(ack.Refused))
	}
	s.out.put(encode(ack))
	s.server.people.heard(s.dev, "", s.server.cfg.Now(), nil, nil)
	s.server.hub.reach(ack.Pos)
	s.server.board()
	return nil
}

// take sorts what was pushed by what became of it.
func (a *ackFrame) take(p pushed, done Appended) {
	for i, id := range p.ids {
		switch {
		case slices.Contains(done.Quarantined, id):
			a.Quarantined = append(a.Quarantined, id)
		case slices.Contains(done.NoRoom, id):
			a.Refused = append(a.Refused, refused{Rec: p.at[i], ID: id, Text: noRoomText})
		default:
			a.IDs = append(a.IDs, id)
		}
	}
}

const noRoomText = "as much as the shop puts aside of one tablet lies there; somebody on the shop machine has to take that in first"

// pushed are records of a push, by place in it, id and text.
type pushed struct {
	at         []int
	ids, texts []string
}

func (p *pushed) add(at int, id, text string) {
	p.at, p.ids, p.texts = append(p.at, at), append(p.ids, id), append(p.texts, text)
}

// sift parts the records that can be stored from those that are put aside and
// those that cannot be kept: text that is no record, and what this device's own
// role may not write. After a restored backup any tablet brings back what it holds
// of the others; what it could not have written itself is put aside unless the log
// has it, since anybody can write another device's id into a record. Of a revoked
// device all is put aside. One bad record holds up no other.
func (s *session) sift(recs []string) (raws, aside pushed, no []refused) {
	for i, raw := range recs {
		r, err := ledger.Decode(raw)
		switch {
		case err != nil:
			no = append(no, refused{Rec: i, ID: idOf(raw), Text: err.Error()})
		case s.isRevoked:
			aside.add(i, r.ID, raw)
		case s.role.May(r.Kind):
			raws.add(i, r.ID, raw)
		case r.Dev != s.dev:
			aside.add(i, r.ID, raw)
		default:
			no = append(no, refused{Rec: i, ID: r.ID, Text: fmt.Sprintf("a record of kind %.40q needs the role %s", r.Kind, ledger.Lowest(r.Kind))})
		}
	}
	return raws, aside, no
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
func (s *session) remember(p pushed) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.own == nil {
		s.own = map[string][32]byte{}
	}
	for i, id := range p.ids {
		if len(s.own) >= ownRecords {
			return
		}
		s.own[id] = chain.Of(p.texts[i])
	}
}
