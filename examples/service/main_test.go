package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	shedRules = `book "Shed (invented)" {}
detail eave "Eave" for edge eave { row screws in each panel { spacing <= 5 in  clear >= 1 in from rib } }`
	shedJob = `{"name": "Shed (invented)", "profile": {"cover": "16 in", "rib_width": "1/2 in", "rib_height": "1 1/2 in"},
  "runs": [{"id": "front", "edge": "eave", "length": "8 ft", "slope": "4:12", "panels": {"first": "16 in"}}]}`
)

func asking(t *testing.T, rules, job string) string {
	t.Helper()
	body, err := json.Marshal(map[string]any{"rules": rules, "job": json.RawMessage(job)})
	require.NoError(t, err)
	return string(body)
}

// post asks a service for a form, and returns the answer with its body.
func post(t *testing.T, s *service, path, body string) (*http.Response, string) {
	t.Helper()
	w := httptest.NewRecorder()
	s.handler().ServeHTTP(w, httptest.NewRequest("POST", path, strings.NewReader(body)))
	return w.Result(), w.Body.String()
}

func TestEachFormIsAnswered(t *testing.T) {
	for path, want := range map[string]string{"/report.json": `"screws"`, "/sheet.svg": "<svg", "/sheet.html": "<!DOCTYPE html>", "/sheet.txt": "screws"} {
		r, body := post(t, usual(), path, asking(t, shedRules, shedJob))
		assert.Equal(t, http.StatusOK, r.StatusCode, "%s: %s", path, body)
		assert.Contains(t, strings.ToLower(body), strings.ToLower(want), path)
		assert.Equal(t, "nosniff", r.Header.Get("X-Content-Type-Options"))
	}
}

func TestWhatCantBeLaidIsToldWithItsPlace(t *testing.T) {
	s := usual()
	s.Detail.Limits.Panels = 5
	for _, c := range []struct {
		body   string
		status int
		want   string
	}{
		{"{", http.StatusBadRequest, "no object with"},
		{`{"rule": ""}`, http.StatusBadRequest, "unknown field"},
		{asking(t, shedRules, `{"nam": "x"}`), http.StatusUnprocessableEntity, `did you mean \"name\"`},
		{asking(t, shedRules, strings.Replace(shedJob, "8 ft", "800 ft", 1)), http.StatusUnprocessableEntity, "Limits.Panels"},
		{asking(t, `include "../secret.rules"`, shedJob), http.StatusUnprocessableEntity, "secret.rules"},
		{asking(t, strings.Repeat("# much\n", 200_000), shedJob), http.StatusRequestEntityTooLarge, "at most 1048576 bytes"},
	} {
		r, body := post(t, s, "/sheet.svg", c.body)
		assert.Equal(t, c.status, r.StatusCode, "%s", body)
		assert.Contains(t, body, c.want)
	}

	r, body := post(t, s, "/sheet.svg", asking(t, strings.Replace(shedRules, "spacing <= 5 in", "spacng <= 5 in", 1), shedJob))
	require.Equal(t, http.StatusUnprocessableEntity, r.StatusCode)
	var no refusal
	require.NoError(t, json.Unmarshal([]byte(body), &no))
	require.Len(t, no.Findings, 1)
	f := no.Findings[0]
	line := strings.Split(strings.Replace(shedRules, "spacing <= 5 in", "spacng <= 5 in", 1), "\n")[f.Line-1]
	assert.Equal(t, "spacng", line[f.Column-1:f.EndColumn-1])
	assert.Equal(t, "error", f.Severity)
}

func TestNoRequestTakesLongerThanIsAllowed(t *testing.T) {
	s := usual()
	s.Time = time.Millisecond
	s.Detail.Limits.Panels, s.Detail.Limits.Marks = 200_000, 10_000_000
	start := time.Now()
	r, body := post(t, s, "/report.json", asking(t, strings.Replace(shedRules, "5 in", "1/16 in", 1), strings.Replace(shedJob, "8 ft", "80000 ft", 1)))
	assert.Equal(t, http.StatusServiceUnavailable, r.StatusCode, body)
	assert.Less(t, time.Since(start), 2*time.Second)
}

func TestMoreThanThereIsRoomForWaitAndAreRefused(t *testing.T) {
	s := usual()
	s.Room, s.Time = make(chan struct{}), 20*time.Millisecond // none
	r, body := post(t, s, "/sheet.svg", asking(t, shedRules, shedJob))
	assert.Equal(t, http.StatusServiceUnavailable, r.StatusCode)
	assert.Contains(t, body, "try again")
}

func TestManyAtOnceGetTheSame(t *testing.T) {
	server := httptest.NewServer(usual().handler())
	defer server.Close()
	var wait sync.WaitGroup
	answers := make([]string, 32)
	for i := range answers {
		wait.Go(func() {
			r, err := http.Post(server.URL+"/sheet.svg", "application/json", strings.NewReader(asking(t, shedRules, shedJob)))
			if err == nil {
				defer r.Body.Close()
				var b bytes.Buffer
				io.Copy(&b, r.Body)
				answers[i] = b.String()
			}
		})
	}
	wait.Wait()
	for _, a := range answers {
		assert.Equal(t, answers[0], a)
		assert.Contains(t, a, "</svg>")
	}
}

// What is under way when the service is told to stop is answered, and nothing after it.
func TestItStopsGracefully(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	listener, err := net.Listen("tcp", "localhost:0")
	require.NoError(t, err)
	s, ended := usual(), make(chan error, 1)
	go func() { ended <- s.serve(ctx, listener) }()

	body := asking(t, shedRules, shedJob)
	conn, err := net.Dial("tcp", listener.Addr().String())
	require.NoError(t, err)
	defer conn.Close()
	fmt.Fprintf(conn, "POST /sheet.txt HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Length: %d\r\n\r\n%s", len(body), body[:20])
	time.Sleep(50 * time.Millisecond)
	stop()
	time.Sleep(50 * time.Millisecond)
	fmt.Fprint(conn, body[20:])
	answer, err := io.ReadAll(conn)
	require.NoError(t, err)
	assert.Contains(t, string(answer), "200 OK")
	assert.NoError(t, <-ended)
	_, err = net.Dial("tcp", listener.Addr().String())
	assert.Error(t, err)
}

// The page's own example can be laid, and it asks for nothing outside.
func TestThePageStandsByItself(t *testing.T) {
	r := httptest.NewRecorder()
	usual().handler().ServeHTTP(r, httptest.NewRequest("GET", "/", nil))
	html := r.Body.String()
	assert.Contains(t, r.Header().Get("Content-Security-Policy"), "default-src 'none'")
	assert.NotContains(t, html, "http")
	_, after, found := strings.Cut(html, `aria-describedby="said">`)
	require.True(t, found)
	rules, _, _ := strings.Cut(after, "</textarea>")
	_, after, _ = strings.Cut(html, `<textarea id="job" spellcheck="false" autocomplete="off">`)
	job, _, _ := strings.Cut(after, "</textarea>")
	answer, body := post(t, usual(), "/sheet.txt", asking(t, rules, job))
	assert.Equal(t, http.StatusOK, answer.StatusCode, body)
}

func TestItIsShort(t *testing.T) {
	source, err := os.ReadFile("main.go")
	require.NoError(t, err)
	assert.Less(t, bytes.Count(source, []byte("\n")), 220)
}
