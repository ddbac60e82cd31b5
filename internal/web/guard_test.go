package web

import (
	"bytes"
	"fmt"
	"io"
	"mime/multipart"
	"net"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"shakedown/recording"
)

// send makes a request with headers as a foreign page or program would.
func (b *bench) send(method, path, host string, headers map[string]string, body io.Reader) *http.Response {
	b.t.Helper()
	r, err := http.NewRequestWithContext(b.t.Context(), method, b.URL+path, body)
	if err != nil {
		b.t.Fatal(err)
	}
	if host != "" {
		r.Host = host
	}
	for name, value := range headers {
		r.Header.Set(name, value)
	}
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	answer, err := client.Do(r)
	if err != nil {
		b.t.Fatal(err)
	}
	b.t.Cleanup(func() { answer.Body.Close() })
	return answer
}

const form = "application/x-www-form-urlencoded"

func TestForeignersAreRefused(t *testing.T) {
	b := open(t)
	machine := strings.TrimPrefix(b.example("fenmoor-t285.yaml"), b.URL)
	own := strings.TrimPrefix(b.URL, "http://")
	_, port, _ := net.SplitHostPort(own)
	edit := url.Values{"path": {"engine.redline"}, "old": {"8500 rpm"}, "value": {"9000 rpm"}}.Encode()
	for _, c := range []struct {
		name, method, path, host string
		headers                  map[string]string
		want                     int
	}{
		{"its own page", "POST", machine + "/set", "", map[string]string{"Origin": b.URL, "Sec-Fetch-Site": "same-origin"}, http.StatusSeeOther},
		{"by the name localhost", "GET", machine + "/build", "localhost:" + port, nil, http.StatusOK},
		{"a program without a browser", "GET", machine + "/build", "", nil, http.StatusOK},
		{"a link followed from elsewhere", "GET", machine + "/build", "", map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "document"}, http.StatusOK},
		{"a name that was pointed at this machine", "GET", machine + "/build", "evil.example:" + port, nil, http.StatusMisdirectedRequest},
		{"the same with a change", "POST", machine + "/set", "evil.example:" + port, map[string]string{"Origin": "http://evil.example:" + port}, http.StatusMisdirectedRequest},
		{"another port of this machine", "GET", machine + "/build", "127.0.0.1:1", nil, http.StatusMisdirectedRequest},
		{"a form of another site", "POST", machine + "/set", "", map[string]string{"Origin": "http://evil.example", "Sec-Fetch-Site": "cross-site"}, http.StatusForbidden},
		{"a form of another port", "POST", machine + "/set", "", map[string]string{"Origin": "http://127.0.0.1:1"}, http.StatusForbidden},
		{"a form of a file or a sandbox", "POST", machine + "/set", "", map[string]string{"Origin": "null"}, http.StatusForbidden},
		{"an old browser that says the site only", "POST", machine + "/set", "", map[string]string{"Sec-Fetch-Site": "cross-site"}, http.StatusForbidden},
		{"fetched by another page", "GET", machine + "/sheet.yaml", "", map[string]string{"Origin": "http://evil.example", "Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "cors"}, http.StatusForbidden},
		{"framed by another page", "GET", machine + "/build", "", map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "iframe"}, http.StatusForbidden},
		{"an image of another page", "GET", "/workshop.zip", "", map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors", "Sec-Fetch-Dest": "image"}, http.StatusForbidden},
		{"another method", "DELETE", machine + "/build", "", nil, http.StatusMethodNotAllowed},
		{"a change by a link", "GET", machine + "/undo", "", nil, http.StatusSeeOther}, // to the page; nothing is undone
	} {
		t.Run(c.name, func(t *testing.T) {
			before, err := b.Workshop.Head(t.Context(), strings.TrimPrefix(machine, "/m/"))
			if err != nil {
				t.Fatal(err)
			}
			headers := map[string]string{"Content-Type": form}
			for name, value := range c.headers {
				headers[name] = value
			}
			answer := b.send(c.method, c.path, c.host, headers, strings.NewReader(edit))
			if answer.StatusCode != c.want {
				t.Errorf("answered with %d, want %d", answer.StatusCode, c.want)
			}
			after, err := b.Workshop.Head(t.Context(), strings.TrimPrefix(machine, "/m/"))
			if err != nil || (c.want != http.StatusSeeOther || c.method == "GET") && after.Number != before.Number {
				t.Errorf("a refused request changed the machine (%v)", err)
			}
		})
	}
}

func TestPathsReachNoFile(t *testing.T) {
	b := open(t)
	machine := strings.TrimPrefix(b.example("fenmoor-t285.yaml"), b.URL)
	for _, path := range []string{"/assets/../server.go", "/assets/..%2f..%2fgo.mod", "/assets/%2e%2e/%2e%2e/etc/passwd", "/assets//etc/passwd", "/../../etc/passwd", "/m/../../etc/passwd", "/m/..%2f..%2fw.shakedown/build",
		machine + "/../../../etc/passwd", "/templates/build.html", "/m/%00/build", "/m/" + strings.Repeat("a", 9000) + "/build", machine + "/report/page/../../../x"} {
		answer := b.send("GET", path, "", nil, nil)
		text, _ := io.ReadAll(answer.Body)
		if answer.StatusCode == http.StatusOK || bytes.Contains(text, []byte("root:")) || bytes.Contains(text, []byte("package web")) || bytes.Contains(text, []byte("module shakedown")) {
			t.Errorf("%.60s is answered with %d", path, answer.StatusCode)
		}
	}
	// What a request names is never a path of a file: the names of an upload and of an example.
	var body bytes.Buffer
	parts := multipart.NewWriter(&body)
	file, _ := parts.CreateFormFile("file", "../../../../tmp/evil.yaml")
	io.WriteString(file, "sheet: 1\nmachine: {layout: bike}\nbuilds: {as-found: []}\n")
	parts.Close()
	if answer := b.send("POST", "/import", "", map[string]string{"Content-Type": parts.FormDataContentType()}, &body); answer.StatusCode != http.StatusSeeOther {
		t.Errorf("a sheet with a path for a name: %d", answer.StatusCode)
	}
	if answer := b.send("POST", "/example", "", map[string]string{"Content-Type": form}, strings.NewReader("name=../go.mod")); answer.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("an example by a path: %d", answer.StatusCode)
	}
	if answer := b.send("POST", "/units", "", map[string]string{"Content-Type": form}, strings.NewReader("units=us&back=//evil.example/")); answer.Header.Get("Location") != "/" {
		t.Errorf("sent on to %q", answer.Header.Get("Location"))
	}
}

