package server

import "sync"

// queue is what waits to be written to one socket. Any goroutine may put, one
// takes. Nobody waits: what does not fit ends the connection with a bye, and
// the client catches up by its cursor on the next one.
type queue struct {
	poke chan struct{} // holds one token while there may be something to do

	mu     sync.Mutex
	frames [][]byte
	bytes  int
	photos []string // pictures that became whole, for one frame when there is time
	latest []byte   // a frame of which only the newest is worth sending
	last   []byte   // the bye; nothing is accepted after it
	ended  bool     // the bye was taken
}

func newQueue() *queue { return &queue{poke: make(chan struct{}, 1)} }

// put adds a frame. When the queue is full the frames in it are dropped and a
// bye "resync" takes their place.
func (q *queue) put(frame []byte) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.last != nil {
		return
	}
	if len(q.frames) >= queueFrames || q.bytes+len(frame) > queueBytes {
		q.frames, q.bytes, q.photos, q.latest = nil, 0, nil, nil
		q.last = bye("resync", "this tablet takes frames too slowly; connect again and go on from the cursor")
	} else {
		q.frames = append(q.frames, frame)
		q.bytes += len(frame)
	}
	q.wake()
}

// replace sets the frame of which only the newest counts.
func (q *queue) replace(frame []byte) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.last == nil {
		q.latest = frame
		q.wake()
	}
}

// done notes a picture that became whole. It is a hint: above doneNames at once
// the rest is left out, and a client asks for what it misses.
func (q *queue) done(sha string) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.last == nil && len(q.photos) < doneNames {
		q.photos = append(q.photos, sha)
		q.wake()
	}
}

// end puts a bye behind what is waiting. The first bye stays.
func (q *queue) end(frame []byte) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.last == nil {
		q.last = frame
		q.wake()
	}
}

// take returns the next frame, nil when there is none; last says that it is the
// bye and that no frame will follow.
func (q *queue) take() (frame []byte, last bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	switch {
	case len(q.frames) > 0:
		frame, q.frames[0] = q.frames[0], nil
		q.frames = q.frames[1:]
		q.bytes -= len(frame)
		return frame, false
	case q.last != nil:
		return q.bye()
	case len(q.photos) > 0:
		frame, q.photos = encode(photosFrame{T: "photos", Done: q.photos}), nil
		return frame, false
	case q.latest != nil:
		frame, q.latest = q.latest, nil
		return frame, false
	}
	return nil, false
}

// takeBye returns the bye, nil when there is none or it was taken.
func (q *queue) takeBye() (frame []byte, last bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.bye()
}

func (q *queue) bye() (frame []byte, last bool) {
	if q.last == nil || q.ended {
		return nil, false
	}
	q.ended = true
	return q.last, true
}

// wake says that there may be something to do; it never waits.
func (q *queue) wake() { poke(q.poke) }

func bye(why, text string) []byte { return encode(byeFrame{T: "bye", Why: why, Text: text}) }
