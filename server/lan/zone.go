package lan

import (
	"net"
	"strings"

	"github.com/miekg/dns"
)

const (
	hostTime  = 120     // s that an answer may be kept (RFC 6762 section 10)
	unicastOK = 1 << 15 // in the class of a question: the answer may come to the asker alone (RFC 6762 section 5.4)
)

// zone answers for one name with the addresses that this machine has now.
type zone struct {
	name      string // without a dot at the end
	addresses func() []net.IP
}

// Records answers one question. To one about our name that has no answer it says
// so, since an asker would wait otherwise (RFC 6762 section 6.1).
func (z zone) Records(q dns.Question) []dns.RR {
	class := q.Qclass &^ unicastOK
	if !strings.EqualFold(q.Name, z.name+".") || class != dns.ClassINET && class != dns.ClassANY {
		return nil
	}
	head := func(kind uint16) dns.RR_Header {
		return dns.RR_Header{Name: q.Name, Rrtype: kind, Class: dns.ClassINET, Ttl: hostTime}
	}
	switch q.Qtype {
	case dns.TypeA, dns.TypeANY:
		var answer []dns.RR
		for _, ip := range z.addresses() {
			if ip4 := ip.To4(); ip4 != nil {
				answer = append(answer, &dns.A{Hdr: head(dns.TypeA), A: ip4})
			}
		}
		return answer
	}
	return []dns.RR{&dns.NSEC{Hdr: head(dns.TypeNSEC), NextDomain: q.Name, TypeBitMap: []uint16{dns.TypeA}}}
}
