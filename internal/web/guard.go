package web

import (
	"fmt"
	"net"
	"net/http"
	"strings"
)

// policy lets pages use nothing but what this server sends, without scripts or styles written into them.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self' data:; connect-src 'self'; frame-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// hostsOf are the names under which a server at a loopback address may be asked. The error is for an address that other
// machines can reach.
func hostsOf(address string) (map[string]bool, error) {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return nil, err
	}
	ip := net.ParseIP(host)
	if host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return nil, fmt.Errorf("%s can be reached from other machines; the pages are served to this one only, such as 127.0.0.1:0", address)
	}
	return map[string]bool{net.JoinHostPort(host, port): true, net.JoinHostPort("127.0.0.1", port): true, net.JoinHostPort("localhost", port): true, net.JoinHostPort("::1", port): true}, nil
}

// Loopback says whether an address to listen at can be reached from this machine only.
func Loopback(address string) error { _, err := hostsOf(address); return err }

// guarded refuses requests under a foreign name (a page elsewhere whose name was pointed at this machine), requests
// that another origin makes, and methods nobody needs. It sets the headers that keep a page to itself.
func guarded(hosts map[string]bool, next http.Handler) http.Handler {
	// The library's check of Sec-Fetch-Site and Origin for all methods that change something.
	own := http.NewCrossOriginProtection().Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		switch {
		case !hosts[strings.ToLower(r.Host)]:
			http.Error(w, "These pages have another address. Open the one that shakedown serve prints.", http.StatusMisdirectedRequest)
		case r.Method != http.MethodGet && r.Method != http.MethodHead && r.Method != http.MethodPost:
			http.Error(w, "only GET and POST are answered", http.StatusMethodNotAllowed)
		case foreign(r, hosts):
			http.Error(w, "A page of another origin asked for this; it was refused.", http.StatusForbidden)
		default:
			own.ServeHTTP(w, r)
		}
	})
}

// foreign says that a request comes from a page of another origin. Following a link from elsewhere to a page is fine;
// being fetched, framed or sent a form by one is not.
func foreign(r *http.Request, hosts map[string]bool) bool {
	if origin := r.Header.Get("Origin"); origin != "" {
		name, ok := strings.CutPrefix(origin, "http://")
		return !ok || !hosts[strings.ToLower(name)]
	}
	site := r.Header.Get("Sec-Fetch-Site")
	if site != "cross-site" && site != "same-site" {
		return false
	}
	return r.Method != http.MethodGet || r.Header.Get("Sec-Fetch-Mode") != "navigate" || r.Header.Get("Sec-Fetch-Dest") != "document"
}
