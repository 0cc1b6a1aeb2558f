package job

// Sizing is what published rules say to the job, with the disputes on which any of it may
// rest.
func (w Worked) Sizing() SizingPlan {
	p := Sizing(w.Job)
	var disputes, refused []Finding
	for _, f := range w.Plan.Findings {
		switch {
		case len(f.Slots) == 0 || !isSizing(f.Slots[0]):
		case f.Rule == disputedRule:
			p.Disputed, disputes = append(p.Disputed, f.Slots[0]), append(disputes, f)
		case f.Rule == unusableRule:
			refused = append(refused, f)
		}
	}
	p.refuse(refused)
	p.Findings = append(disputes, p.Findings...)
	return p
}
