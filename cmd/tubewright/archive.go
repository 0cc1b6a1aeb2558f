package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"tubewright/calc/fault"
	"tubewright/calc/job"
	"tubewright/store"
)

// list is a flag that may be given more than once.
type list []string

func (l *list) String() string     { return strings.Join(*l, ", ") }
func (l *list) Set(s string) error { *l = append(*l, s); return nil }

// exportCommand writes an archive.
func exportCommand(ctx context.Context, args []string, stdout, stderr io.Writer) (err error) {
	fl := flags("export", " FILE", `Writes records and photos into one archive, FILE (NAME.tubewright.zip), also
while the server runs. What the file holds is described in store/ARCHIVE.md.
Exit code 0: written. 1: not written, or without photos that are missing here.`, stderr)
	data := dataFlag(fl)
	var jobs list
	fl.Var(&jobs, "job", "id of a job, may be given more than once; everything unless given")
	if err := parse(fl, args, 1); err != nil {
		return err
	}
	st, err := openShop(ctx, *data)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	if len(jobs) > 0 {
		if err := knownJobs(ctx, st, jobs); err != nil {
			return err
		}
	}
	name := fl.Arg(0)
	var a store.Archived
	err = writeNew(name, func(w io.Writer) error {
		a, err = st.Export(ctx, w, jobs)
		return err
	})
	if err != nil {
		return err
	}
	return tellArchived(stdout, name, a)
}

// writeNew writes a file that is not there yet; under its name it is whole or not at all.
func writeNew(name string, write func(io.Writer) error) error {
	if _, err := os.Lstat(name); !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s is there already, or cannot be made; it was left alone", name)
	}
	half, err := os.CreateTemp(filepath.Dir(name), ".new-*.zip")
	if err != nil {
		return err
	}
	defer os.Remove(half.Name()) // does nothing once it has its name
	err = write(half)
	if err == nil {
		err = half.Sync()
	}
	if err = errors.Join(err, half.Close()); err != nil {
		return err
	}
	return os.Rename(half.Name(), name)
}

// tellArchived says what an archive got.
func tellArchived(stdout io.Writer, name string, a store.Archived) error {
	fmt.Fprintf(stdout, "%s: %d records, %d photos and previews\n", name, a.Records, a.Photos)
	for _, sha := range a.Missing {
		fmt.Fprintf(stdout, "Photo %s is not in it: its bytes are not in the shop or not right.\n", sha)
	}
	if len(a.Missing) > 0 {
		return fmt.Errorf("%d photos are not in the archive", len(a.Missing))
	}
	return nil
}

// knownJobs refuses ids that nobody wrote about, which are mistyped.
func knownJobs(ctx context.Context, st *store.Store, jobs []string) error {
	for _, id := range jobs {
		recs, err := st.Job(ctx, id)
		if err != nil {
			return err
		}
		if len(recs) == 0 {
			return fmt.Errorf("%w: there is no job %q", errUnusable, id)
		}
	}
	return nil
}

// importCommand takes in archives and job files.
func importCommand(ctx context.Context, args []string, stdout, stderr io.Writer) (err error) {
	fl := flags("import", " FILE...", `Takes in archives (NAME.tubewright.zip, of a shop or a tablet) and job files
(NAME.job.json), also while the server runs. An archive may be taken in any
number of times; a job file makes a new job each time.
Exit code 0: all of it was taken in. 1: not all; the report says what is wrong.
2: a file cannot be used at all.`, stderr)
	data := dataFlag(fl)
	if err := parseSome(fl, args); err != nil {
		return err
	}
	if err := os.MkdirAll(*data, 0o700); err != nil {
		return fmt.Errorf("make data folder: %w", err)
	}
	st, err := store.Open(ctx, databaseIn(*data))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	var errs []error
	for _, name := range fl.Args() {
		take := importArchive
		if strings.HasSuffix(strings.ToLower(name), ".json") {
			take = importJob
		}
		if err := take(ctx, st, name, stdout, stderr); err != nil {
			errs = append(errs, fmt.Errorf("%s: %w", name, err))
		}
	}
	return errors.Join(errs...)
}

func importArchive(ctx context.Context, st *store.Store, name string, stdout, _ io.Writer) error {
	f, err := os.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	im, err := st.Import(ctx, f, info.Size())
	if errors.Is(err, store.ErrNoArchive) {
		return fmt.Errorf("%w: %w", errUnusable, err)
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "%s: ", name)
	for _, s := range importWords(im) {
		fmt.Fprintln(stdout, s)
	}
	if !im.Whole() {
		return fmt.Errorf("not all of it was taken in: %d things are wrong", len(im.Wrong)+im.More)
	}
	return nil
}

// importWords says what became of an archive, a sentence a line.
func importWords(im store.Imported) []string {
	said := []string{fmt.Sprintf("%d records new, %d known, %d set aside; %d photos and previews new, %d not needed", im.Records, im.Known, im.Aside, im.Photos, im.Here)}
	if im.Drafts > 0 {
		said = append(said, fmt.Sprintf("%d half-typed texts stay in the file (drafts.jsonl): nobody called them done.", im.Drafts))
	}
	if im.Others > 0 {
		said = append(said, fmt.Sprintf("%d records of another shop's own stock and saw stay in the file: this shop has its own, on which the plan of cuts now rests.", im.Others))
	}
	said = append(said, im.Wrong...)
	if im.More > 0 {
		said = append(said, fmt.Sprintf("and %d more", im.More))
	}
	return said
}

// importJob makes a new job of a job file.
func importJob(ctx context.Context, st *store.Store, name string, stdout, stderr io.Writer) error {
	data, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	facts, err := job.ReadFile(data)
	if err != nil {
		for _, f := range fault.All(err) {
			fmt.Fprintf(stderr, "%s: %v\n", name, f)
		}
		return fmt.Errorf("%w %w", errUnusable, errSaid)
	}
	w := recordMaker{job: newID(), dev: newID(), person: "import of " + filepath.Base(name), at: time.Now()}
	for _, d := range facts.Drafts() {
		w.add(d)
	}
	a, err := st.Append(ctx, w.dev, w.raws)
	if err != nil {
		return err
	}
	for _, r := range a.Refused { // longer than a record may be
		fmt.Fprintf(stdout, "%s: %s\n", name, r.Reason)
	}
	if len(a.Refused) > 0 {
		return fmt.Errorf("%d values were not taken in", len(a.Refused))
	}
	fmt.Fprintf(stdout, "%s: a new job, %s, of %d records\n", name, w.job, len(a.Stored))
	for _, u := range facts.Unknown {
		fmt.Fprintf(stdout, "%s is not used by this version, or not here; it was left out.\n", u.Where)
	}
	return nil
}
