package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strconv"

	"tubewright/calc/fault"
	"tubewright/calc/job"
)

// fillingCommand prints what fills a part of a tube from stock.
func fillingCommand(args []string, stdout, stderr io.Writer) error {
	fs := flags("filling", " FILE TUBE [FROM TO]", `Plans what fills a part of a tube of a job file from its stock, from one joint to
another or all of it, and prints it as JSON; README lists the keys. Joint 0 is at the
flange, the last one at the end. "-" reads standard input.
Exit code 0: computed, also where nothing fits. 2: the file or the joints cannot be
used.`, stderr)
	operands, err := parseMixed(fs, args, 2, 4)
	if err != nil {
		return err
	}
	span := job.Span{Tube: operands[1], To: job.ToTheEnd}
	switch len(operands) {
	case 3:
		return fmt.Errorf("%w: joint %s: to which other one?", errUnusable, operands[2])
	case 4:
		for i, to := range []*int{&span.From, &span.To} {
			if *to, err = strconv.Atoi(operands[2+i]); err != nil || *to < 0 {
				return fmt.Errorf("%w: joint %q: want a number, 0 or more", errUnusable, operands[2+i])
			}
		}
	}
	data, err := readFile(operands[0])
	if err != nil {
		return fmt.Errorf("%w: %w", errUnusable, err)
	}
	w, err := job.WorkFile(data)
	if err != nil {
		for _, f := range fault.All(err) {
			fmt.Fprintf(stderr, "%s: %v\n", operands[0], f)
		}
		return fmt.Errorf("%w %w", errUnusable, errSaid)
	}
	plan, err := job.Filling(w.Job, span, nil)
	if err != nil {
		return fmt.Errorf("%w: %w", errUnusable, err)
	}
	out := json.NewEncoder(stdout)
	out.SetIndent("", " ")
	out.SetEscapeHTML(false)
	if err := out.Encode(plan); err != nil {
		return fmt.Errorf("print filling: %w", err)
	}
	return nil
}
