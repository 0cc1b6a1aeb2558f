package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
)

// needs: a program that tests look for (or, with a gap in it, a command that must
// succeed), the Debian package that has it, and what is left out without it.
var needs = []struct{ program, pkg, without string }{
	{"gcc", "gcc", "the race detector"},
	{"git", "git", "fetching what is not in a module cache"},
	{"chromium", "chromium", "the browser tests in Chromium"},
	{"chromedriver", "chromium-driver", "the browser tests in Chromium"},
	{"firefox-esr", "firefox-esr", "the browser tests in Firefox"},
	{"WebKitWebDriver", "webkit2gtk-driver", "the browser tests in WebKitGTK"},
	{"Xvfb", "xvfb", "the browser tests in WebKitGTK"},
	{"ip", "iproute2", "the tests in which the network dies"},
	{"certutil", "libnss3-tools", "browser tests over TLS"},
	{"pdftotext", "poppler-utils", "reading printed sheets back"},
	{"zbarimg", "zbar-tools", "reading printed QR codes back"},
	{"/usr/bin/python3 -m PIL.features", "python3-pil", "asking another reader which way up a photo is"},
	{"/usr/bin/python3 -m shapely.geos", "python3-shapely", "outlines beside those of GEOS"},
	{"/usr/bin/python3 -m ezdxf -V", "python3-ezdxf", "reading and writing drawings beside another library"},
	{"ogrinfo", "gdal-bin", "reading and writing drawings beside a third reader"},
	{"g++", "g++", "gaps beside those of a CAD kernel"},
	{"test -f /usr/include/opencascade/BRepExtrema_DistShapeShape.hxx", "libocct-modeling-algorithms-dev", "gaps beside those of a CAD kernel"},
	{"test -f /usr/include/opencascade/TopoDS_Vertex.hxx", "libocct-modeling-data-dev", "gaps beside those of a CAD kernel"},
	{"test -f /usr/include/opencascade/NCollection_AliasedArray.hxx", "libocct-visualization-dev", "gaps beside those of a CAD kernel"},
	{"cbc", "coinor-cbc", "cut plans beside those of a MIP solver"},
	{"node", "nodejs", "the calculation as wasm and the entry parser of the tablet"},
	{"npm", "npm", "building the app"},
}

// machine installs what the tests look for where it may, as root on Debian, and says
// what stays missing: tests that need it skip.
func (c checker) machine(ctx context.Context, w io.Writer) (tally, error) {
	var missing []string
	for _, n := range needs {
		if !isThere(ctx, n.program) && !slices.Contains(missing, n.pkg) {
			missing = append(missing, n.pkg)
		}
	}
	if len(missing) > 0 {
		c.install(ctx, w, missing)
	}
	var skipped int
	for _, n := range needs {
		if !isThere(ctx, n.program) {
			skipped++
			fmt.Fprintf(w, "SKIPPED: %s, because %s is missing (Debian: apt-get install %s)\n", n.without, n.program, n.pkg)
		}
	}
	return tally{passed: len(needs) - skipped, skipped: skipped}, nil
}

func isThere(ctx context.Context, program string) bool {
	if args := strings.Fields(program); len(args) > 1 {
		return exec.CommandContext(ctx, args[0], args[1:]...).Run() == nil
	}
	_, err := exec.LookPath(program)
	return err == nil
}

// install tries; what it could not bring is listed by the caller.
func (c checker) install(ctx context.Context, w io.Writer, pkgs []string) {
	apt, err := exec.LookPath("apt-get")
	if err != nil || os.Geteuid() != 0 {
		return
	}
	for _, args := range [][]string{{"update", "-q"}, append([]string{"install", "-q", "-y", "--no-install-recommends"}, pkgs...)} {
		cmd := exec.CommandContext(ctx, apt, args...)
		cmd.Env = append(os.Environ(), "DEBIAN_FRONTEND=noninteractive")
		if said, err := cmd.CombinedOutput(); err != nil {
			fmt.Fprintf(w, "apt-get %s: %v\n%s\n", args[0], err, last(said, 1000))
		}
	}
}

// last returns the end of what was said, where the reason stands.
func last(said []byte, n int) []byte { return said[max(0, len(said)-n):] }
