package history

import (
	"slices"

	"tubewright/calc/chain"
)

// Shop is the model of the shop machine: its disk, and its sessions while it runs.
type Shop struct {
	broken *Broken
	disk   shopDisk
	behind int // of the log not on the disk yet; 0 unless broken
	open   []*session
}

// shopDisk survives a crash.
type shopDisk struct {
	log   []entry
	at    map[string]int // id to index in log
	aside []*Rec         // known id, other bytes
}

type entry struct {
	rec   *Rec
	chain chain.Sum // up to and with this one
}

// session is the shop's end of one link.
type session struct {
	link    *Link
	dev     string
	greeted bool
	sent    int64
	own     map[string]chain.Sum // pushed here and not yet read back
}

func newShop(b *Broken) *Shop { return &Shop{broken: b, disk: shopDisk{at: map[string]int{}}} }

func (d *shopDisk) high() int64 { return int64(len(d.log)) }

func (d *shopDisk) chainAt(pos int64) chain.Sum {
	if pos == 0 {
		return chain.Sum{}
	}
	return d.log[pos-1].chain
}

// prefix returns what a backup of the first n entries holds.
func (d *shopDisk) prefix(n int) shopDisk {
	n = min(n, len(d.log))
	p := shopDisk{log: slices.Clip(d.log[:n]), at: make(map[string]int, n)}
	for i, e := range p.log {
		p.at[e.rec.ID] = i
	}
	return p
}

// take acts on a frame from a tablet.
func (s *Shop) take(one *session, f *Frame) {
	switch f.T {
	case "hello":
		if !one.greeted {
			one.greeted, one.dev = true, f.Dev
			s.follow(one, f, "welcome")
		}
	case "pull":
		if one.greeted {
			s.follow(one, f, "")
		}
	case "push":
		if one.greeted {
			s.push(one, f.Recs)
		}
	}
}

func (s *Shop) follow(one *session, f *Frame, t string) {
	ours := f.Cursor <= s.disk.high() && (s.disk.chainAt(f.Cursor) == f.Chain || s.broken.NoChain)
	one.sent = f.Cursor
	if !ours && !s.broken.NeverReset {
		t, one.sent = "reset", 0
	}
	if t != "" {
		one.link.sendDown(&Frame{T: t, High: s.disk.high(), Most: 3})
	}
}

// day is how far a stamp may be from the shop's clock where stamps are refused, ms.
const day = 86_400_000

func (s *Shop) push(one *session, recs []*Rec) {
	ack := &Frame{T: "ack"}
	for _, r := range recs {
		if s.broken.ClockRefuses && (stampMS(r.HLC) > shopNow+day || stampMS(r.HLC) < shopNow-day) {
			ack.Aside = append(ack.Aside, r.ID)
			continue
		}
		if one.own == nil {
			one.own = map[string]chain.Sum{}
		}
		one.own[r.ID] = r.H
		if s.append(r) {
			ack.IDs = append(ack.IDs, r.ID)
		} else {
			ack.Aside = append(ack.Aside, r.ID)
		}
	}
	one.link.sendDown(ack)
}

// append puts a record at the end of the log; false: set aside.
func (s *Shop) append(r *Rec) bool {
	d := &s.disk
	i, known := d.at[r.ID]
	switch {
	case !known || s.broken.Doubles:
		d.at[r.ID] = len(d.log)
		d.log = append(d.log, entry{r, chain.Next(d.chainAt(d.high()), r.ID, r.H)})
		if s.broken.CommitLater {
			s.behind++
		}
		return true
	case d.log[i].rec.H == r.H || s.broken.Numbered || s.broken.BlindStub:
		return true
	case s.broken.Overwrite:
		log := slices.Clone(d.log) // backups keep theirs
		log[i].rec = r
		d.log = log
		return true
	}
	if !slices.ContainsFunc(d.aside, func(o *Rec) bool { return o.H == r.H }) {
		d.aside = append(d.aside, r)
	}
	return false
}

// feed puts the next page of each session on its way, of at most most records.
func (s *Shop) feed(most int) {
	for _, one := range s.open {
		high := s.disk.high()
		if !one.greeted || one.sent >= high || one.link.cut {
			continue
		}
		from := one.sent
		to := min(high, from+int64(most))
		page := &Frame{T: "feed", From: from, To: to, Chain: s.disk.chainAt(to)}
		for _, e := range s.disk.log[from:to] {
			h, pushed := one.own[e.rec.ID]
			line := Line{ID: e.rec.ID, H: e.rec.H, Rec: e.rec}
			switch {
			case s.broken.SkipSender && e.rec.Dev == one.dev:
				continue
			case pushed && (h == e.rec.H || s.broken.BlindStub || s.broken.Numbered):
				line.Rec = nil
			}
			delete(one.own, e.rec.ID)
			page.Lines = append(page.Lines, line)
		}
		one.sent = to
		one.link.sendDown(page)
	}
}

// connect gives a link its session.
func (s *Shop) connect(l *Link) *session {
	one := &session{link: l}
	s.open = append(slices.DeleteFunc(s.open, func(o *session) bool { return o.link.cut }), one)
	return one
}

// crash ends the program: sessions are gone, and of the log what was not on the
// disk, which is returned.
func (s *Shop) crash() (lost []*Rec) {
	for _, one := range s.open {
		one.link.close()
	}
	s.open = nil
	if s.behind > 0 {
		for _, e := range s.disk.log[len(s.disk.log)-s.behind:] {
			lost = append(lost, e.rec)
		}
		s.restore(s.disk.prefix(len(s.disk.log) - s.behind))
	}
	return lost
}

// restore puts an older disk in place of a stopped shop's.
func (s *Shop) restore(d shopDisk) {
	s.disk = d.prefix(len(d.log))
	s.disk.aside = slices.Clone(d.aside)
	s.behind = 0
}
