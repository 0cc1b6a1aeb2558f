package sizing

import "tubewright/calc/units"

// Severity says what a finding asks of a person; the words are those of a job.
type Severity string

const (
	Stop Severity = "stop" // no metal is cut before this is settled
	Warn Severity = "warn" // a person has to look and decide
	Note Severity = "note" // worth knowing
)

// Finding is one thing to say, with its rule, the value, the limit and where the limit
// comes from.
type Finding struct {
	Severity     Severity
	Rule         string
	Value, Limit float64
	Unit         string
	Source       Source // of the limit
	Text, Help   string
}

// Cautions stand where parts are chosen.
var Cautions = []string{
	"These are starting values, not promises: published rules disagree, and each holds for the engines that it was made for.",
	"Removing or altering emission equipment of a road vehicle can be against the law (in the USA 42 U.S.C. 7522(a)(3)); local codes and noise rules come first.",
}

// say writes a length as findings do.
func say(l units.Length) string {
	return units.MM(l.NM(), 2) + " mm (" + units.Inches(l.NM()) + " in)"
}
