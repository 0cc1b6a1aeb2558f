package history

// Broken says in what a variant of the protocol is broken. The zero value is
// the protocol as it is.
type Broken struct {
	AckClears    bool // the ack empties the outbox
	NoChain      bool // the hello carries the cursor alone
	NeverReset   bool // the shop does not check the place at all
	NoReoffer    bool // a reset only sets the cursor back
	ReofferOwn   bool // after a reset only own records are offered again
	CursorFirst  bool // the cursor is written in a transaction before the records
	OutboxInRAM  bool // the outbox does not survive the program
	Overwrite    bool // the same id with other bytes replaces what is there
	DropOther    bool // a record whose id the shop holds with other bytes is dropped by its tablet
	SkipSender   bool // the feed leaves out who pushed
	Doubles      bool // the shop stores whatever is pushed
	BlindStub    bool // stubs go by id on both ends, bytes are not compared
	CommitLater  bool // the shop answers before its commit
	Numbered     bool // ids are counted by device, and both ends go by id alone
	DraftsID     bool // the record of a half-typed text has an id that was kept with it
	CoverUnseen  bool // a new reading covers what came in while its form was open
	LastWins     bool // of two readings the one with the later clock is shown
	HideForever  bool // what was taken back cannot be brought back
	ChoiceAll    bool // a choice puts aside what it had not seen
	LastArrived  bool // of two readings the one that came last is shown
	Rewrites     bool // a tablet keeps what it reads in its own way of writing
	PageIsPlace  bool // every record of a page gets the place of the page's end
	ClockRefuses bool // the shop refuses stamps more than a day from its own clock
}
