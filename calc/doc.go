// Package calc holds no code, only the packages below it and the test of which
// may import which. Everything in here takes numbers and gives numbers: no disk,
// network, clock, log or randomness of its own.
package calc
