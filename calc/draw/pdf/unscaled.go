package pdf

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
)

var (
	rootIn  = regexp.MustCompile(`/Root (\d+) 0 R`)
	startIn = regexp.MustCompile(`startxref\n(\d+)\n`)
)

// asksNotToScale returns the file with the wish that a viewer prints it without
// scaling (ISO 32000-1, 12.2, PrintScaling None), which fpdf cannot say: as an
// update at its end (7.5.6), a new catalog for the old one. Not every viewer heeds
// it, hence the rulers.
func asksNotToScale(file []byte) ([]byte, error) {
	at := bytes.LastIndex(file, []byte("trailer\n"))
	if at < 0 {
		return nil, fmt.Errorf("pdf without a trailer")
	}
	trailer := file[at:]
	root, start := rootIn.FindSubmatch(trailer), startIn.FindSubmatch(trailer)
	end := bytes.Index(trailer, []byte(">>"))
	if root == nil || start == nil || end < 0 {
		return nil, fmt.Errorf("pdf with a trailer that cannot be read")
	}
	n, err := strconv.Atoi(string(root[1]))
	if err != nil {
		return nil, fmt.Errorf("read number of the catalog: %w", err)
	}
	var b bytes.Buffer
	b.Write(file)
	catalog := b.Len()
	fmt.Fprintf(&b, "%d 0 obj\n<<\n/Type /Catalog\n/Version /1.7\n/Pages 1 0 R\n/ViewerPreferences <</PrintScaling /None /PickTrayByPDFSize true>>\n>>\nendobj\n", n)
	table := b.Len()
	fmt.Fprintf(&b, "xref\n%d 1\n%010d 00000 n \n", n, catalog)
	b.Write(trailer[:end])
	fmt.Fprintf(&b, "/Prev %s\n>>\nstartxref\n%d\n%%%%EOF\n", start[1], table)
	return b.Bytes(), nil
}
