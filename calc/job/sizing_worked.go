package job

// Sizing is what published rules say to the job, with the disputes on which any of it may
// rest.
func (w Worked) Sizing() SizingPlan {
	p := Sizing(w.Job)
	var disputes []Finding
	for _, f := range w.Plan.Findings {
		if f.Rule == disputedRule && len(f.Slots) > 0 && isSizing(f.Slots[0]) {
			p.Disputed, disputes = append(p.Disputed, f.Slots[0]), append(disputes, f)
		}
	}
	p.Findings = append(disputes, p.Findings...)
	return p
}
