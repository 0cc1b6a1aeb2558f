// Package history lives through random histories of a few tablets and one shop
// with everything going wrong that the sync is made for, and checks that nothing
// is lost. Tests use it, the program does not.
//
// A History is a list of steps made from a seed. Run lives through it with an
// executable model of both ends of the protocol (PROTOCOL.md): what a tablet and
// the shop keep on their disks, what their programs hold in memory, and the
// frames between them, which are delivered, cut off, lost and repeated one at a
// time. What records mean and how logs are hashed is not modelled but taken from
// the real thing, packages ledger and chain.
//
// Check says what must hold when the faults have stopped. It takes what is on
// the disks, so that it serves the model and the real programs alike:
//
//	I1  the same records and the same meaning everywhere
//	I2  what was shown as saved is in the shop, unless its tablet was wiped or put back
//	I2b what any party held when the faults stopped is in the shop
//	I3  each id is once in the log, and sending again changes nothing
//	I4  the meaning does not depend on the order of the records
//	I5  a reading is off the table only by a live record whose maker had seen it
//	I6  what a tablet holds up to its cursor is the log up to there; the outbox is empty
//	I7  a record has the same bytes everywhere
//	I8  what a tablet shows as in the shop survives a crash of the shop at that moment
//	I9  with a working link everything gets across in bounded time
//
// A suite that does not notice a broken protocol proves nothing: Broken are
// variants that each have to be caught.
//
// Client and Proxy bring the same tablet to a real server over a bad network.
package history
