// Package sizing says what published rules make of an engine.
package sizing
