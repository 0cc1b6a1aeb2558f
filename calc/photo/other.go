package photo

import (
	"bytes"
	"encoding/binary"
	"slices"
)

// heicBrands are brands of the ftyp box that HEIC pictures carry, as major or as
// a compatible one (ISO/IEC 23008-12 annex B, from memory).
var heicBrands = []string{"heic", "heix", "hevc", "hevx", "heim", "heis", "hevm", "hevs", "mif1", "msf1"}

// kinds are openings of files that people pick by mistake.
var kinds = []struct{ opening, name string }{
	{"GIF8", "a GIF"}, {"BM", "a BMP"}, {"II*\x00", "a TIFF or a camera's raw file"}, {"MM\x00*", "a TIFF or a camera's raw file"},
	{"%PDF", "a PDF"}, {"<", "a page or a drawing made of text"}, {"PK\x03\x04", "a ZIP archive"},
}

// refuseOther says what a file is that is no picture we take.
func refuseOther(b []byte) error {
	const taken = "only JPEG, PNG and WebP are taken"
	if len(b) == 0 {
		return refuse("type", "the file is empty; %s", taken)
	}
	if brands := ftyp(b); brands != nil {
		if slices.Contains(brands, "avif") || slices.Contains(brands, "avis") {
			return refuse("type", "this is an AVIF picture; %s", taken)
		}
		for _, brand := range brands {
			if slices.Contains(heicBrands, brand) {
				return refuse("type", "this picture is in HEIC, which most screens cannot show; set the tablet's camera to JPEG "+
					"(on an iPad: Settings, Camera, Formats, Most Compatible) and take it again")
			}
		}
		return refuse("type", "this is a film or a picture in a film's file; %s", taken)
	}
	text := bytes.TrimLeft(bytes.TrimPrefix(b, []byte("\xef\xbb\xbf")), " \t\r\n")
	for _, k := range kinds {
		if bytes.HasPrefix(b, []byte(k.opening)) || k.opening == "<" && bytes.HasPrefix(text, []byte("<")) {
			return refuse("type", "this is %s; %s", k.name, taken)
		}
	}
	return refuse("type", "this is not a picture; %s", taken)
}

// ftyp returns the brands of the box that HEIC files and films begin with: its
// length, "ftyp", the major brand, a version, compatible brands; nil when b does
// not begin with one.
func ftyp(b []byte) []string {
	if len(b) < 12 || string(b[4:8]) != "ftyp" {
		return nil
	}
	brands := []string{string(b[8:12])}
	stop := min(int64(binary.BigEndian.Uint32(b)), int64(len(b)), 256)
	for i := int64(16); i+4 <= stop; i += 4 {
		brands = append(brands, string(b[i:i+4]))
	}
	return brands
}
