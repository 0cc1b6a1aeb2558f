// Package bundle builds what the tablet runs: the calculation as wasm, the pages,
// their worker and the service worker, icons, and the list that ties them together.
//
// It is a package of its own so that browser tests can build into a folder of
// theirs; go test never writes pwa/dist.
package bundle
