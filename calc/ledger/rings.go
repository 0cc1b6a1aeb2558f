package ledger

import "math"

// rings numbers the nodes of a graph so that two nodes have the same number
// exactly when each can be reached from the other (strongly connected
// components). edges[i] are the nodes that i points to.
//
// Source: R. Tarjan, Depth-first search and linear graph algorithms, SIAM
// Journal on Computing 1 (1972) 146-160; here with a stack of its own, since a
// long history of edits would be as deep a recursion.
func rings(edges [][]int) []int {
	const done = math.MaxInt // lowest place of a node whose ring is settled
	ring := make([]int, len(edges))
	place := make([]int, len(edges)) // order of first visit, from 1
	low := make([]int, len(edges))   // least place that is reached from here
	next := make([]int, len(edges))  // edge to follow next
	var path, open []int
	visits, found := 0, 0
	for root := range edges {
		if place[root] != 0 {
			continue
		}
		path = append(path, root)
		for len(path) > 0 {
			at := path[len(path)-1]
			if place[at] == 0 {
				visits++
				place[at], low[at] = visits, visits
				open = append(open, at)
			}
			if next[at] < len(edges[at]) {
				to := edges[at][next[at]]
				if place[to] == 0 {
					path = append(path, to)
					continue // the edge is looked at again on the way back
				}
				low[at] = min(low[at], low[to])
				next[at]++
				continue
			}
			path = path[:len(path)-1]
			if low[at] != place[at] {
				continue
			}
			for {
				top := open[len(open)-1]
				open = open[:len(open)-1]
				ring[top], low[top] = found, done
				if top == at {
					break
				}
			}
			found++
		}
	}
	return ring
}