func TestHeadersKeepPagesToThemselves(t *testing.T) {
	b := open(t)
	machine := strings.TrimPrefix(b.example("fenmoor-t285.yaml"), b.URL)
	for _, path := range []string{"/", machine + "/build", machine + "/report/page", "/assets/workbench.js", "/nowhere"} {
		h := b.send("GET", path, "", nil, nil).Header
		policy := h.Get("Content-Security-Policy")
		if !strings.HasPrefix(policy, "default-src 'none';") || strings.Contains(policy, "script-src 'self' 'unsafe") || h.Get("X-Content-Type-Options") != "nosniff" || h.Get("Cross-Origin-Resource-Policy") != "same-origin" {
			t.Errorf("%s has the headers %v", path, h)
		}
	}
	for _, address := range []string{"0.0.0.0:0", "192.168.1.5:80", "[::]:0", "example.com:80", "127.0.0.1"} {
		if err := Loopback(address); err == nil {
			t.Errorf("%s is taken for this machine's own", address)
		}
	}
}

// What is too large is refused as that, and the page still stands. A form that is not whole changes nothing.
func TestUploadsHaveLimits(t *testing.T) {
	b := open(t)
	machine := strings.TrimPrefix(b.example("fenmoor-t285.yaml"), b.URL)
	upload := func(size int) (string, io.Reader) {
		var body bytes.Buffer
		parts := multipart.NewWriter(&body)
		file, _ := parts.CreateFormFile("file", "large.yaml")
		file.Write(bytes.Repeat([]byte("# a comment\n"), size/12+1))
		parts.Close()
		return parts.FormDataContentType(), &body
	}
	fits := func(kind string, body io.Reader) [2]any { return [2]any{kind, body} }
	over := struct{ io.Reader }{strings.NewReader("text=" + strings.Repeat("a", largestForm+10))}
	for _, c := range []struct {
		name, path string
		send       [2]any
		want       int
	}{
		{"a form", machine + "/sheet", fits(form, strings.NewReader("text="+strings.Repeat("a", largestForm+10))), http.StatusRequestEntityTooLarge},
		{"a form that does not say how long it is", machine + "/set", fits(form, over), http.StatusRequestEntityTooLarge},
		{"a file", "/import", fits(upload(largestUpload)), http.StatusRequestEntityTooLarge},
		{"a recording", machine + "/ride", fits(upload(largestUpload)), http.StatusRequestEntityTooLarge},
		{"a recording within what is sent", machine + "/ride", fits(upload(recording.MaxBytes + 1000)), http.StatusRequestEntityTooLarge},
		{"a sheet within what is sent", "/import", fits(upload(1 << 20)), http.StatusRequestEntityTooLarge},
		{"half a form", machine + "/ride", fits("multipart/form-data; boundary=x", strings.NewReader("--x\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a.gpx\"\r\n\r\nhalf")), http.StatusUnprocessableEntity},
	} {
		answer := b.send("POST", c.path, "", map[string]string{"Content-Type": c.send[0].(string)}, c.send[1].(io.Reader))
		text, _ := io.ReadAll(answer.Body)
		if answer.StatusCode != c.want || !bytes.Contains(text, []byte("</html>")) {
			t.Errorf("%s: %d, want %d", c.name, answer.StatusCode, c.want)
		}
	}
	if code, _ := b.get(b.URL + machine + "/build"); code != http.StatusOK {
		t.Errorf("afterwards the page answers with %d", code)
	}
	if head, err := b.Workshop.Head(t.Context(), strings.TrimPrefix(machine, "/m/")); err != nil || head.Number != 1 {
		t.Errorf("revision %d, %v", head.Number, err)
	}
}

