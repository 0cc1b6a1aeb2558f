// Package num solves small dense systems; it knows nothing of tubes.
//
// Nothing here panics on data. Where a system cannot be solved, a NaN among its
// numbers included, the bool that comes back is false.
package num
