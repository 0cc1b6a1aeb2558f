package job

import (
	"cmp"
	"fmt"
	"slices"

	"tubewright/calc/clear"
	"tubewright/calc/sorted"
	"tubewright/calc/stock"
	"tubewright/calc/units"
	"tubewright/calc/weld"
)

// torchAlong is how far to each side of a joint a torch has to get at the tube. Own choice.
const torchAlong = 10 * units.Millimetre

// welder is a job with the joints of its tubes.
type welder struct {
	j      Job
	s      scene
	lies   []laid
	joints []WeldJoint
	of     []weld.Joint // the same, as far as the order goes
	along  []units.Length
}

func newWelder(j Job) welder {
	w := joined(j)
	w.s = newScene(j)
	w.lies = w.s.laid(make([]TubePlan, len(j.Tubes))) // how well a mock-up is known does not matter to a torch
	for i := range w.joints {
		w.settings(i)
		w.room(i)
	}
	return w
}

// joined are the joints alone.
func joined(j Job) welder {
	w := welder{j: j}
	banks, places := j.portPlaces()
	for i, t := range j.Tubes {
		section, known := t.Section()
		if !known || len(t.Path) == 0 || len(t.Open) > 0 {
			continue
		}
		pieces, err := stock.Pieces(t.ID, section, t.Path)
		if err != nil || len(pieces) == 0 {
			continue // what is wrong with the path is said where it is laid out
		}
		add := func(n int, name string, kind weld.Kind, element string, along units.Length, between []string) {
			id := jointID(t, pieces, n)
			w.joints = append(w.joints, WeldJoint{ID: id, Tube: t.ID, Number: n, Name: name, Kind: string(kind), Element: element, Pieces: between})
			w.of = append(w.of, weld.Joint{ID: id, Kind: kind, Tube: i, Along: n, Bank: banks[t.Port], Place: places[t.Port]})
			w.along = append(w.along, along)
		}
		name := func(p stock.Piece) string { return chalk(t.Number, p.Number) }
		var along units.Length
		add(0, jointName(t, pieces, 0), weld.Port, pieces[0].Element, 0, []string{"", name(pieces[0])})
		for k := 1; k < len(pieces); k++ {
			a, b := pieces[k-1], pieces[k]
			along += a.Length
			add(k, jointName(t, pieces, k), weld.Butt, b.Element, along, []string{name(a), name(b)})
		}
		last := pieces[len(pieces)-1]
		for _, c := range j.Collectors {
			if c.ID != t.Collector {
				continue
			}
			kind, text := weld.Slip, t.Title+" slips into "+lower(c.Title)
			if j.Weld.Rigid {
				kind, text = weld.Socket, intoSocket(t, c)
			}
			add(len(pieces), text, kind, "", along+last.Length, []string{name(last), ""})
		}
	}
	return w
}

// jointID is what joint n of a tube is called among all: from 0 at the port, that after the
// last piece at the collector. Between pieces it is by their numbers, so that it stays when
// the path is edited elsewhere.
func jointID(t Tube, pieces []stock.Piece, n int) string {
	switch {
	case n == 0:
		return t.ID + "/port"
	case n < len(pieces):
		return fmt.Sprintf("%s/%d-%d", t.ID, pieces[n-1].Number, pieces[n].Number)
	}
	return t.ID + "/socket"
}

// jointName is how a joint before the collector is called.
func jointName(t Tube, pieces []stock.Piece, n int) string {
	if n == 0 {
		return t.Title + " to the flange"
	}
	return fmt.Sprintf("Piece %s to %s", chalk(t.Number, pieces[n-1].Number), chalk(t.Number, pieces[n].Number))
}

// intoSocket is how the joint at the collector is called.
func intoSocket(t Tube, c Collector) string { return t.Title + " into " + lower(c.Title) }

// tackRanks are the places of joints in the order in which they are tacked: an own order.
// Without one there are none: in a fixture a tube is tacked from its port on, in whichever
// order it is welded.
func (j Job) tackRanks() map[string]int {
	ranks := map[string]int{}
	if j.Weld.Template != weld.Own {
		return ranks
	}
	w := joined(j)
	for n, i := range w.order() {
		ranks[w.joints[i].ID] = n + 1
	}
	return ranks
}

// order is that of welding.
func (w *welder) order() []int {
	if w.j.Weld.Template == weld.Own {
		return weld.OwnOrder(w.j.Weld.Order, w.of).Order
	}
	return weld.Order(w.j.Weld.Template, w.of)
}