// A browser that opens the address of an action comes to the page where the action is found, for the build that was
// looked at.
func TestAddressesOfActionsLeadToPages(t *testing.T) {
	b := open(t)
	machine := strings.TrimPrefix(b.example("fenmoor-t285.yaml"), b.URL)
	for action, page := range map[string]string{"/ride?build=full&course=a.gpx": "/track?build=full&course=a.gpx", "/ride/drop": "/track", "/track/stop?against=as-found": "/track?against=as-found", "/measure": "/machine", "/parts/add": "/parts",
		"/effects/stop": "/parts", "/sheet/look": "/sheet", "/restore": "/history", "/set?build=club": "/build?build=club", "/switch": "/build", "/builds": "/build", "/builds/remove": "/build", "/undo": "/build", "/redo": "/build"} {
		answer := b.send("GET", machine+action, "", nil, nil)
		if got := answer.Header.Get("Location"); answer.StatusCode != http.StatusSeeOther || got != machine+page {
			t.Errorf("%s: %d to %q, want %q", action, answer.StatusCode, got, machine+page)
		}
		if code, _ := b.get(b.URL + machine + action); code != http.StatusOK && !strings.Contains(page, "a.gpx") {
			t.Errorf("%s leads to a page with %d", action, code)
		}
	}
	for _, action := range []string{"/import", "/example", "/units", machine + "/away"} {
		if answer := b.send("GET", action, "", nil, nil); answer.StatusCode != http.StatusSeeOther || answer.Header.Get("Location") != "/" {
			t.Errorf("%s: %d to %q", action, answer.StatusCode, answer.Header.Get("Location"))
		}
	}
}

