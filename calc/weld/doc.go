// Package weld says how the joints of a header are welded: how long a tube is filled with
// argon, what amperage, tungsten and filler tables name for a wall, in which order the
// joints come, and what the pull of a port weld does to the far end of its tube. Sources
// disagree, so all of them are given, each with its grade. It knows tubes and joints by
// their ids and nothing of jobs.
package weld
