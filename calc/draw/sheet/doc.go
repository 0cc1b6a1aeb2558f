// Package sheet makes the sheets of a job: what rules say to its sizes, the flange from
// both sides, the ports and dies as templates, transitions laid flat, and how bought
// flanges and gaskets lie on the head. A sheet is drawings at true size and lists beside
// them, or text and pictures that say so; draw, draw/pdf and draw/dxf write them. Lengths
// inside are mm in the bank frame; figures on a sheet are in the unit that is asked for.
package sheet
