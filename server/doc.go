// Package server is what the shop's machine answers with: the tablet app and
// the wall board as files, the websocket over which tablets exchange records, the
// requests that stand for it where it is refused, the bytes of photos, the feed of
// the wall board, and the plan of a job as JSON.
//
// PROTOCOL.md in this folder describes the exchange for someone who writes
// another client. The server computes nothing about tubes: results come from
// calc/job, records from whatever keeps the Log.
//
// Who runs where: every socket has two goroutines, a reader (the http handler)
// and a writer, and only the writer writes. A link, which is made of requests, has
// the same two; the requests hand frames to the reader and fetch what the writer
// left, and no session knows which it has. Photos come and go by requests of their
// own and hold nothing that a session needs. The hub only says "there is more";
// each writer then reads its own pages from the Log, so that a slow socket
// holds nobody up and cannot miss a frame. One more goroutine makes the frames
// of the wall board.
package server
