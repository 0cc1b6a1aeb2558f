package history

import "tubewright/calc/chain"

// Frame is one message, in either direction; T says which fields count.
type Frame struct {
	T      string // hello push pull up; welcome reset ack feed bye down
	Dev    string
	Cursor int64
	Chain  chain.Sum // at Cursor; of a feed at To
	Recs   []*Rec    // push

	High  int64    // welcome, reset
	Most  int      // welcome, reset: records in one push
	IDs   []string // ack: on the shop's disk
	Aside []string // ack: not taken, set aside or refused

	From, To int64
	Lines    []Line // feed
}

// Line is one record of a feed page: whole, or as id and hash.
type Line struct {
	ID  string
	H   chain.Sum
	Rec *Rec // nil for a stub
}

// Link is one connection with the frames on their way. Either end may go on
// writing into it when it is dead.
type Link struct {
	up, down         []*Frame
	cut              bool // neither end gets anything more
	deafUp, deafDown bool // what is sent this way is swallowed
}

func (l *Link) sendUp(f *Frame) {
	if !l.cut && !l.deafUp {
		l.up = append(l.up, f)
	}
}

func (l *Link) sendDown(f *Frame) {
	if !l.cut && !l.deafDown {
		l.down = append(l.down, f)
	}
}

func (l *Link) close() { l.cut, l.up, l.down = true, nil, nil }
