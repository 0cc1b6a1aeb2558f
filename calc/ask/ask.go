// Package ask is how a page asks the calculation: one question as JSON text, one
// answer as JSON text. What can be asked is for the programs to say.
package ask

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"tubewright/calc/fault"
	"tubewright/calc/ledger"
)

// Refusal is the answer when there is none. Faults name fields, where the
// question held values that cannot be used.
type Refusal struct {
	Error  string         `json:"error"`
	Faults []*fault.Field `json:"faults,omitempty"`
}

// Answer reads text into question, which is a pointer, and writes what work returns.
// A fault of our own becomes a refusal too: the worker has to live on for the next
// question.
func Answer(text string, question any, work func() (any, error)) (out string) {
	defer func() {
		if p := recover(); p != nil {
			out = write(Refusal{Error: fmt.Sprintf("calculation stopped: %v", p)})
		}
	}()
	if err := json.Unmarshal([]byte(text), question); err != nil {
		return write(Refusal{Error: fmt.Sprintf("read question: %v", err)})
	}
	result, err := work()
	if err != nil {
		return Refuse(err)
	}
	return write(result)
}

// Refuse is the answer that says why there is none.
func Refuse(err error) string {
	return write(Refusal{Error: err.Error(), Faults: fault.All(err)})
}

// Records reads records as their devices wrote them. One that cannot be read refuses
// the question: a plan without it would be another plan.
func Records(raws []string) ([]ledger.Record, error) {
	recs := make([]ledger.Record, 0, len(raws))
	var errs []error
	for _, raw := range raws {
		r, err := ledger.Decode(raw)
		if err != nil {
			errs = append(errs, err)
			continue
		}
		recs = append(recs, r)
	}
	return recs, errors.Join(errs...)
}

// Of returns the records of one job.
func Of(recs []ledger.Record, job string) (own []ledger.Record) {
	for _, r := range recs {
		if r.Job == job {
			own = append(own, r)
		}
	}
	return own
}

// Lines answers questions of which each stands on a line of its own, until there are
// no more: the way to see what a tablet sees.
func Lines(in io.Reader, out io.Writer, answer func(string) string) error {
	lines := bufio.NewScanner(in)
	lines.Buffer(nil, 64<<20)
	for lines.Scan() {
		if _, err := fmt.Fprintln(out, answer(lines.Text())); err != nil {
			return fmt.Errorf("write answer: %w", err)
		}
	}
	if err := lines.Err(); err != nil {
		return fmt.Errorf("read questions: %w", err)
	}
	return nil
}

func write(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		b, _ = json.Marshal(Refusal{Error: fmt.Sprintf("write answer: %v", err)})
	}
	return string(b)
}
