package job

// inspect is the group of fields that are read when the header is tacked, welded and
// fitted. They are asked for where it is inspected, not where the thing is first entered.
const inspect = "inspect"

// When a header is read. As cut each piece is read by itself.
const (
	asCut    = "as-cut"
	asTacked = "as-tacked"
	asWelded = "as-welded"
	asFitted = "fitted"
)

// moments are the words in which a gauge says when it was tried, with when that is.
var moments = []struct{ word, at string }{{"tacked", asTacked}, {"welded", asWelded}, {"fitted", asFitted}}

var (
	tubeInspect = []Field{
		readLength("length_tacked", "Length, as tacked", 10, 5000, [2]float64{250, 1300}, "Along the centreline from the port face to the end."),
		readLength("length_welded", "Length, as welded", 10, 5000, [2]float64{250, 1300}, "Along the centreline from the port face to the end."),
	}
	collectorInspect = list(posed("tacked"), posed("welded"))
	bankInspect      = []Field{
		readLength("flat_tacked", "Out of flat, as tacked", 0, 10, [2]float64{0, 1}, "The thickest feeler that goes below a straight edge along the whole flange, unbolted and cold."),
		readLength("flat_pair_tacked", "Out of flat across two ports, as tacked", 0, 10, [2]float64{0, 1}, "The same, straight edge across two ports beside each other; the worst of all."),
		readLength("flat_welded", "Out of flat, as welded", 0, 10, [2]float64{0, 1}, "The thickest feeler that goes below a straight edge along the whole flange, unbolted and cold."),
		readLength("flat_pair_welded", "Out of flat across two ports, as welded", 0, 10, [2]float64{0, 1}, "The same, straight edge across two ports beside each other; the worst of all."),
	}
	boltInspect = Field{Name: "starts", Label: "Starts by hand", Quantity: WordQ, Words: []string{"yes", "no"}, Group: inspect, Help: "All others in and loose."}
)

// inspectKinds are gaps that were tried with rods.
var inspectKinds = []Kind{
	{Name: "gauge", Label: "Gap gauged", Plural: "Gaps gauged", Fields: []Field{
		{Name: "a", Label: "From tube", Quantity: WordQ, Refs: []string{"tube"}, Group: inspect},
		{Name: "b", Label: "To", Quantity: WordQ, Refs: []string{"tube", "neighbour"}, Group: inspect},
		{Name: "at", Label: "Tried when", Quantity: WordQ, Words: []string{"tacked", "welded", "fitted"}, Group: inspect},
		readLength("goes", "Largest rod that goes", 0, 300, [2]float64{3, 60}, "0 where none goes."),
		readLength("stops", "Smallest rod that does not go", 0.1, 300, [2]float64{3, 60}, "Left open: all went that were tried."),
		number,
	}},
}

func readLength(name, label string, low, high float64, likely [2]float64, help string) Field {
	return Field{Name: name, Label: label, Quantity: LengthQ, Unit: "mm", Low: low, High: high, Likely: likely, Group: inspect, Help: help}
}

// posed asks for where a collector is, and for a second point that gives its aim.
func posed(when string) []Field {
	return list(
		place(when+"_", "Middle of the socket mouths, as "+when+",", Field{Group: inspect, Help: "In the frame in which the collector was entered."}),
		place(when+"_tip_", "Second point on the axis, as "+when+",", Field{Group: inspect, Help: "With the flow, as far off as can be measured: the middle of the outlet."}),
	)
}
