// Tubewright is the program of the shop: it serves the tablet app, keeps the
// records and works out plans. See README.md.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"os/signal"
	"syscall"
)

const usage = `tubewright COMMAND [flags]

  serve         run the shop's server: tablet app, records, wall board, pairing
  demo          the same with invented jobs, in a folder that is thrown away
  backup        make a backup now; serve makes one every hour
  backups       list the backups
  restore FILE  put a backup in the place of the database
  export FILE   write records and photos into an archive
  pack JOB      write the record pack of a job: with its sheets, to build it once more
  import FILE   take in archives and job files
  plan FILE     work out a job file (.job.json) and print the plan as JSON
  filling FILE TUBE [FROM TO]
                plan what fills a part of a tube from stock and print it as JSON
  sheet FILE    make a sheet of a job file: flange, ports, templates (PDF, SVG, DXF)
  check FILE    tell whether a database is sound, photos included
  version       say what this program is
  help          this text

"tubewright COMMAND -h" lists the flags of a command.
`

// Exit codes that scripts can rely on.
const (
	exitDone     = 0 // done; for plan: computed, findings and all
	exitFailed   = 1 // the machine failed: no file, no port, a database that is not sound, an archive with something wrong in it
	exitUnusable = 2 // the input or the command line cannot be used
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// run carries out one command and returns the exit code.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	if len(args) == 0 {
		fmt.Fprint(stderr, usage)
		return exitUnusable
	}
	command, args := args[0], args[1:]
	switch command {
	case "serve":
		return outcome(stderr, serveCommand(ctx, args, stdout, stderr))
	case "demo":
		return outcome(stderr, demoCommand(ctx, args, stdout, stderr))
	case "plan":
		return outcome(stderr, planCommand(args, stdout, stderr))
	case "filling":
		return outcome(stderr, fillingCommand(args, stdout, stderr))
	case "sheet":
		return outcome(stderr, sheetCommand(args, stdout, stderr))
	case "backup":
		return outcome(stderr, backupCommand(ctx, args, stdout, stderr))
	case "backups":
		return outcome(stderr, backupsCommand(ctx, args, stdout, stderr))
	case "restore":
		return outcome(stderr, restoreCommand(ctx, args, stdout, stderr))
	case "export":
		return outcome(stderr, exportCommand(ctx, args, stdout, stderr))
	case "pack":
		return outcome(stderr, packCommand(ctx, args, stdout, stderr))
	case "import":
		return outcome(stderr, importCommand(ctx, args, stdout, stderr))
	case "check":
		return outcome(stderr, checkCommand(ctx, args, stdout, stderr))
	case "version", "-version", "--version":
		return outcome(stderr, versionCommand(args, stdout, stderr))
	case "help", "-h", "-help", "--help":
		fmt.Fprint(stdout, usage)
		return exitDone
	}
	fmt.Fprintf(stderr, "tubewright: there is no command %q\n\n%s", command, usage)
	return exitUnusable
}

// errUnusable is wrapped by errors about input or command line.
var errUnusable = errors.New("cannot be used")

// errSaid is returned where everything was said already.
var errSaid = errors.New("said")

func outcome(stderr io.Writer, err error) int {
	switch {
	case err == nil, errors.Is(err, flag.ErrHelp):
		return exitDone
	case errors.Is(err, errUnusable):
		if !errors.Is(err, errSaid) {
			fmt.Fprintln(stderr, "tubewright:", err)
		}
		return exitUnusable
	case !errors.Is(err, errSaid):
		fmt.Fprintln(stderr, "tubewright:", err)
	}
	return exitFailed
}

// flags makes the flag set of a command; about is one or two lines on what it does.
func flags(name, operand, about string, stderr io.Writer) *flag.FlagSet {
	fs := flag.NewFlagSet(name, flag.ContinueOnError)
	fs.SetOutput(stderr)
	fs.Usage = func() {
		fmt.Fprintf(stderr, "tubewright %s [flags]%s\n%s\n", name, operand, about)
		fs.PrintDefaults()
	}
	return fs
}

// parse reads a command line with so many operands; the flag package has said
// what is wrong with it.
func parse(fs *flag.FlagSet, args []string, operands int) error {
	return parseCount(fs, args, operands, operands)
}

// parseSome reads a command line with one operand or more.
func parseSome(fs *flag.FlagSet, args []string) error {
	return parseCount(fs, args, 1, math.MaxInt)
}

// parseMixed reads a command line whose flags stand before, between or behind its
// operands, as people type them, and returns the operands.
func parseMixed(fs *flag.FlagSet, args []string, least, most int) (operands []string, err error) {
	for {
		if err := parseCount(fs, args, 0, math.MaxInt); err != nil {
			return nil, err
		}
		if fs.NArg() == 0 {
			break
		}
		operands, args = append(operands, fs.Arg(0)), fs.Args()[1:]
	}
	if len(operands) < least || len(operands) > most {
		fs.Usage()
		return nil, fmt.Errorf("%w %w", errUnusable, errSaid)
	}
	return operands, nil
}

func parseCount(fs *flag.FlagSet, args []string, least, most int) error {
	if err := fs.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return err
		}
		return fmt.Errorf("%w %w", errUnusable, errSaid)
	}
	if fs.NArg() < least || fs.NArg() > most {
		fs.Usage()
		return fmt.Errorf("%w %w", errUnusable, errSaid)
	}
	return nil
}
