package lan

import (
	"net"
	"testing"

	"github.com/miekg/dns"
)

func TestZoneAnswersForItsOwnNameOnly(t *testing.T) {
	z := zone{"tubewright.local", func() []net.IP { return ips("192.168.1.20", "10.0.0.5") }}
	for _, c := range []struct {
		name  string
		q     dns.Question
		kinds []uint16
	}{
		{"address", dns.Question{Name: "tubewright.local.", Qtype: dns.TypeA, Qclass: dns.ClassINET}, []uint16{dns.TypeA, dns.TypeA}},
		{"capitals (RFC 6762 section 16)", dns.Question{Name: "TubeWright.LOCAL.", Qtype: dns.TypeA, Qclass: dns.ClassINET}, []uint16{dns.TypeA, dns.TypeA}},
		{"answer to the asker alone", dns.Question{Name: "tubewright.local.", Qtype: dns.TypeA, Qclass: dns.ClassINET | unicastOK}, []uint16{dns.TypeA, dns.TypeA}},
		{"anything", dns.Question{Name: "tubewright.local.", Qtype: dns.TypeANY, Qclass: dns.ClassANY}, []uint16{dns.TypeA, dns.TypeA}},
		{"IPv6: there is none, and it says so", dns.Question{Name: "tubewright.local.", Qtype: dns.TypeAAAA, Qclass: dns.ClassINET}, []uint16{dns.TypeNSEC}},
		{"another name", dns.Question{Name: "printer.local.", Qtype: dns.TypeA, Qclass: dns.ClassINET}, nil},
		{"a name below", dns.Question{Name: "a.tubewright.local.", Qtype: dns.TypeA, Qclass: dns.ClassINET}, nil},
		{"another class", dns.Question{Name: "tubewright.local.", Qtype: dns.TypeA, Qclass: dns.ClassCHAOS}, nil},
	} {
		got := z.Records(c.q)
		if len(got) != len(c.kinds) {
			t.Errorf("%s: %v", c.name, got)
			continue
		}
		for i, rr := range got {
			if rr.Header().Rrtype != c.kinds[i] || rr.Header().Ttl != hostTime {
				t.Errorf("%s: %v", c.name, rr)
			}
		}
	}
	first, ok := z.Records(dns.Question{Name: "tubewright.local.", Qtype: dns.TypeA, Qclass: dns.ClassINET})[0].(*dns.A)
	if !ok || !first.A.Equal(net.IPv4(192, 168, 1, 20)) {
		t.Errorf("the likeliest address is not first: %v", first)
	}
	// What is sent can be read again: the record that says "no more than this" has a bit map.
	m := dns.Msg{Answer: z.Records(dns.Question{Name: "tubewright.local.", Qtype: dns.TypeAAAA, Qclass: dns.ClassINET})}
	b, err := m.Pack()
	if err != nil || m.Unpack(b) != nil {
		t.Errorf("pack: %v", err)
	}
}
