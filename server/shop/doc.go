// Package shop makes the pages that no app runs behind: the one of the shop machine
// itself, on which devices are let in and taken off the list, and the one from which a tablet
// gets what it needs to trust the shop machine.
//
// Both are plain documents made on the server. They work without script, load
// nothing besides themselves, and allow a browser nothing else.
package shop
