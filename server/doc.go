// Package server is what the shop's machine answers with: the tablet app and
// the wall board as files, the websocket over which tablets exchange records,
// the feed of the wall board, and the plan of a job as JSON.
//
// PROTOCOL.md in this folder describes the websocket for someone who writes
// another client. The server computes nothing about tubes: results come from
// calc/job, records from whatever keeps the Log.
//
// Who runs where: every socket has two goroutines, a reader (the http handler)
// and a writer, and only the writer writes. The hub only says "there is more";
// each writer then reads its own pages from the Log, so that a slow socket
// holds nobody up and cannot miss a frame. One more goroutine makes the frames
// of the wall board.
package server
