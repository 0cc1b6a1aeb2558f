package store

// SchemaVersion returns the version of the tables that this program makes and
// brings older files to. A file of a later version is refused.
func SchemaVersion() int { return version }
