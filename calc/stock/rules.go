package stock

// rules are what a part of a tree keeps to.
type rules struct {
	cut []int  // of each straight how many are cut from tubing at least
	leg []bool // of each straight whether no more than that are
	// Pairs of bends that are cut from one bar, and that are not.
	together, apart [][2]int
}

// allow reports whether the bends of a bar keep to the rules.
func (u *rules) allow(take []int) bool {
	if len(u.together)+len(u.apart) == 0 {
		return true
	}
	has := func(part int) bool {
		for _, i := range take {
			if i == part {
				return true
			}
		}
		return false
	}
	for _, p := range u.together {
		if has(p[0]) != has(p[1]) {
			return false
		}
	}
	for _, p := range u.apart {
		if has(p[0]) && has(p[1]) {
			return false
		}
	}
	return true
}

// forbids reports whether a column is against the rules.
func (u *rules) forbids(col *column) bool {
	if col.bar < 0 {
		return len(col.count) == 2 && u.leg != nil && u.leg[col.count[0].row]
	}
	return len(col.take) > 0 && !u.allow(col.take)
}

func (r *relaxed) isOff(i int) bool { return i < len(r.off) && r.off[i] }

// keep sets the rules.
func (r *relaxed) keep(u rules) {
	r.rules = u
	r.off = r.off[:0]
	for i := range r.pool.columns {
		r.off = append(r.off, u.forbids(&r.pool.columns[i]))
	}
}
