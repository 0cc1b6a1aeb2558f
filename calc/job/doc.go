// Package job is one header job: what was entered, whether it can be used, and
// what follows from it.
//
// Input comes as records (package ledger) or as a job file (JSON) and becomes
// Facts, a flat table of slots. Facts are checked against one table of fields
// (Kinds) that also tells the screens what to ask. From usable Facts comes a
// typed Job, and from the Job a Plan: lengths, bender data, points, pieces and
// findings. Everything is a pure function of its input, so that tablet and shop
// machine reach the same figures.
//
// Inside, lengths are mm and angles rad; Plan, which leaves the package as
// JSON, gives mm and degrees.
package job
