// Command batch lays thousands of jobs out over all cores. Jobs come one a line, as JSON; results go out one a line, in
// the order of the jobs. What was written is where it stopped: started again, it goes on after the last whole line, and
// the file comes out as if it had never been stopped.
package main

import (
	"bufio"
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"time"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

func main() {
	book := flag.String("rules", "", "the rule `file`")
	jobs := flag.String("jobs", "", "the `file` of jobs, one a line")
	out := flag.String("o", "", "the `file` of results; if it is there, what is missing is added")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := run(ctx, *book, *jobs, *out, os.Stderr); err != nil {
		fmt.Fprintln(os.Stderr, "batch:", err)
		os.Exit(1)
	}
}

// run lays out the jobs of a file that an output file has no results of.
func run(ctx context.Context, bookFile, jobsFile, outFile string, progress *os.File) error {
	if bookFile == "" || jobsFile == "" || outFile == "" {
		return errors.New("-rules, -jobs and -o are needed")
	}
	book, found, err := rules.Load(os.DirFS(filepath.Dir(bookFile)), filepath.Base(bookFile))
	if err != nil {
		return err
	}
	if err := found.Err(); err != nil {
		return err
	}
	in, err := os.Open(jobsFile)
	if err != nil {
		return err
	}
	defer in.Close()
	size, err := in.Stat()
	if err != nil {
		return err
	}
	out, err := os.OpenFile(outFile, os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return err
	}
	defer out.Close()

	jobs := &lines{r: bufio.NewReader(in)}
	done, err := resume(out, jobs, book.Digest)
	if err != nil {
		return err
	}
	bar := newBar(progress, size.Size())
	total, err := layAll(ctx, book, jobs, done, out, bar)
	bar.end()
	if err != nil {
		return fmt.Errorf("stopped after %d jobs: %w; start it again to go on", total, err)
	}
	return out.Sync()
}

// A result is a line of the output: what a job came to, or why it couldn't be laid.
type result struct {
	N          int          `json:"n"`   // the job's line
	Job        string       `json:"job"` // SHA-256 of the line
	Name       string       `json:"name,omitempty"`
	Error      string       `json:"error,omitempty"`
	Marks      int          `json:"marks"`
	Pieces     int          `json:"pieces"`
	Violations int          `json:"violations"`
	Order      []orderEntry `json:"order,omitempty"`
}

type orderEntry struct {
	Item  string `json:"item"`
	Gross string `json:"gross"`
	Unit  string `json:"unit"`
}

// A head is the first line of the output.
type head struct {
	Format string `json:"format"`
	Book   string `json:"book"` // its digest
}

// resume finds the last whole line of the output, cuts off what a stop left half-written, and skips the jobs that have
// their results.
func resume(out *os.File, jobs *lines, digest string) (done int, err error) {
	first, err := json.Marshal(head{"lapwright batch 1", digest})
	if err != nil {
		return 0, err
	}
	first = append(first, '\n')
	r := bufio.NewReader(out)
	kept, last := int64(0), []byte(nil)
	for n := 0; ; n++ {
		line, err := r.ReadBytes('\n')
		if err != nil && err != io.EOF {
			return 0, err
		}
		if n == 0 && !bytes.HasPrefix(first, line) {
			return 0, errors.New("the output is of another book, or no output of this program: name another file")
		}
		if err == io.EOF {
			break
		}
		kept, last, done = kept+int64(len(line)), line, n
	}
	if err := out.Truncate(kept); err != nil {
		return 0, err
	}
	if _, err := out.Seek(kept, io.SeekStart); err != nil {
		return 0, err
	}
	if kept == 0 {
		_, err := out.Write(first)
		return 0, err
	}
	for n := 1; n <= done; n++ {
		job, err := jobs.next()
		var is result
		if n == done && err == nil && (json.Unmarshal(last, &is) != nil || is.Job != digestOf(job)) || err == io.EOF {
			return 0, fmt.Errorf("the output has a result %d that is of another job: name another file", n)
		}
		if err != nil {
			return 0, err
		}
	}
	return done, nil
}

// layAll lays jobs out over all cores and writes their results in order; no more are under way than twice the cores.
func layAll(ctx context.Context, book *rules.Book, jobs *lines, done int, out io.Writer, bar *bar) (int, error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	type pending chan result
	order := make(chan pending, 2*runtime.GOMAXPROCS(0))
	work := make(chan struct{}, runtime.GOMAXPROCS(0))
	failed := make(chan error, 1)
	go func() {
		defer close(order)
		for n := done + 1; ; n++ {
			job, err := jobs.next()
			if err != nil {
				if err != io.EOF {
					failed <- err
				}
				return
			}
			p := make(pending, 1)
			select {
			case <-ctx.Done():
				return
			case work <- struct{}{}:
			}
			go func() {
				defer func() { <-work }()
				p <- lay(ctx, book, n, job)
			}()
			select {
			case <-ctx.Done():
				return
			case order <- p:
			}
			bar.at(jobs.read)
		}
	}()
	var broken error
	for p := range order {
		r := <-p
		if broken = cmp.Or(broken, ctx.Err()); broken != nil {
			continue // what was broken off has no result
		}
		line, err := json.Marshal(r)
		if err == nil {
			_, err = out.Write(append(line, '\n'))
		}
		if broken = err; err != nil {
			cancel()
			continue
		}
		done++
	}
	select {
	case err := <-failed:
		return done, err
	default:
		return done, broken
	}
}

// lay lays one job out.
func lay(ctx context.Context, book *rules.Book, n int, line []byte) result {
	r := result{N: n, Job: digestOf(line)}
	job, err := detail.ReadJob(bytes.NewReader(line))
	if err != nil {
		r.Error = err.Error()
		return r
	}
	report, err := detail.Lay(ctx, book, job)
	if err != nil {
		r.Error = err.Error()
		return r
	}
	r.Name, r.Marks, r.Pieces, r.Violations = job.Name, len(report.Marks), len(report.Pieces), len(report.Violations)
	for _, q := range report.Takeoff {
		r.Order = append(r.Order, orderEntry{q.Item.Name, q.Gross.String(), q.Unit})
	}
	return r
}

func digestOf(line []byte) string {
	sum := sha256.Sum256(line)
	return hex.EncodeToString(sum[:])
}

// lines reads lines that hold a job; empty ones are skipped.
type lines struct {
	r    *bufio.Reader
	read int64
}

// longest is how long a line may be: a job of the usual limit, and its end.
const longest = 16<<20 + 2

func (l *lines) next() ([]byte, error) {
	for {
		var line []byte
		for {
			part, err := l.r.ReadSlice('\n')
			l.read += int64(len(part))
			if line = append(line, part...); len(line) > longest {
				return nil, fmt.Errorf("a line of the jobs is over %d bytes", longest)
			}
			if err == nil || err == io.EOF && len(line) > 0 {
				break
			}
			if err != bufio.ErrBufferFull {
				return nil, err
			}
		}
		if line = bytes.TrimSpace(line); len(line) > 0 {
			return line, nil
		}
	}
}

// A bar shows on a terminal how much of the jobs has been read; elsewhere nothing.
type bar struct {
	to    *os.File
	of    int64
	shown time.Time
}

func newBar(to *os.File, of int64) *bar {
	if info, err := to.Stat(); err != nil || info.Mode()&os.ModeCharDevice == 0 || of == 0 {
		to = nil
	}
	return &bar{to: to, of: of}
}

func (b *bar) at(read int64) {
	const wide = 40
	if b.to == nil || read < b.of && time.Since(b.shown) < 100*time.Millisecond {
		return
	}
	b.shown = time.Now()
	n := int(wide * read / b.of)
	fmt.Fprintf(b.to, "\r[%s%s] %3d %%", strings.Repeat("#", n), strings.Repeat(" ", wide-n), 100*read/b.of)
}

func (b *bar) end() {
	if b.to != nil {
		fmt.Fprintln(b.to)
	}
}
