// Package certs makes and renews what a tablet needs to trust the shop machine: an
// authority of the shop's own, which a person installs on each tablet once, and the
// server's certificate under it, which is renewed without anybody noticing.
//
// The authority can vouch for one name, this machine and private addresses only
// (RFC 5280 section 4.2.1.10): whoever steals its key can pretend to be nobody else.
package certs
