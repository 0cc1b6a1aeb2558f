// Package lan knows how the shop machine is found in the shop's network: by which
// addresses, and under which name. It answers questions for a name that ends in
// .local itself (RFC 6762); any other name is the router's to answer for.
package lan
