package server

import (
	"strconv"
	"time"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// boardFrame is all that a wall board ever gets besides the welcome and
// heartbeats. It hangs where customers can read it: a field that is not in
// these five types does not leave the server, whatever a summary holds.
type boardFrame struct {
	T       string        `json:"t"`
	NowMS   int64         `json:"now_ms"`
	Aside   int64         `json:"aside"`            // records set aside for a person to look at
	Copied  int           `json:"copied,omitempty"` // tablets that two programs speak for at the same time
	Jobs    []boardJob    `json:"jobs"`
	Tablets []boardTablet `json:"tablets"`
}

type boardJob struct {
	ID        string `json:"id"`
	Name      string `json:"name"`
	Stage     string `json:"stage"`
	Blocked   string `json:"blocked"`
	Disputed  int    `json:"disputed"`
	Missing   int    `json:"missing"`
	Stops     int    `json:"stops"`
	Warnings  int    `json:"warnings"`
	ChangedMS int64  `json:"changed_ms"` // by the clock of the tablet that made the newest record

	Pieces  *boardPieces     `json:"pieces,omitempty"`  // only where one of them is cut
	Decided *job.DecidedPlan `json:"decided,omitempty"` // what is built, once that is decided
}

// boardPieces is how many pieces a job has, how many stand in each stage, and where each
// of them stands.
type boardPieces struct {
	All       int `json:"all"`
	Cut       int `json:"cut"`
	Deburred  int `json:"deburred"`
	Tacked    int `json:"tacked"`
	Welded    int `json:"welded"`
	Inspected int `json:"inspected"`

	Each []boardPiece `json:"each"` // tube by tube, in order from the port
}

// boardPiece is how far one piece is: the name that is chalked on it, and its stage.
type boardPiece struct {
	Name  string `json:"name"`
	Stage string `json:"stage"`
}

type boardTablet struct {
	Name   string `json:"name"`
	LastMS int64  `json:"last_ms"`
	Unsent int64  `json:"unsent"`
	// ClockMS is how far its clock is before ours, negative when it is behind;
	// only where that is more than clockOff.
	ClockMS int64 `json:"clock_ms,omitempty"`
}

// board says that a wall board may have to show something else.
func (s *Server) board() { s.jobs.touch() }

// runBoard sends a frame to every wall board when something changed, at most
// one each boardGap, and one each lim.board so that a board can tell a quiet
// shop from a dead server. When the records cannot be read it sends nothing,
// and the boards go grey.
func (s *Server) runBoard() {
	every := time.NewTicker(s.lim.board)
	defer every.Stop()
	for {
		select {
		case <-s.ctx.Done():
			return
		case <-s.jobs.changed:
		case <-every.C:
			s.lookForMore()
		}
		s.showBoards()
		select {
		case <-s.ctx.Done():
			return
		case <-time.After(s.lim.boardGap):
		}
	}
}

// lookForMore finds records that another program put into the same log, and
// backups that were made.
func (s *Server) lookForMore() {
	s.lookAtBackups()
	ctx, cancel := s.limited()
	defer cancel()
	high, err := s.cfg.Log.High(ctx)
	if err != nil {
		s.log.Error("read the newest position", "error", err)
		return
	}
	s.hub.reach(high)
}

// lookAtBackups finds how far the newest backup goes. When that cannot be read,
// what was known stays.
func (s *Server) lookAtBackups() {
	ctx, cancel := s.limited()
	defer cancel()
	pos, err := s.cfg.Log.BackedPos(ctx)
	if err != nil {
		s.log.Error("read how far the backups go", "error", err)
		return
	}
	s.backed.Store(pos)
}

func (s *Server) showBoards() {
	var boards []*session
	for _, one := range s.hub.all() {
		if one.role == ledger.Board {
			boards = append(boards, one)
		}
	}
	if len(boards) == 0 {
		return
	}
	ctx, cancel := s.limited()
	defer cancel()
	lines, err := s.jobs.all(ctx)
	if err != nil {
		if s.ctx.Err() == nil {
			s.log.Error("make the wall board", "error", err)
		}
		return
	}
	aside, err := s.cfg.Log.Aside(ctx)
	if err != nil {
		if s.ctx.Err() == nil {
			s.log.Error("count what was set aside", "error", err)
		}
		return
	}
	frame := boardFrame{T: "board", NowMS: s.cfg.Now().UnixMilli(), Aside: aside, Copied: s.hub.copied(), Jobs: make([]boardJob, len(lines)), Tablets: s.people.board()}
	for i, l := range lines {
		frame.Jobs[i] = boardLine(l)
	}
	text := encode(frame)
	for _, one := range boards {
		one.out.replace(text)
	}
}

func boardLine(l job.Summary) boardJob {
	b := boardJob{ID: l.ID, Name: l.Name, Stage: l.Stage, Blocked: l.Blocked, Disputed: l.Disputed, Missing: l.Missing, Stops: l.Stops, Warnings: l.Warnings, ChangedMS: stampMS(l.Changed), Decided: l.Decided}
	if p := l.Pieces; p.Cut+p.Deburred+p.Tacked+p.Welded+p.Inspected > 0 {
		b.Pieces = &boardPieces{All: p.All, Cut: p.Cut, Deburred: p.Deburred, Tacked: p.Tacked, Welded: p.Welded, Inspected: p.Inspected, Each: make([]boardPiece, len(p.Each))}
		for i, one := range p.Each {
			b.Pieces.Each[i] = boardPiece(one)
		}
	}
	return b
}

// stampMS reads the milliseconds of a hybrid clock, its first 13 digits; 0 when
// there are none.
func stampMS(hlc string) int64 {
	if len(hlc) < 13 {
		return 0
	}
	ms, err := strconv.ParseInt(hlc[:13], 10, 64)
	if err != nil {
		return 0
	}
	return ms
}
