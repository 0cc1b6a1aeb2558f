// Package store keeps the shop's records in one SQLite file, and is the only
// place with SQL. Records are only ever added. Each has a position, counted from
// 1 without a gap in order of arrival, and the log carries a hash chain
// (chain.Next), so that a tablet and the shop can tell with one comparison
// whether they hold the same past.
//
// Append returns after the records are on disk: what it reports as stored
// survives the end of the program at any moment.
package store
