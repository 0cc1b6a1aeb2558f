package shop

import "strings"

const pairsInGroup = 4

// groups cuts a fingerprint such as AB:CD:… into groups of four pairs, as the eye
// compares them.
func groups(fingerprint string) []string {
	pairs := strings.Split(fingerprint, ":")
	var out []string
	for len(pairs) > 0 {
		n := min(pairsInGroup, len(pairs))
		out = append(out, strings.Join(pairs[:n], " "))
		pairs = pairs[n:]
	}
	return out
}
