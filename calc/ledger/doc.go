// Package ledger is the records that devices exchange and what a set of them
// means.
//
// Everything that anybody enters is an immutable Record. Nothing is updated in
// place, on any side; the union of two sets of records is again a set of records,
// so repeats, losses and any order on the way are harmless. Fold says what the
// records of one job mean: for every slot ("port/p3/width") which readings are
// on the table, whether they agree, and which one a person chose.
//
// A record's identity is its Raw text, the JSON that its device wrote. It is
// kept, sent and hashed as that text, so that no parser can change a byte and a
// field that this version does not know survives it.
//
// Everything here is a pure function of its arguments: no clock, no random
// number. The same records give the same answer on the shop machine and on the
// tablet, in whatever order they come.
package ledger
