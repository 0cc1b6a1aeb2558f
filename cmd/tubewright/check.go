package main

import (
	"context"
	"fmt"
	"io"

	"tubewright/store"
)

// checkCommand tells whether a database is sound.
func checkCommand(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	fs := flags("check", " FILE", `Tells whether a database of records is sound: the file itself, every record's
text against its hash, and the chain over all of them. Nothing is changed.
Exit code 0: sound. 1: not sound, or it cannot be read.`, stderr)
	if err := parse(fs, args, 1); err != nil {
		return err
	}
	report, err := store.Check(ctx, fs.Arg(0))
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "%s: %d records up to position %d, %d set aside, %d devices, schema %d\n",
		fs.Arg(0), report.Records, report.High, report.Quarantine, report.Devices, report.Schema)
	if report.OK() {
		fmt.Fprintf(stdout, "sound; chain %x\n", report.Chain[:8])
		return nil
	}
	for _, f := range report.Faults {
		fmt.Fprintln(stdout, f)
	}
	if report.More > 0 {
		fmt.Fprintf(stdout, "and %d faults more\n", report.More)
	}
	return fmt.Errorf("%s is not sound: %d faults", fs.Arg(0), len(report.Faults)+report.More)
}
