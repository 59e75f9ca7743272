// Command service is a host that lays jobs out over HTTP, and a page to try rules on: rules in an editor, and the live
// sheet beside them. It keeps nothing, and takes no more work than it was told to.
package main

import (
	"bytes"
	"context"
	"embed"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"log"
	"net"
	"net/http"
	"os"
	"os/signal"
	"runtime"
	"syscall"
	"testing/fstest"
	"time"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/sheet"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

func main() {
	address := flag.String("address", "localhost:8080", "where to listen")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	listener, err := net.Listen("tcp", *address)
	if err != nil {
		log.Fatal(err)
	}
	log.Printf("on http://%s", listener.Addr())
	if err := usual().serve(ctx, listener); err != nil {
		log.Fatal(err)
	}
}

// A service says how much strangers may ask of it.
type service struct {
	Bytes int64         // of a request
	Time  time.Duration // for one layout
	Room  chan struct{} // one place for each layout at a time
	Stop  time.Duration // for what is under way when it is told to stop

	Rules  rules.Options
	Detail detail.Options
}

func usual() *service {
	return &service{
		Bytes:  1 << 20,
		Time:   2 * time.Second,
		Room:   make(chan struct{}, runtime.GOMAXPROCS(0)),
		Stop:   5 * time.Second,
		Rules:  rules.Options{Limits: rules.Limits{FileBytes: 64 << 10, Words: 20_000}},
		Detail: detail.Options{Limits: detail.Limits{JobBytes: 256 << 10, Panels: 5000, Marks: 50_000, Violations: 200}},
	}
}

// serve answers until the context ends, and then ends what is under way.
func (s *service) serve(ctx context.Context, listener net.Listener) error {
	server := &http.Server{
		Handler:           s.handler(),
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       10 * time.Second,
		WriteTimeout:      10*time.Second + s.Time,
		IdleTimeout:       time.Minute,
		MaxHeaderBytes:    16 << 10,
	}
	stopped := make(chan error, 1)
	go func() {
		<-ctx.Done()
		last, cancel := context.WithTimeout(context.Background(), s.Stop)
		defer cancel()
		stopped <- server.Shutdown(last)
	}()
	if err := server.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return <-stopped
}

//go:embed page
var page embed.FS

// A form is one way to answer with a report.
type form struct {
	path, kind string
	write      func(io.Writer, *detail.Report) error
}

var forms = []form{
	{"report.json", "application/json", func(w io.Writer, r *detail.Report) error { return r.WriteJSON(w, units.In) }},
	{"sheet.svg", "image/svg+xml", sheet.Options{}.SVG},
	{"sheet.html", "text/html; charset=utf-8", sheet.Options{}.HTML},
	{"sheet.txt", "text/plain; charset=utf-8", sheet.Text},
}

func (s *service) handler() http.Handler {
	mux := http.NewServeMux()
	files, err := fs.Sub(page, "page")
	if err != nil {
		panic(err) // it is in the program
	}
	mux.Handle("GET /", http.FileServerFS(files))
	for _, f := range forms {
		mux.HandleFunc("POST /"+f.path, func(w http.ResponseWriter, r *http.Request) { s.answer(w, r, f) })
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; connect-src 'self'; img-src 'self' data:")
		w.Header().Set("X-Content-Type-Options", "nosniff")
		mux.ServeHTTP(w, r)
	})
}

// A request is a rule book and a job in the form of the library's schema.
type request struct {
	Rules string          `json:"rules"`
	Job   json.RawMessage `json:"job"`
}

// A refusal says what is wrong with a request.
type refusal struct {
	status   int
	Error    string    `json:"error"`
	Findings []finding `json:"findings,omitempty"`
}

// A finding is a diagnostic as an editor needs it: lines and columns from 1, columns in UTF-16 code units.
type finding struct {
	Code      string `json:"code"`
	Severity  string `json:"severity"`
	Message   string `json:"message"`
	Line      int    `json:"line"`
	Column    int    `json:"column"`
	EndLine   int    `json:"endLine"`
	EndColumn int    `json:"endColumn"`
}

func (s *service) answer(w http.ResponseWriter, r *http.Request, f form) {
	ctx, cancel := context.WithTimeout(r.Context(), s.Time)
	defer cancel()
	var out bytes.Buffer // so that what fails half-way is told, and not half sent
	if no := s.lay(ctx, http.MaxBytesReader(w, r.Body, s.Bytes), f, &out); no != nil {
		w.Header().Set("Content-Type", "application/json")
		w.WriteHeader(no.status)
		json.NewEncoder(w).Encode(no)
		return
	}
	w.Header().Set("Content-Type", f.kind)
	w.Write(out.Bytes())
}

// lay reads a request, lays its job out and writes the report.
func (s *service) lay(ctx context.Context, body io.Reader, f form, out io.Writer) *refusal {
	var asked request
	dec := json.NewDecoder(body)
	dec.DisallowUnknownFields()
	if err := dec.Decode(&asked); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return &refusal{status: http.StatusRequestEntityTooLarge, Error: fmt.Sprintf("a request has at most %d bytes", large.Limit)}
		}
		return &refusal{status: http.StatusBadRequest, Error: `the request is no object with "rules" and "job": ` + err.Error()}
	}
	select {
	case s.Room <- struct{}{}:
		defer func() { <-s.Room }()
	case <-ctx.Done():
		return &refusal{status: http.StatusServiceUnavailable, Error: "too much is being laid out at once: try again"}
	}
	book, findings, err := s.Rules.Load(fstest.MapFS{"house.rules": {Data: []byte(asked.Rules)}}, "house.rules")
	if err != nil {
		return unusable(err)
	}
	if findings.HasErrors() {
		no := unusable(errors.New("the rules can't be used"))
		for _, d := range findings {
			text := fmt.Sprintf("line %d: %s", d.Start.Line, d.Summary)
			if d.Suggestion != "" {
				text += "; " + d.Suggestion
			}
			no.Findings = append(no.Findings, finding{d.Code, d.Severity.String(), text, d.Start.Line, d.Start.UTF16, d.End.Line, d.End.UTF16})
		}
		return no
	}
	job, err := s.Detail.ReadJob(bytes.NewReader(asked.Job))
	if err != nil {
		return unusable(err)
	}
	report, err := s.Detail.Lay(ctx, book, job)
	if errors.Is(err, context.DeadlineExceeded) {
		return &refusal{status: http.StatusServiceUnavailable, Error: fmt.Sprintf("this takes longer than %v", s.Time)}
	}
	if err != nil {
		return unusable(err)
	}
	if err := f.write(out, report); err != nil {
		return &refusal{status: http.StatusInternalServerError, Error: err.Error()}
	}
	return nil
}

func unusable(err error) *refusal {
	return &refusal{status: http.StatusUnprocessableEntity, Error: err.Error()}
}