// portPlaces are, by port, the number of its bank and its place along the flange, from 1 at
// the left; 0 where it is not known where it is.
func (j Job) portPlaces() (banks, places map[string]int) {
	banks, places = map[string]int{}, map[string]int{}
	for n, k := range j.Banks {
		ports := slices.Clone(k.Ports)
		ports = slices.DeleteFunc(ports, func(p Port) bool { return !p.X.Known })
		sorted.By(ports, func(a, b Port) int { return cmp.Compare(a.X.V, b.X.V) })
		for _, p := range k.Ports {
			banks[p.ID] = n
		}
		for i, p := range ports {
			places[p.ID] = i + 1
		}
	}
	return banks, places
}

// settings fills in what sources say to a joint.
func (w *welder) settings(i int) {
	jt := &w.joints[i]
	t := w.tube(jt.Tube)
	jt.Wall, jt.Materials = out(t.Wall.V.MM()), []string{t.Material, t.Material}
	jt.Tungsten, jt.Rod, jt.Filler = []string{}, []string{}, []FillerPlan{}
	form := weld.Edge
	switch weld.Kind(jt.Kind) {
	case weld.Port:
		form = weld.Fillet
		if k, found := w.bank(t); found {
			jt.Materials[0] = k.Material
		}
	case weld.Socket:
		form, jt.Materials[1] = weld.Fillet, "" // nobody asks what a collector is made of
	case weld.Slip:
		jt.Materials = []string{t.Material}
		return
	}
	stainless := weld.IsStainless(t.Material)
	says, err := weld.Amps(t.Wall.V, form, stainless)
	if err == nil {
		a := AmpsPlan{Rule: out(weld.RuleAmps(t.Wall.V, stainless)), Says: saysPlans(says)}
		for n, s := range weld.SettingsFor(t.Wall.V) {
			if n == 0 {
				a.Low, a.High = num(s.Amps[0]), num(s.Amps[1])
				jt.Argon = &[2]out{out(s.Argon[0] * weld.CFH), out(s.Argon[1] * weld.CFH)}
			}
			*a.Low, *a.High = min(*a.Low, out(s.Amps[0])), max(*a.High, out(s.Amps[1]))
			jt.Argon[0], jt.Argon[1] = min(jt.Argon[0], out(s.Argon[0]*weld.CFH)), max(jt.Argon[1], out(s.Argon[1]*weld.CFH))
			if !slices.Contains(jt.Tungsten, s.Tungsten) {
				jt.Tungsten = append(jt.Tungsten, s.Tungsten)
			}
			if !slices.Contains(jt.Rod, s.Filler) {
				jt.Rod = append(jt.Rod, s.Filler)
			}
			src := sourcePlan(weld.SettingsSource())
			jt.Grade, jt.Source = src.Grade, src.Text
		}
		jt.Amps = &a
	}
	for _, f := range weld.Fillers(jt.Materials[0], jt.Materials[1]) {
		jt.Filler = append(jt.Filler, FillerPlan{f.Class, sourcePlan(f.Source)})
	}
	if jt.Element != "" {
		made := t.Made[jt.Element]
		at := slices.Index(PieceStages, made.Stage)
		jt.Tacked, jt.Welded = made.isTacked(), at >= slices.Index(PieceStages, "welded")
	}
}

func saysPlans(says []weld.Says) []SaysPlan {
	list := []SaysPlan{}
	for _, s := range says {
		list = append(list, SaysPlan{s.Name, out(s.Low), out(s.High), sourcePlan(s.Source)})
	}
	return list
}

// room is the air between a joint and the nearest other tube, all tubes where they belong.
func (w *welder) room(i int) {
	jt := &w.joints[i]
	if kind := weld.Kind(jt.Kind); kind != weld.Butt && kind != weld.Port {
		return // in the nest tubes touch on purpose
	}
	here := slices.IndexFunc(w.lies, func(l laid) bool { return l.tube.ID == jt.Tube })
	if here < 0 {
		return
	}
	path := w.lies[here].path
	at := w.along[i]
	near := path.Trim(at-torchAlong, path.Length()-at-torchAlong)
	for k, l := range w.lies {
		if k == here {
			continue
		}
		r := clear.Between(near, l.path, clear.Options{Cutoff: 3 * weld.TorchRoom})
		if !r.Beyond && (jt.Room == nil || float64(jt.Room.Gap) > r.Gap.MM()) {
			jt.Room = &RoomPlan{l.tube.ID, out(r.Gap.MM())}
		}
	}
	jt.Bench = jt.Room != nil && float64(jt.Room.Gap) < (weld.TorchRoom-slack).MM()
	w.of[i].Bench = jt.Bench
}

func (w *welder) tube(id string) Tube {
	for _, t := range w.j.Tubes {
		if t.ID == id {
			return t
		}
	}
	return Tube{}
}

func (w *welder) bank(t Tube) (Bank, bool) {
	for _, k := range w.j.Banks {
		if k.ID == w.j.bankOf(t) {
			return k, true
		}
	}
	return Bank{}, false
}
