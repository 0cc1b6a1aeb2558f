package shop

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

var links = []string{
	"http://192.168.1.20:8410/",
	"https://tubewright.local:8411/#/pair?code=k7q2abcdefghijklmnopqrstuv",
	"https://a-shop-with-a-rather-long-name-for-its-machine.home.arpa:8411/wall#code=k7q2abcdefghijklmnopqrstuv",
}

var run = regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1h-(\d+)z`)

// paint draws what a code's path says, module by module, as a browser would; so
// what is read back is what the page shows, not what the encoder made.
func paint(t *testing.T, svg string) image.Image {
	t.Helper()
	_, box, _ := strings.Cut(svg, `viewBox="0 0 `)
	side, err := strconv.Atoi(box[:strings.IndexByte(box, ' ')])
	if err != nil {
		t.Fatal(err)
	}
	const scale = 6
	img := image.NewGray(image.Rect(0, 0, side*scale, side*scale))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	_, path, found := strings.Cut(svg, `fill="#000000" d="`)
	path, _, _ = strings.Cut(path, `"`)
	if rest := run.ReplaceAllString(path, ""); !found || rest != "" {
		t.Fatalf("the path holds something else: %q", rest)
	}
	for _, m := range run.FindAllStringSubmatch(path, -1) {
		var n [4]int
		for i := range n {
			n[i], _ = strconv.Atoi(m[i+1]) // digits, by the pattern
		}
		if n[2] != n[3] || n[0] < quiet || n[0]+n[2] > side-quiet || n[1] < quiet || n[1] >= side-quiet {
			t.Fatalf("the run %s reaches into the margin", m[0])
		}
		for y := n[1] * scale; y < (n[1]+1)*scale; y++ {
			for x := n[0] * scale; x < (n[0]+n[2])*scale; x++ {
				img.SetGray(x, y, color.Gray{})
			}
		}
	}
	return img
}

func TestQRCodesAreReadByAnotherProgram(t *testing.T) {
	zbar, err := exec.LookPath("zbarimg")
	if err != nil {
		t.Skip("SKIPPED: no other reader of QR codes, because zbarimg is missing (Debian: apt-get install zbar-tools)")
	}
	for _, link := range links {
		var b bytes.Buffer
		if err := png.Encode(&b, paint(t, string(svgCode(link, "label", false)))); err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command(zbar, "--quiet", "--raw", "-")
		cmd.Stdin = &b
		out, err := cmd.Output()
		if err != nil || strings.TrimSuffix(string(out), "\n") != link {
			t.Errorf("read %q for %q: %v", out, link, err)
		}
	}
}

// The three finder patterns stand in their corners (ISO/IEC 18004, from memory: 7
// dark modules along each side, a light ring, 3 by 3 dark in the middle).
func TestQRCodesHaveTheirThreeFinders(t *testing.T) {
	const finder = "#######\n#.....#\n#.###.#\n#.###.#\n#.###.#\n#.....#\n#######\n"
	for _, link := range links {
		img := paint(t, string(svgCode(link, "label", true)))
		side := img.Bounds().Dx() / 6
		for _, corner := range [][2]int{{quiet, quiet}, {side - quiet - 7, quiet}, {quiet, side - quiet - 7}} {
			var got strings.Builder
			for y := range 7 {
				for x := range 7 {
					r, _, _, _ := img.At((corner[0]+x)*6, (corner[1]+y)*6).RGBA()
					got.WriteByte(map[bool]byte{true: '#', false: '.'}[r == 0])
				}
				got.WriteByte('\n')
			}
			if got.String() != finder {
				t.Errorf("%s at %v:\n%s", link, corner, got.String())
			}
		}
	}
}
