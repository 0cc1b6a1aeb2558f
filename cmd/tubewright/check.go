package main

import (
	"context"
	"fmt"
	"io"
	"os"

	"tubewright/store"
)

// checkCommand tells whether a database is sound.
func checkCommand(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	fs := flags("check", " FILE", `Tells whether a database, or a backup, is sound: the file itself, every record's
text against its hash, the chain over all of them, every photo's bytes against
its hash. FILE may be the data folder. Lists what was set aside because its id is
there with other text, for a person to look at. Nothing is changed.
Exit code 0: sound. 1: not sound, or it cannot be read.`, stderr)
	if err := parse(fs, args, 1); err != nil {
		return err
	}
	name := fs.Arg(0)
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		name = databaseIn(name)
	}
	return checkFile(ctx, name, stdout)
}

func checkFile(ctx context.Context, name string, stdout io.Writer) error {
	report, err := store.Check(ctx, name)
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "%s: %s up to position %d, %d set aside, %s paired, schema %d\n",
		name, count(report.Records, "record"), report.High, report.Quarantine, count(report.Paired, "device"), report.Schema)
	p := report.Photos
	fmt.Fprintf(stdout, "%d photos and previews, %.1f MB; %d begun, %d still on a tablet, %d taken out for good\n",
		p.Whole, float64(p.Bytes)/1e6, p.Parts, p.Awaited, p.Denied)
	if p.Stray > 0 {
		fmt.Fprintf(stdout, "%s beside the photos that no row speaks of: of newer backups, or taken in at the next start\n", count(int64(p.Stray), "file"))
	}
	for _, a := range report.SetAside {
		who := a.Name
		if who == "" {
			who = a.Dev
		}
		kept := a.Kept
		if kept == "" {
			kept = "nothing; whoever sent it may not write it, or was taken off the list"
		}
		fmt.Fprintf(stdout, "\nset aside: record %s, sent by %s on %s\n  in the log:  %s\n  set aside:   %s\n", a.ID, who, when(a.At), kept, a.Other)
	}
	if more := report.Quarantine - int64(len(report.SetAside)); more > 0 {
		fmt.Fprintf(stdout, "\nand %d set aside before\n", more)
	}
	if report.OK() {
		fmt.Fprintf(stdout, "sound; chain %x\n", report.Chain[:8])
		return nil
	}
	for _, f := range report.Faults {
		fmt.Fprintln(stdout, f)
	}
	if report.More > 0 {
		fmt.Fprintf(stdout, "and %s more\n", count(int64(report.More), "fault"))
	}
	return fmt.Errorf("%s is not sound: %s", name, count(int64(len(report.Faults)+report.More), "fault"))
}