// Bad requests of all kinds are answered with a page that says what to do, never with an empty one or a fault of the
// server.
func TestBadRequests(t *testing.T) {
	b := open(t)
	machine := b.example("fenmoor-t285.yaml")
	for _, c := range []struct {
		path   string
		fields []string
		want   int
		words  string
	}{
		{"/set", []string{"path", "engine.redline", "old", "8500 rpm", "value", "8500 kg", "back", "machine"}, 422, "kg"},
		{"/set", []string{"path", "engine.redline", "old", "1 rpm", "value", "9000 rpm", "back", "machine"}, 409, "changed meanwhile"},
		{"/set", []string{"path", "engine.redlin", "value", "9000 rpm", "back", "build"}, 422, "redline"},
		{"/set", nil, 422, "say which input"},
		{"/set", []string{"path", "parts.wide-axle.price", "old", "310.00", "value", "much", "back", "parts"}, 422, "much"},
		{"/switch", []string{"in", "full", "part", "nothing", "on", "yes"}, 422, "nothing"},
		{"/switch", []string{"in", "no-build", "part", "wide-axle"}, 422, "no-build"},
		{"/builds", []string{"name", "full", "like", "full"}, 422, "already"},
		{"/builds", []string{"name", "a: b", "like", "full"}, 422, "no name for a build"},
		{"/builds/remove", []string{"name", "nothing"}, 422, "nothing"},
		{"/parts/add", []string{"list", "id,prize\na,1"}, 422, "price"},
		{"/parts/add", []string{"name", "without an id"}, 422, "short name"},
		{"/measure", []string{"worksheet", "rear_tyre", "new:measure.rear_tyre.light", "20 kg", "new:measure.rear_tyre.heavy", ""}, 422, "a reading is missing"},
		{"/measure", []string{"worksheet", "nothing"}, 422, "no worksheet"},
		{"/sheet", []string{"base", "1", "text", "sheet: 2"}, 422, "sheet"},
		{"/sheet", []string{"base", "77", "text", "sheet: 1"}, 404, "no such"},
		{"/sheet", []string{"base", "x", "text", "sheet: 1"}, 404, "no such"},
		{"/restore", []string{"number", "77"}, 404, "no such"},
	} {
		code, text := b.post(machine+c.path, c.fields...)
		if code != c.want || !strings.Contains(text, c.words) || !strings.Contains(text, "</html>") {
			t.Errorf("%s %v: %d, want %d with %q", c.path, c.fields, code, c.want, c.words)
		}
	}
	for path, want := range map[string]int{"/build?build=nothing&against=nothing": 200, "/build?why=nothing": 200, "/build?try=engine.bore&value=3+kg": 422, "/build?try=nothing&value=3": 422, "/history?with=99": 404, "/history?with=x": 200, "/sheet?line=x": 200, "/compare?chosen=yes": 200, "/nowhere": 404} {
		if code, text := b.get(machine + path); code != want || strings.TrimSpace(text) == "" {
			t.Errorf("%s: %d, want %d", path, code, want)
		}
	}
	if head, err := b.Workshop.Head(t.Context(), strings.TrimPrefix(machine, b.URL+"/m/")); err != nil || head.Number != 1 {
		t.Errorf("a bad request changed something: revision %d, %v", head.Number, err)
	}
	if code, text := b.post(b.URL+"/new", "layout", "unicycle"); code != 422 || !strings.Contains(text, "unicycle") {
		t.Errorf("a layout that is not there: %d", code)
	}
	if code, _ := b.post(b.URL+"/import", "file", "x"); code != 422 {
		t.Errorf("an import without a file: %d", code)
	}
}

// A script in a name is shown as the text it is.
func TestTextIsEscaped(t *testing.T) {
	b := open(t)
	const evil = `<script>alert(1)</script>"'><img src=x>`
	sheet := fmt.Sprintf("sheet: 1\ntitle: '%s'\nmachine: {layout: quad, name: '%s'}\nparts:\n  a: {kind: '%s', name: '%s', from: '%s', sets: {engine.bore: 75 mm}}\nbuilds: {as-found: [], b: [a]}\n",
		strings.ReplaceAll(evil, "'", "''"), strings.ReplaceAll(evil, "'", "''"), strings.ReplaceAll(evil, "'", "''"), strings.ReplaceAll(evil, "'", "''"), strings.ReplaceAll(evil, "'", "''"))
	r, err := b.Workshop.AddSheet(t.Context(), "x.yaml", []byte(sheet))
	if err != nil {
		t.Fatal(err)
	}
	for name, address := range pagesToLookAt(b, b.URL+"/m/"+r.Machine) {
		if _, text := b.get(address); strings.Contains(text, "<script>alert") || strings.Contains(text, "<img src=x>") {
			t.Errorf("%s carries the script", name)
		}
	}
}
