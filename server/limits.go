package server

import "time"

// Sizes of the protocol. A client learns the push limits in the welcome.
const (
	protoVersion = 1

	pushRecords = 200       // records in one push
	pushBytes   = 512 << 10 // bytes of record text in one push
	recordBytes = 64 << 10  // bytes of one record's text
	pageBytes   = 128 << 10 // bytes of record text in one feed page: 5 s are enough for it over 30 kB/s

	helloFrame = 4 << 10   // bytes of a frame before the welcome
	anyFrame   = 1 << 20   // bytes of a frame after it, and of one request that brings frames
	packFrom   = 2 << 10   // bytes of text above which a frame is packed where that was agreed: below, a log of the socket stays readable
	packLevel  = 3         // of compress/flate: a tenth fewer bytes than 1 at the same speed; 5 saves a twentieth more for half as much time again
	upFrames   = 200       // frames in one such request
	linkBytes  = 256 << 10 // bytes of frames that wait for the next request of a link

	queueFrames = 256     // frames waiting for one socket
	queueBytes  = 2 << 20 // their bytes

	asideRecords = 20_000   // of one device beside the log: some years of one tablet, and still read through
	asideBytes   = 64 << 20 // of their text

	ownRecords = 20_000 // pushed ids remembered for stubs; the rest comes back whole
	knownNames = 256    // devices whose last word is kept for the wall board
	doneNames  = 1000   // pictures that one session is told of at once; the rest it asks for

	chunkBytes    = 256 << 10 // bytes of one chunk of a picture
	manifestBytes = 64 << 10

	archiveBytes = 64 << 30 // of one archive that the shop machine itself takes in: more than its disk has room for beside the photos

	clockOff = 2 * time.Minute // from here on the wall board shows how far a tablet's clock is off
)

// limits holds what a test of time or numbers needs smaller than the shop does.
type limits struct {
	hello    time.Duration // from the upgrade to the hello
	read     time.Duration // without any frame, pongs included
	write    time.Duration // for one frame to leave
	ping     time.Duration // between pings
	drain    time.Duration // after a bye, for the client to close
	fetch    time.Duration // for frames that wait for a link to be fetched
	poll     time.Duration // for a request that waits for frames, when there are none
	commit   time.Duration // for one append
	silent   time.Duration // a socket without an application frame is presumed dead
	lately   time.Duration // two programs that both spoke since are both alive
	old      time.Duration // age of the older one from when on a tablet is taken for copied
	heard    time.Duration // between two notes in the log of who was heard
	board    time.Duration // between two board frames when nothing changed
	boardGap time.Duration // least time between two board frames
	upload   time.Duration // for one chunk to arrive, and before that for a place
	keep     time.Duration // for one chunk to be kept and, with the last, the whole to be checked
	show     time.Duration // for a whole picture to leave
	carry    time.Duration // for a record pack to be made, for it to leave, and for an archive to come in

	sockets   int // open sockets
	perDevice int // of them with one device id
	unknown   int // of them from one address, before a token let them in
	rate      int // frames a second from one device, and the burst
	uploads   int // chunks taken in at a time

	aside AsideRoom // of one device
}

var shopLimits = limits{
	hello:    5 * time.Second,
	read:     40 * time.Second,
	write:    5 * time.Second,
	ping:     15 * time.Second,
	drain:    time.Second,
	fetch:    40 * time.Second,
	poll:     20 * time.Second,
	commit:   10 * time.Second,
	silent:   25 * time.Second,
	lately:   15 * time.Second,
	old:      time.Minute,
	heard:    30 * time.Second,
	board:    10 * time.Second,
	boardGap: 100 * time.Millisecond,
	upload:   10 * time.Second,
	keep:     30 * time.Second,
	show:     5 * time.Minute,
	carry:    time.Hour,

	sockets:   128,
	perDevice: 4,
	unknown:   8,
	rate:      50,
	uploads:   4,

	aside: AsideRoom{asideRecords, asideBytes},
}
