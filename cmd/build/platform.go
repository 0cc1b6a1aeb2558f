package main

// releaseToolchain is the compiler of every release, and the one under which the
// vulnerability check has to be clean. go.mod asks for less, so that building and
// testing work with the Go at hand.
const releaseToolchain = "go1.27.3"

// platform is a kind of machine that a release is built for.
type platform struct{ goos, goarch string }

var platforms = []platform{
	{"linux", "amd64"},
	{"linux", "arm64"},
	{"windows", "amd64"},
	{"darwin", "arm64"},
}

func (p platform) String() string { return p.goos + "-" + p.goarch }

// file is the name of the program for p in a release.
func (p platform) file() string {
	name := "tubewright-" + p.String()
	if p.goos == "windows" {
		name += ".exe"
	}
	return name
}

// env makes the go command build for p the same on every machine: without a C
// compiler, for the oldest processor of the kind, and with nothing of the builder's
// own settings. GOFLAGS is not left empty, since the go command then reads the
// builder's file of settings.
func (p platform) env() []string {
	return []string{
		"GOOS=" + p.goos, "GOARCH=" + p.goarch, "GOAMD64=v1", "GOARM64=v8.0",
		"CGO_ENABLED=0", "GOFLAGS=-trimpath", "GOWORK=off",
	}
}
