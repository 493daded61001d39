package authority

import (
	"net/netip"
	"slices"
	"strings"
)

// Names are what a server's certificate is for.
type Names struct {
	DNS []string
	IPs []netip.Addr
}

// Split makes the names of a certificate from the machine's name and its
// addresses, and says what it leaves out: names and addresses that are not
// private.
func Split(machine string, addrs []netip.Addr) (n Names, dropped []string) {
	n.DNS = []string{"localhost", Local(machine)}
	if machine = strings.TrimSuffix(strings.ToLower(strings.TrimSpace(machine)), "."); machine != "" && !slices.Contains(n.DNS, machine) {
		if isName(machine) && private(machine) {
			n.DNS = append(n.DNS, machine)
		} else {
			dropped = append(dropped, machine)
		}
	}
	n.IPs = []netip.Addr{netip.AddrFrom4([4]byte{127, 0, 0, 1}), netip.IPv6Loopback()}
	for _, ip := range addrs {
		ip = ip.Unmap().WithZone("")
		switch {
		case !ip.IsValid() || ip.IsUnspecified() || ip.IsMulticast() || slices.Contains(n.IPs, ip):
		case ip.Is6() && ip.IsLinkLocalUnicast(): // has no meaning without its interface, which no address bar takes
		case permitted(ip):
			n.IPs = append(n.IPs, ip)
		default:
			dropped = append(dropped, ip.String())
		}
	}
	slices.SortFunc(n.IPs, netip.Addr.Compare)
	slices.Sort(n.DNS)
	n.DNS = slices.Compact(n.DNS)
	return n, dropped
}

// Local is the machine's name on the local network (RFC 6762).
func Local(machine string) string { return label(machine) + ".local" }

// label is the first part of a machine's name, made of what a name may hold
// (RFC 1123, 2.1).
func label(machine string) string {
	first, _, _ := strings.Cut(strings.ToLower(strings.TrimSpace(machine)), ".")
	var b strings.Builder
	for _, c := range first {
		switch {
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9':
			b.WriteRune(c)
		case c == '-', c == '_', c == ' ':
			b.WriteByte('-')
		}
	}
	out := strings.Trim(b.String(), "-")
	out = strings.Trim(out[:min(len(out), 63)], "-")
	if out == "" || out == "localhost" {
		return "portwright"
	}
	return out
}

// isName says whether text is a name of the Internet's kind.
func isName(text string) bool {
	if len(text) > 253 {
		return false
	}
	for part := range strings.SplitSeq(text, ".") {
		if part == "" || len(part) > 63 || strings.HasPrefix(part, "-") || strings.HasSuffix(part, "-") {
			return false
		}
		for _, c := range part {
			if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '-' {
				return false
			}
		}
	}
	return true
}

// private says whether a name lies within the constraints.
func private(name string) bool {
	return slices.ContainsFunc(names, func(domain string) bool { return name == domain || strings.HasSuffix(name, "."+domain) })
}

// permitted says whether an address lies within the constraints.
func permitted(ip netip.Addr) bool {
	return slices.ContainsFunc(networks, func(text string) bool { return netip.MustParsePrefix(text).Contains(ip) })
}

// Equal says whether two certificates would be for the same.
func (n Names) Equal(m Names) bool { return slices.Equal(n.DNS, m.DNS) && slices.Equal(n.IPs, m.IPs) }
