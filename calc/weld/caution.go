package weld

import (
	"tubewright/calc/sizing"
	"tubewright/calc/units"
)

// TorchRoom is how much air a torch wants round a joint.
const TorchRoom = 0.40 * units.Inch

// TorchSource is where that is from.
var TorchSource = sizing.Source{Text: "3/8 to 1/2 in with a small cup; with less than 0.40 in the joint is welded on the bench before the tubes stand together", Grade: sizing.Memory}

// HotterBy is how much hotter one tube is taken to be than its neighbour, in K: 200 °F.
// Own choice, that of the worked example of the trade.
const HotterBy = 200 / 1.8

// LeakLimit is a maker's limit for a leak test of a complete exhaust, 1 bar in kPa: common
// practice, no source.
const LeakLimit = 100.0

// Cautions stand wherever it is planned how to weld. Local rules and licensed practice
// come first.
var Cautions = []string{
	"Argon pushes air out and is not smelt: in closed rooms, pits and tanks it gathers low. Below 19.5 % oxygen the air is called deficient (29 CFR 1910.146); ventilate, and measure where it may gather.",
	"The fume of stainless holds chromium(VI): limit 5 µg/m³, action level 2.5 µg/m³ over 8 hours (29 CFR 1910.1026). Draw it off at the arc. The arc burns eyes and skin, of bystanders too.",
	"Solvent has to be dry and its can far away before any arc; fumes of chlorinated cleaners become poison in the arc, so none of these.",
	"Leak test with low pressure, behind a guard, and never with the face over a joint: plugs come out like shots.",
	"Welded and ground metal stays hot for longer than it looks. Local rules and licensed practice come first; all figures here are starting values for a scrap piece of the same tube.",
}
