// Package sorted puts lists in order.
package sorted

import "sort"

// By puts a list in order and leaves what is equal as it was. The functions for this
// in package slices are a little faster, but are compiled anew for every type, which
// costs each tablet some 10 kB a type.
func By[T any](list []T, compare func(a, b T) int) {
	sort.SliceStable(list, func(i, j int) bool { return compare(list[i], list[j]) < 0 })
}
