package job

import "tubewright/calc/ledger"

// ShopJob is the id of the shop's own job. It holds what is no job's alone: the stock on
// the rack, what was taken of it, and how the shop saws. It is in no list of jobs.
const ShopJob = "shop"

// Shared is what every job sees of the shop's own.
type Shared struct {
	Stock []Stock
	Shop  Shop // for what a job does not say itself
}

// SharedOf reads the records of the shop's own job, in any order. What cannot be used
// is left out; the view of that job says what it is.
func SharedOf(recs []ledger.Record) Shared {
	if len(recs) == 0 {
		return Shared{}
	}
	facts, _ := fromFolded(ledger.Fold(recs))
	usable, _, _ := check(facts)
	b := builder{f: usable}
	s := Shared{Stock: b.stock(), Shop: usable.ownShop()}
	for i := range s.Stock {
		s.Stock[i].InShop = true
		s.Stock[i].Title += " of the shop" // a job's own are counted from 1 as well
	}
	return s
}

func (f Facts) ownShop() Shop {
	return Shop{Kerf: f.length("shop", Self, "kerf"), Facing: f.length("shop", Self, "facing"),
		LeastPiece: f.angle("shop", Self, "least_piece"), LeastOffcut: f.angle("shop", Self, "least_offcut")}
}
