package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"tubewright/calc/draw/dxf"
	"tubewright/calc/draw/pack"
	"tubewright/calc/draw/pdf"
	"tubewright/calc/job"
	"tubewright/calc/units"
	"tubewright/server"
	"tubewright/store"
)

// packCommand writes the record pack of one job.
func packCommand(ctx context.Context, args []string, stdout, stderr io.Writer) (err error) {
	fl := flags("pack", " JOB", `Writes the record pack of a job, also while the server runs: one archive with all
records and photos of the job, the stock and saw of the shop that its plan rests on,
every sheet that can be made, the plan, and an index, README.txt, that says where
what is. With it the header can be built once more without the car; "tubewright
import" gives the job back. JOB is its id, or its name. The customer's name is in it.
Exit code 0: written. 1: not written, or without photos that are missing here.`, stderr)
	data := dataFlag(fl)
	to := fl.String("o", "", "write to this `file`, or into this folder; here under the job's name unless given")
	paper := fl.String("paper", "a4", "of the sheets: a4, letter, a3 or tabloid")
	unit := fl.String("unit", "mm", "of the figures on them: mm or in")
	operands, err := parseMixed(fl, args, 1, 1)
	if err != nil {
		return err
	}
	on, err := pdf.PaperOf(*paper)
	if err != nil {
		return fmt.Errorf("%w: %w", errUnusable, err)
	}
	if *unit != "mm" && *unit != "in" {
		return fmt.Errorf("%w: unit %q: want mm or in", errUnusable, *unit)
	}
	st, err := openShop(ctx, *data)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	id, jobsName, err := findJob(ctx, st, operands[0])
	if err != nil {
		return err
	}
	name := *to
	if info, err := os.Stat(name); name == "" || err == nil && info.IsDir() {
		name = filepath.Join(name, packName(jobsName))
	}
	var a store.Archived
	err = writeNew(name, func(w io.Writer) error {
		a, err = packJob(ctx, st, w, id, units.Unit(*unit), on)
		return err
	})
	if err != nil {
		return err
	}
	return tellArchived(stdout, name, a)
}

// findJob returns the job of an id or, where only one is called so, of a name.
func findJob(ctx context.Context, st *store.Store, asked string) (id, name string, err error) {
	recs, err := st.All(ctx)
	if err != nil {
		return "", "", err
	}
	var called []job.Summary
	for _, s := range job.Summaries(recs) {
		if s.ID == asked {
			return s.ID, s.Name, nil
		}
		if s.Name == asked {
			called = append(called, s)
		}
	}
	switch len(called) {
	case 0:
		return "", "", fmt.Errorf("%w: there is no job %q", errUnusable, asked)
	case 1:
		return called[0].ID, called[0].Name, nil
	}
	return "", "", fmt.Errorf("%w: %d jobs are called %q; say which by its id, %s or %s", errUnusable, len(called), asked, called[0].ID, called[1].ID)
}

// packName is what the record pack of a job is called as a file.
func packName(jobsName string) string { return dxf.BaseName(jobsName, "") + "-pack.tubewright.zip" }

// packJob writes the record pack of a job.
func packJob(ctx context.Context, st *store.Store, w io.Writer, id string, unit units.Unit, on pdf.Paper) (store.Archived, error) {
	return st.Pack(ctx, w, id, func(held store.Packed) []store.Paper {
		h := pack.Holdings{Job: held.Job, Shop: held.Shop, Missing: held.Missing}
		for _, p := range held.Photos {
			h.Photos = append(h.Photos, pack.Photo(p))
		}
		var papers []store.Paper
		how := pack.Options{Unit: unit, Paper: on, Date: time.Now().Format(time.DateOnly), Program: version, Photo: server.ReportPhoto(ctx, shopBlobs{st})}
		for _, p := range pack.Papers(h, how) {
			papers = append(papers, store.Paper(p))
		}
		return papers
	})
}
