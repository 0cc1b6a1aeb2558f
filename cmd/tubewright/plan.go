package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"

	"tubewright/calc/fault"
	"tubewright/calc/job"
)

// planCommand prints the plan of a job file. Input that cannot be used gives one
// line a fault and no plan: a script must never take half a cut list for a whole.
func planCommand(args []string, stdout, stderr io.Writer) error {
	fs := flags("plan", " FILE", `Works out a job file and prints the plan as JSON: lengths in mm, angles in
degrees; README lists the keys. Findings are in the plan. "-" reads standard input.
Exit code 0: computed. 2: the file cannot be used; one line for every fault.`, stderr)
	if err := parse(fs, args, 1); err != nil {
		return err
	}
	name := fs.Arg(0)
	data, err := readFile(name)
	if err != nil {
		return fmt.Errorf("%w: %w", errUnusable, err)
	}
	plan, err := job.WholeFile(data)
	if err != nil {
		for _, f := range fault.All(err) {
			fmt.Fprintf(stderr, "%s: %v\n", name, f)
		}
		return fmt.Errorf("%w %w", errUnusable, errSaid)
	}
	out := json.NewEncoder(stdout)
	out.SetIndent("", " ")
	out.SetEscapeHTML(false)
	if err := out.Encode(plan); err != nil {
		return fmt.Errorf("print plan: %w", err)
	}
	return nil
}

func readFile(name string) ([]byte, error) {
	if name == "-" {
		return io.ReadAll(os.Stdin)
	}
	return os.ReadFile(name)
}
