// Package stock turns the path of a tube into the pieces that are cut for it,
// with the marks that go on them, and plans which bends and lengths they are cut
// from: Pack.
package stock
