package weld

import (
	"cmp"
	"slices"
	"strings"

	"tubewright/calc/sizing"
	"tubewright/calc/sorted"
)

// Kind is what a joint joins.
type Kind string

const (
	Port   Kind = "port"   // tube to flange
	Butt   Kind = "butt"   // piece to piece
	Socket Kind = "socket" // tube into the collector, welded
	Slip   Kind = "slip"   // tube into the collector, left to slide
)

// Joint is a joint of a header, as far as the order goes.
type Joint struct {
	ID    string
	Kind  Kind
	Tube  int  // its place among the tubes, from 0
	Along int  // its place along the tube, from 0 at the port
	Bank  int  // of its port
	Place int  // of its port along the flange, from 1; 0 where that is not known
	Bench bool // a torch does not get round it once the tubes stand together
}

// Template is a way to go about it. Builders swear by either.
type Template string

const (
	TackAll    Template = "tack-all"
	TubeByTube Template = "tube-by-tube"
	Own        Template = "own"
)

// Templates are the words for them.
var Templates = []string{string(TackAll), string(TubeByTube), string(Own)}

// Sources of the templates.
var (
	TackAllSource    = sizing.Source{Text: "tack everything in the fixture, then weld: quarter runs opposite each other, cool between, flange ports 2-4-1-3, flange bolted to a plate, dummy collector in place", Grade: sizing.Practice}
	TubeByTubeSource = sizing.Source{Text: "builders' diaries: each tube welded as an assembly of its own on a small movable vise, then to the flange; one keeps the flange weld for last as the last chance to correct the aim, another welds as it goes because stainless moves so much", Grade: sizing.Practice}
	OwnSource        = sizing.Source{Text: "entered for this job", Grade: sizing.Own}
)

// Every returns the places 1 to n in the order in which ports are welded: every second from
// the second on, then those between. For four that is 2-4-1-3, common practice, no source;
// that the rest go on likewise is our own choice. From four ports on, no two that follow
// each other are neighbours.
func Every(n int) []int {
	list := make([]int, 0, n)
	for _, first := range []int{2, 1} {
		for i := first; i <= n; i += 2 {
			list = append(list, i)
		}
	}
	return list
}

// turn is when the port at a place of n has its turn.
func turn(place, n int) int {
	if place < 1 || place > n {
		return n // those whose place is not known come last
	}
	return slices.Index(Every(n), place)
}

// Order returns the places in joints in the order in which they are welded: a permutation.
//
//   - tack-all: what a torch reaches only on the bench first, then butt joints from the
//     flange outwards, one tube after the other so that none gets hot, then ports.
//   - tube-by-tube, and every other template: the butt joints of a tube, then of the next;
//     then ports.
//
// Ports come in the order of Every, bank by bank, then sockets; what slips comes last, and
// is put together and not welded. Order within the butt joints of tack-all is our own choice.
func Order(t Template, joints []Joint) []int {
	ports := map[int]int{} // by bank, how many places
	for _, j := range joints {
		ports[j.Bank] = max(ports[j.Bank], j.Place)
	}
	step := func(j Joint) int {
		switch {
		case j.Kind == Butt && j.Bench && t == TackAll:
			return 0
		case j.Kind == Butt:
			return 1
		case j.Kind == Port:
			return 2
		case j.Kind == Socket:
			return 3
		}
		return 4
	}
	list := make([]int, len(joints))
	for i := range list {
		list[i] = i
	}
	sorted.By(list, func(a, b int) int {
		p, q := joints[a], joints[b]
		byTurn := cmp.Or(cmp.Compare(p.Bank, q.Bank), cmp.Compare(turn(p.Place, ports[p.Bank]), turn(q.Place, ports[q.Bank])), cmp.Compare(p.Tube, q.Tube))
		if c := cmp.Compare(step(p), step(q)); c != 0 {
			return c
		}
		switch {
		case step(p) == 1 && t == TackAll:
			return cmp.Or(cmp.Compare(p.Along, q.Along), byTurn)
		case step(p) <= 1:
			return cmp.Or(cmp.Compare(p.Tube, q.Tube), cmp.Compare(p.Along, q.Along))
		}
		return byTurn
	})
	return list
}

// Read is an order that somebody wrote.
type Read struct {
	Order   []int    // places in joints, a permutation: those named, then the missing ones
	Unknown []string // words that name no joint
	Twice   []string // named more than once: the first counts
	Missing []string // joints that are not named, in the order of tube-by-tube
}

// OwnOrder reads an order of ids with blanks or commas between them. Every text gives one:
// what is missing comes behind what is named. Taking joints away leaves the others in
// their order.
func OwnOrder(text string, joints []Joint) Read {
	at := make(map[string]int, len(joints))
	for i, j := range joints {
		at[j.ID] = i
	}
	r := Read{Order: make([]int, 0, len(joints))}
	seen := map[string]bool{}
	for _, id := range strings.FieldsFunc(text, func(c rune) bool { return c == ',' || c == ';' || c == ' ' || c == '\t' || c == '\n' || c == '\r' }) {
		i, known := at[id]
		switch {
		case seen[id]:
			if !slices.Contains(r.Twice, id) && known {
				r.Twice = append(r.Twice, id)
			}
		case !known:
			r.Unknown = append(r.Unknown, id)
		default:
			r.Order = append(r.Order, i)
		}
		seen[id] = true
	}
	for _, i := range Order(TubeByTube, joints) {
		if id := joints[i].ID; !seen[id] {
			r.Order = append(r.Order, i)
			r.Missing = append(r.Missing, id)
		}
	}
	return r
}
