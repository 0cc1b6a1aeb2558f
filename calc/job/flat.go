package job

import "tubewright/calc/flange"

// Flat lays the transition at the tube's start flat, as it is cut out of sheet. It is
// that of the middle of the wall, which keeps its length when the sheet is rolled up;
// laid out on the bore it would come out too narrow by π times the wall. The error says
// why it cannot be laid flat; port, OD and wall have to be known.
func (t Tube) Flat(p Port) (flange.Template, error) {
	port, err := flange.Offset(*p.Outline, t.Wall.V.MM()/2)
	if err != nil {
		return flange.Template{}, err
	}
	l, err := flange.NewLoft(port, (t.OD.V - t.Wall.V).MM(), t.Transition.Or(t.OD.V).MM(), p.Aim)
	if err != nil {
		return flange.Template{}, err
	}
	return flange.NewTemplate(l)
}
