package route

import "errors"

// ErrStopped says that Step ended a search. What came back with it was found up to
// then, and holds.
var ErrStopped = errors.New("stopped")

// Close finds the smallest sets of changes after which the end of a chain meets its
// target. The error is joined *fault.Field for a question that cannot be asked, or
// ErrStopped. That nothing closes is not an error: Closing.Best says what comes
// nearest.
func Close(r Request) (Closing, error) {
	t, err := r.Target.ready()
	if err := errors.Join(err, r.Chain.check()); err != nil {
		return Closing{}, err
	}
	o := t.of(r.Chain.Start, r.Chain.Before.MM())
	return Closing{AsIs: Answer{Closes: t.holds(o)}}, nil
}
