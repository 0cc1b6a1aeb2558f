package ledger

// The kinds of record that Fold reads. Other kinds are kept and passed on.
const (
	ReadingKind = "reading" // a value that somebody entered, see Reading
	ChoiceKind  = "choice"  // one reading preferred over those seen
	RetractKind = "retract" // takes another record back; of a retract: brings it back
	NoteKind    = "note"    // text of low stakes, see Note
	PieceKind   = "piece"   // how far a piece has come at the bench; its body is that of a note
)

// The kinds about pictures. They say nothing about a value, so Fold passes over
// them.
const (
	PhotoKind = "photo" // a picture of something, see Photo
	MarkKind  = "mark"  // an arrow, circle, line or text drawn on a picture
	DenyKind  = "deny"  // takes a picture out for good, see Denied
)

// Role is what a device was paired for. Every role may do what the ones before
// it may.
type Role string

// The roles, lowest first.
const (
	Board   Role = "board"   // looks on, writes nothing
	Measure Role = "measure" // readings, notes, photos, taking back
	Bench   Role = "bench"   // choices and stages of pieces too, and taking photos out for good
)

var ranks = map[Role]int{Board: 1, Measure: 2, Bench: 3}

// Kinds gives for every kind known here the lowest role that may write it.
var Kinds = map[string]Role{
	ReadingKind: Measure,
	NoteKind:    Measure,
	RetractKind: Measure,
	ChoiceKind:  Bench,
	PieceKind:   Bench,
	PhotoKind:   Measure,
	MarkKind:    Measure,
	DenyKind:    Bench,
}

// Lowest returns the lowest role that may write records of the kind. Kinds that
// are not known here need Bench.
func Lowest(kind string) Role {
	if role, known := Kinds[kind]; known {
		return role
	}
	return Bench
}

// May tells whether a device of this role may write records of the kind. A role
// that is not known may write nothing.
func (r Role) May(kind string) bool { return ranks[r] >= ranks[Lowest(kind)] }
