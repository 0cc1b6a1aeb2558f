// Package pdf writes sheets as PDF at exact size, for paper and tape measure.
//
// A sheet to scale is never made smaller: what does not fit on a page goes onto
// several, with an overlap and marks to lay them together by. Every page bears two
// rulers of 100 mm at right angles, because what a printer does to a page can only
// be seen on the paper. The file asks the viewer not to scale it. The same sheets
// give the same bytes.
//
// It rests on fpdf, which reads no file here; the fonts are built in.
package pdf
