package stock

// Pack plans from which stock the pieces are cut: the least money, then the fewest
// welds, then the most useful off-cut.
//
// step is called now and then and may be nil; when it returns false, the best plan
// so far is returned. The error joins *fault.Field whose Where names the need or
// the item; there is no plan then. A piece that cannot be cut, because no stock
// has its CLR or because there is not enough, is no error: it stands in Plan.Out.
func Pack(needs []Need, items []Item, set Settings, step func(Progress) bool) (Plan, error) {
	return Plan{}, nil
}
