// Package wrap is cuts as they lie on the tube laid flat: the square cut, the mitred
// cut, the end of a branch on a tube and the hole for it, and the gores of a pie-cut
// bend; and what a cut that misses the centre of a bend leaves. A curve says how far
// along the tube the cut lies at each place round the OD.
//
// Round the tube an angle counts from its outside line, the line along the outside of
// the bend, right-hand positive about the direction of flow: clockwise seen from the
// port along the tube. Laid flat with the outside of the tube up and the flow upwards,
// that is to the right. Angles are in rad, lengths in mm. Errors are joined *fault.Field.
package wrap
