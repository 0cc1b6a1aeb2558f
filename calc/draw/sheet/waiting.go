package sheet

import "tubewright/calc/job"

// Waiting returns the options with all that takes its time, worked out of a job when a
// sheet needs it, until step returns false.
func (o Options) Waiting(w job.Worked, step func(done float64) bool) Options {
	o.Cuts = func() (job.Packing, error) { return w.Job.Pack(step) }
	o.Fixture = func() job.FixturePlan { return job.PlanFixture(w.Job, step) }
	return o
}
