// Package collector is what several tubes end in: how its sockets lie together.
//
// Lengths are mm. A collector's frame has its origin in the middle of the socket
// mouths, T along the flow, and N towards socket 1 of a ring. Sockets count
// right-hand about the flow.
package collector
