package web

import (
	"bytes"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"shakedown/examples"
	"shakedown/internal/store"
)

// broken is a machine as an older program left it, with a build "wild" whose piston has a dome of 90 cc: the chamber is
// 34 + 3.7 + 1.7 - 90 cc, less than nothing.
func (b *bench) broken() string {
	b.t.Helper()
	text, err := examples.Text("fenmoor-t285.yaml")
	if err != nil {
		b.t.Fatal(err)
	}
	text = bytes.Replace(text, []byte("parts:\n"), []byte("parts:\n  big-dome:\n    kind: piston\n    name: Piston of another engine\n    price: 10.00\n    sets: {engine.chamber.dome: 90 cc}\n"), 1)
	text = bytes.Replace(text, []byte("  club: ["), []byte("  wild: [big-dome]\n  club: ["), 1)
	file, err := store.Open(b.t.Context(), b.Workshop.Path(), time.Now)
	if err != nil {
		b.t.Fatal(err)
	}
	defer file.Close()
	r, err := file.Add(b.t.Context(), "Fenmoor", text, "as an older program left it")
	if err != nil {
		b.t.Fatal(err)
	}
	return "/m/" + r.Machine
}

// Each page of a build that cannot be computed says so with the place, and none shows another build in its stead; the
// others are shown, and name it.
func TestABrokenBuildIsShownAsWhatItIs(t *testing.T) {
	b := open(t)
	machine := b.broken()
	for _, page := range []string{"build", "engine", "cycle", "track", "report", "compare", "machine", "parts", "sheet", "history"} {
		status, text := b.get(b.URL + machine + "/" + page + "?build=wild&against=as-found")
		for _, want := range []string{`Build &#34;wild&#34; cannot be computed`, "he piston leaves no combustion chamber", "line=", "<option selected>wild</option>"} {
			if status != http.StatusOK || !strings.Contains(text, want) {
				t.Errorf("%s: %d, without %q", page, status, want)
			}
		}
		if strings.Contains(text, `id="figures"`) {
			t.Errorf("%s shows figures of another build", page)
		}
	}
	for _, page := range []string{"build", "compare"} {
		status, text := b.get(b.URL + machine + "/" + page + "?build=club&against=as-found")
		if status != http.StatusOK || !strings.Contains(text, "others-broken") || !strings.Contains(text, `Build "wild" cannot be computed`) {
			t.Errorf("%s of another build does not name it: %d", page, status)
		}
		if page == "compare" && !strings.Contains(text, `<th scope="col" class="num">full</th>`) {
			t.Error("the others are not compared")
		}
	}
	if status, text := b.get(b.URL + machine + "/build?build=club&against=wild"); status != http.StatusOK || !strings.Contains(text, `Build &#34;wild&#34; cannot be computed`) {
		t.Errorf("a broken baseline: %d", status)
	}
	if status, text := b.get(b.URL + machine + "/build?build=no-such"); status != http.StatusOK || !strings.Contains(text, "<option selected>full</option>") {
		t.Errorf("a build that is not there any more: %d", status)
	}
	// It is mended where it is shown.
	answer := b.send("POST", machine+"/switch?build=wild&against=as-found", "", map[string]string{"Content-Type": form}, strings.NewReader(url.Values{"part": {"big-dome"}, "in": {"wild"}}.Encode()))
	if answer.StatusCode != http.StatusSeeOther {
		t.Fatalf("%d", answer.StatusCode)
	}
	if status, text := b.get(b.URL + machine + "/build?build=wild&against=as-found"); status != http.StatusOK || strings.Contains(text, "cannot be computed") || !strings.Contains(text, `id="figures"`) {
		t.Errorf("mended: %d", status)
	}
	// What would break another one is refused with its name.
	answer = b.send("POST", machine+"/switch?build=club&against=as-found", "", map[string]string{"Content-Type": form}, strings.NewReader(url.Values{"part": {"big-dome"}, "in": {"club"}, "on": {"yes"}}.Encode()))
	if answer.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("%d", answer.StatusCode)
	}
	var said bytes.Buffer
	if _, err := said.ReadFrom(answer.Body); err != nil || !strings.Contains(said.String(), "in build &#34;club&#34;") {
		t.Errorf("%v\n%s", err, said.String())
	}
}
