package web

import (
	"bytes"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// A page that panics is a page with words, and the log has the trace.
func TestAPanicOnAPageHasWords(t *testing.T) {
	var log bytes.Buffer
	s := &Server{Log: slog.New(slog.NewTextHandler(&log, nil))}
	var err error
	if s.pages, err = parsePages(); err != nil {
		t.Fatal(err)
	}
	var list []int
	answer := httptest.NewRecorder()
	s.handle(func(http.ResponseWriter, *http.Request) error { _ = list[7]; return nil }).ServeHTTP(answer, httptest.NewRequest("GET", "/m/x/build", nil))
	if answer.Code != http.StatusInternalServerError || !strings.Contains(answer.Body.String(), "a fault in the program") {
		t.Errorf("%d %s", answer.Code, answer.Body)
	}
	if !strings.Contains(log.String(), "faults_test.go") || strings.Contains(answer.Body.String(), "faults_test.go") {
		t.Errorf("the trace belongs in the log alone: %s", &log)
	}
}
