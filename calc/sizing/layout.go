package sizing

import (
	"strconv"

	"tubewright/calc/fault"
)

// Bank is a row of cylinders, front to rear by the maker's numbers.
type Bank struct {
	Name      string
	Cylinders []int
}

// Layout is how the maker numbers cylinders. The firing order alone does not say which
// tube is which: under odd and even banks 2 is the first of the second bank, under
// 1-4/5-8 the second of the first.
type Layout struct{ Banks []Bank }

// LayoutOf returns the layout of n cylinders by the word that a job has for it:
//
//	inline     one row, 1 to n; also when nothing was entered
//	odd-even   odd numbers on bank A, even ones on B
//	1-4/5-8    the first half on A, the second on B, whatever n; so is 1-3/4-6 for six
//	boxer      two rows that face each other, numbered odd and even; for other boxers
//	           name the banks
//
// Anything else has to be a Layout of its own. The error is a *fault.Field.
func LayoutOf(numbering string, n int) (Layout, error) {
	if err := fault.Within("Cylinders", float64(n), 1, mostCylinders, ""); err != nil {
		return Layout{}, err
	}
	switch numbering {
	case "", "inline":
		return Layout{[]Bank{{"A", count(1, n, 1)}}}, nil
	case "boxer":
		if n%2 != 0 {
			return Layout{}, fault.Refuse("Cylinder numbering", "a boxer has an even number of cylinders, not "+strconv.Itoa(n))
		}
		fallthrough
	case "odd-even":
		return Layout{[]Bank{{"A", count(1, n, 2)}, {"B", count(2, n, 2)}}}, nil
	case "1-4/5-8", "1-" + strconv.Itoa(n/2) + "/" + strconv.Itoa(n/2+1) + "-" + strconv.Itoa(n):
		if n%2 != 0 {
			return Layout{}, fault.Refuse("Cylinder numbering", "two halves need an even number of cylinders, not "+strconv.Itoa(n))
		}
		return Layout{[]Bank{{"A", count(1, n/2, 1)}, {"B", count(n/2+1, n, 1)}}}, nil
	}
	return Layout{}, fault.Refuse("Cylinder numbering", "it is inline, odd-even, 1-4/5-8, boxer, or a list of cylinders for each bank")
}

func count(from, to, step int) (list []int) {
	for i := from; i <= to; i += step {
		list = append(list, i)
	}
	return list
}

// Check returns what is wrong with a layout of n cylinders, a *fault.Field or nil: each
// of 1 to n stands in one bank, once.
func (l Layout) Check(n int) error {
	seen := make(map[int]bool, n)
	for _, b := range l.Banks {
		for _, cyl := range b.Cylinders {
			if cyl < 1 || cyl > n || seen[cyl] {
				return fault.Refuse("Cylinder numbering", "cylinder "+strconv.Itoa(cyl)+" stands in it twice, or the engine has none of that number")
			}
			seen[cyl] = true
		}
	}
	if len(seen) != n {
		return fault.Refuse("Cylinder numbering", "it names "+strconv.Itoa(len(seen))+" of "+strconv.Itoa(n)+" cylinders")
	}
	return nil
}

// Place returns the bank of a cylinder and its place in it, from 1 at the front; an
// empty name and 0 for one that is in none.
func (l Layout) Place(cylinder int) (bank string, place int) {
	for _, b := range l.Banks {
		for i, cyl := range b.Cylinders {
			if cyl == cylinder {
				return b.Name, i + 1
			}
		}
	}
	return "", 0
}
