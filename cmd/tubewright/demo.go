package main

import (
	"context"
	"embed"
	"fmt"
	"io"
	"os"
	"os/exec"
	"runtime"
	"time"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
	"tubewright/calc/units"
	"tubewright/store"
)

// The demo's jobs are invented, and say so: shop, people, engines and sizes.
//
//go:embed demo/*.job.json
var demoJobs embed.FS

func demoCommand(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	fs := flags("demo", "", "Serves invented jobs from a folder that is thrown away at the end.", stderr)
	// Not the address of a shop's page: what a browser holds of the demo belongs to
	// its address, and would go into the shop's records.
	addr := fs.String("addr", "127.0.0.1:8413", "`address` to listen on; this machine only")
	assets := fs.String("assets", "", "folder with a built app to serve instead of the built-in one")
	open := fs.Bool("open", hasDesktop(), "open the app in this machine's browser")
	if err := parse(fs, args, 0); err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "tubewright-demo-")
	if err != nil {
		return fmt.Errorf("make demo folder: %w", err)
	}
	defer os.RemoveAll(dir)
	if err := seedDemo(ctx, databaseIn(dir), time.Now()); err != nil {
		return fmt.Errorf("make demo jobs: %w", err)
	}
	fmt.Fprint(stdout, "Everything in this demo is invented: shop, people, engines and sizes.\n\n")
	sh := shopServer{addr: *addr, data: dir, backups: backupsIn(dir, ""), files: app(*assets)}
	return sh.serve(ctx, stdout, stderr, func(url string) {
		fmt.Fprint(stdout, "\nInterrupt (Ctrl-C) ends the demo.\n")
		if *open {
			openBrowser(url)
		}
	})
}

// seedDemo writes the demo's story into a new database, as two tablets would
// have sent it over the last days.
func seedDemo(ctx context.Context, database string, now time.Time) (err error) {
	st, err := store.Open(ctx, database)
	if err != nil {
		return err
	}
	defer func() {
		if e := st.Close(); err == nil {
			err = e
		}
	}()
	for _, s := range demoStory {
		data, err := demoJobs.ReadFile("demo/" + s.file)
		if err != nil {
			return err
		}
		facts, err := job.ReadFile(data)
		if err != nil {
			return fmt.Errorf("%s: %w", s.file, err)
		}
		w := recordMaker{job: newID(), dev: newID(), person: "Rowan (invented)", at: now.Add(-s.age), step: 7 * time.Second}
		for _, d := range facts.Drafts() {
			w.add(d)
		}
		// A second pair of hands measures the same thing and reads another value:
		// both stay until a person chooses.
		w.dev, w.person, w.at = newID(), "Imre (invented)", now.Add(-s.age/2)
		for _, d := range s.second {
			w.add(d)
		}
		if _, err := st.Append(ctx, w.dev, w.raws); err != nil {
			return err
		}
	}
	return nil
}

var demoStory = []struct {
	file   string
	age    time.Duration
	second []job.Draft
}{
	{"heron.job.json", 50 * time.Hour, []job.Draft{measured("port/p3/width", "1 17/32", "in")}},
	{"wren.job.json", 26 * time.Hour, nil},
	{"plover.job.json", 3 * time.Hour, nil},
	{"curlew.job.json", 900 * time.Hour, nil}, // built: fixture, weld plan and report
}

// measured is a length as read from a caliper.
func measured(slot, text string, unit units.Unit) job.Draft {
	typed, err := units.ParseLength(text, unit)
	if err != nil {
		panic("demo: bug: " + slot + ": " + err.Error())
	}
	return job.Draft{Slot: slot, Reading: &ledger.Reading{Text: text, Unit: string(typed.Unit), NM: &typed.V, Res: typed.Res, Tool: "caliper"}}
}

// hasDesktop tells whether there is likely a browser to open.
func hasDesktop() bool {
	return runtime.GOOS == "windows" || runtime.GOOS == "darwin" || os.Getenv("DISPLAY") != "" || os.Getenv("WAYLAND_DISPLAY") != ""
}

// openBrowser opens the app; where that fails the address was printed anyway.
func openBrowser(url string) {
	command := map[string][]string{"windows": {"rundll32", "url.dll,FileProtocolHandler"}, "darwin": {"open"}}[runtime.GOOS]
	if command == nil {
		command = []string{"xdg-open"}
	}
	cmd := exec.Command(command[0], append(command[1:], url)...)
	if cmd.Start() == nil {
		go cmd.Wait()
	}
}
