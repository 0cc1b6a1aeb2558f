package job

// StockPlan is what follows for an item of stock.
type StockPlan struct {
	ID      string `json:"id"`
	Left    int    `json:"left"`     // counted on the rack, less what was taken since
	TrueCLR *out   `json:"true_clr"` // by what was measured across its legs; null where nothing was
}

func stockPlans(j Job) []StockPlan {
	plans := []StockPlan{}
	for _, s := range j.Stock {
		p := StockPlan{ID: s.ID, Left: s.Left()}
		if clr := s.TrueCLR(); clr.Known {
			p.TrueCLR = num(clr.V.MM())
		}
		plans = append(plans, p)
	}
	return plans
}
