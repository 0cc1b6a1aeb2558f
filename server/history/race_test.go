//go:build race

package history

func init() { raceRuns = true }
