package server

import (
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/gorilla/websocket"
)

// How fast the shop is, over real sockets on this machine and with the real store
// and the shop's own limits:
//
//	go test ./server -run '^$' -bench . -benchtime 1x

// BenchmarkSaveToWall measures from the push of one reading to its echo on the
// tablet ("in the shop") and to the wall board, with every tablet saving as soon
// as the wall shows its last one. The wall gets at most five frames a second.
func BenchmarkSaveToWall(b *testing.B) {
	for _, tablets := range []int{1, 10, 30} {
		b.Run(fmt.Sprint(tablets), func(b *testing.B) {
			const each = 20
			s := openShop(b, openLog(b), shopLimits, nil)
			wall := s.peer("wall")
			wall.hello("board")
			wall.want("welcome")
			var mu sync.Mutex
			shown := map[string]chan time.Time{} // by the name that the wall is to show
			go func() {
				for {
					_, text, err := wall.conn.ReadMessage()
					if err != nil {
						return
					}
					now := time.Now()
					var f boardFrame
					if json.Unmarshal(text, &f) != nil {
						continue
					}
					mu.Lock()
					for _, j := range f.Jobs {
						if c := shown[j.Name]; c != nil {
							c <- now
							delete(shown, j.Name)
						}
					}
					mu.Unlock()
				}
			}()
			var echoes, walls []time.Duration
			for b.Loop() {
				var saving sync.WaitGroup
				for k := range tablets {
					p := s.join(fmt.Sprintf("t-%d-%d", k, len(echoes)))
					saving.Go(func() {
						defer p.conn.Close()
						for i := range each {
							name := fmt.Sprint(p.dev, " ", i)
							c := make(chan time.Time, 1)
							mu.Lock()
							shown[name] = c
							mu.Unlock()
							start := time.Now()
							p.push(note(p.dev, i, "j-"+strconv.Itoa(k), "job/self/name", name))
							for p.stubs[recID(p.dev, i)] == "" {
								if _, err := p.next(); err != nil {
									b.Error(err)
									return
								}
							}
							echo := time.Since(start)
							var onWall time.Duration
							select {
							case at := <-c:
								onWall = at.Sub(start)
							case <-time.After(10 * time.Second):
								b.Errorf("the wall never showed %s", name)
								return
							}
							mu.Lock()
							echoes, walls = append(echoes, echo), append(walls, onWall)
							mu.Unlock()
						}
					})
				}
				saving.Wait()
			}
			report := func(name string, took []time.Duration) {
				slices.Sort(took)
				b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, name+"-p50-ms")
				b.ReportMetric(float64(took[len(took)*95/100].Microseconds())/1000, name+"-p95-ms")
			}
			report("shop", echoes)
			report("wall", walls)
		})
	}
}

// counted counts the bytes of a connection, both ways.
type counted struct {
	net.Conn
	n *atomic.Int64
}

func (c counted) Read(b []byte) (int, error) {
	n, err := c.Conn.Read(b)
	c.n.Add(int64(n))
	return n, err
}

func (c counted) Write(b []byte) (int, error) {
	n, err := c.Conn.Write(b)
	c.n.Add(int64(n))
	return n, err
}

func (s *shop) countedJoin(dev string, pack []string) (*peer, *atomic.Int64) {
	s.t.Helper()
	n := new(atomic.Int64)
	dialer := websocket.Dialer{NetDial: func(network, addr string) (net.Conn, error) {
		conn, err := net.Dial(network, addr)
		return counted{conn, n}, err
	}}
	conn, _, err := dialer.Dial("ws://"+s.host+"/sync", http.Header{"Origin": {"http://" + s.host}})
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { conn.Close() })
	p := s.over(conn, dev)
	p.helloThat("measure", pack)
	p.want("welcome")
	return p, n
}

// reading is a record as a tablet writes it.
func reading(dev string, n int) string {
	return rawRecord(dev, n, "reading", "j-"+strconv.Itoa(n/100), "port/p"+strconv.Itoa(n%8)+"/width", map[string]any{
		"text": "41.3", "unit": "mm", "nm": 41_300_000, "res": 100_000, "tool": "caliper", "person": "Sam", "at": "2025-11-24T23:04:01+00:00"})
}

// BenchmarkOutbox measures a tablet that comes back with 10,000 readings, until
// it has read them all back; and another that then fetches them.
func BenchmarkOutbox(b *testing.B) {
	b.Run("text", func(b *testing.B) { benchmarkOutbox(b, nil) })
	b.Run("packed", func(b *testing.B) { benchmarkOutbox(b, deflate) })
}

func benchmarkOutbox(b *testing.B, way []string) {
	const n = 10_000
	var records, text int
	var up, down, upBytes, downBytes float64
	for b.Loop() {
		s := openShop(b, openLog(b), shopLimits, nil)
		raws := make([]string, n)
		for i := range raws {
			raws[i] = reading("one", i)
			text += len(raws[i])
		}
		p, wire := s.countedJoin("one", way)
		start := time.Now()
		go func() {
			for i := 0; i < n; i += pushRecords {
				kind, frame := websocket.TextMessage, encode(map[string]any{"t": "push", "recs": raws[i : i+pushRecords]})
				if way != nil {
					kind, frame = websocket.BinaryMessage, pack(frame)
				}
				p.conn.WriteMessage(kind, frame)
			}
		}()
		p.level(n)
		up += time.Since(start).Seconds()
		upBytes += float64(wire.Load())
		start = time.Now()
		q, wire := s.countedJoin("two", way)
		q.level(n)
		down += time.Since(start).Seconds()
		downBytes += float64(wire.Load())
		records += n
	}
	b.ReportMetric(float64(records)/up, "outbox-records/s")
	b.ReportMetric(upBytes/float64(records), "outbox-wire-B/record")
	b.ReportMetric(float64(records)/down, "fetch-records/s")
	b.ReportMetric(downBytes/float64(records), "fetch-wire-B/record")
	b.ReportMetric(float64(text)/float64(records), "text-B/record")
}

// BenchmarkPhotos measures one tablet that sends 200 photos of half a megabyte,
// two requests at a time.
func BenchmarkPhotos(b *testing.B) {
	const photos = 200
	pictures := make([][]byte, photos)
	plain := pictureFile(b, "plain.jpg")
	for i := range pictures { // the same picture in different files: what counts is the bytes
		app := []byte(fmt.Sprintf("%08d", i))
		pictures[i] = slices.Concat(plain[:2], []byte{0xff, 0xe5, 0, byte(2 + len(app))}, app, plain[2:])
		pictures[i] = append(pictures[i], make([]byte, 500_000-len(pictures[i]))...)
	}
	var took time.Duration
	var bytes int
	for b.Loop() {
		s := openShop(b, openLog(b), shopLimits, nil)
		start := time.Now()
		var sending sync.WaitGroup
		for k := range 2 {
			sending.Go(func() {
				for i := k; i < photos; i += 2 {
					if status, answer := s.upload(b, pictures[i]); status != http.StatusOK {
						b.Errorf("photo %d: %d %s", i, status, answer)
						return
					}
				}
			})
		}
		sending.Wait()
		took += time.Since(start)
		bytes += photos * 500_000
	}
	b.ReportMetric(float64(bytes)/1e6/took.Seconds(), "MB/s")
	b.ReportMetric(0, "ns/op")
}
