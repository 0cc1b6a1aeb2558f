package job

import (
	"fmt"
	"strconv"
	"strings"

	"tubewright/calc/geom"
)

const (
	pathReach    = 3000 // mm, as far as any place of a pattern
	fullestBulge = 1000 // an arc to within 0.23° of a full circle
	pathPlaces   = 6    // decimals, as everywhere
	longestPath  = 2000 // corners: more than any outline has, and still less than one record holds
)

// ParsePath reads a drawn outline: corners "x y" or "x y bulge" in mm, joined by
// semicolons, the last joined to the first. The bulge of what goes on from a corner is
// tan(φ/4) of an arc that turns by φ, counter-clockwise positive; left out it is 0, a
// straight line. Coordinates are within ± 3,000 mm, a bulge within ± 1,000, both plain
// decimals. The error says which corner cannot be read and why.
func ParsePath(text string) ([]geom.Vertex, error) {
	corners := strings.Split(text, ";")
	if n := len(corners); n < 2 || n > longestPath {
		return nil, fmt.Errorf("an outline has 2 to %d corners, joined by semicolons; here are %d", longestPath, n)
	}
	path := make([]geom.Vertex, len(corners))
	for i, corner := range corners {
		parts := strings.Fields(corner)
		if len(parts) != 2 && len(parts) != 3 {
			return nil, fmt.Errorf("corner %d says %.40q; it has to be x, y and, before an arc, its bulge", i+1, corner)
		}
		to := []*float64{&path[i].X, &path[i].Y, &path[i].Bulge}
		for k, part := range parts {
			most := float64(pathReach)
			if k == 2 {
				most = fullestBulge
			}
			v, err := strconv.ParseFloat(part, 64)
			if err != nil || strings.Trim(part, "+-.0123456789") != "" || !(v >= -most && v <= most) {
				return nil, fmt.Errorf("corner %d: %.40q has to be a decimal number from %g to %g", i+1, part, -most, most)
			}
			*to[k] = v
		}
	}
	return path, nil
}

// FormatPath writes what ParsePath reads, with six decimals at most.
func FormatPath(path []geom.Vertex) string {
	var b []byte
	for i, v := range path {
		if i > 0 {
			b = append(b, ';')
		}
		b = append(appendFigure(b, v.X, pathPlaces), ' ')
		b = appendFigure(b, v.Y, pathPlaces)
		if bulge := appendFigure([]byte{' '}, v.Bulge, pathPlaces); string(bulge) != " 0" {
			b = append(b, bulge...)
		}
	}
	return string(b)
}
