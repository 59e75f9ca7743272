package detail

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/lapwright/lapwright/detail/internal/strictjson"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

const (
	maxName   = 200 // bytes of a name or an id
	maxNumber = 32  // bytes of a number
)

// ReadJob reads a job in the form of schema/job.schema.json, with the default Options.
func ReadJob(r io.Reader) (*Job, error) { return Options{}.ReadJob(r) }

// ReadJob reads a job in the form of schema/job.schema.json, strictly. What is wrong with it is a *JobErrors, all in
// one pass; ErrLimit is in it where a limit was reached. Any other error is the reader's.
func (o Options) ReadJob(r io.Reader) (*Job, error) {
	jr, err := o.readJSON(r, "job")
	if err != nil {
		return nil, err
	}
	job := jr.job()
	if err := jr.err(); err != nil {
		return nil, err
	}
	return job, nil
}

// readJSON reads a document, which what names in messages, so far that its keys and values can be read in their turn.
func (o Options) readJSON(r io.Reader, what string) (*jobReader, error) {
	limits := o.Limits.orDefault()
	src, err := readAll(r, what, limits)
	if err != nil {
		return nil, err
	}
	jr := &jobReader{limits: limits}
	var faults []strictjson.Fault
	jr.doc, faults = strictjson.Parse(src, limits.Depth)
	for _, f := range faults {
		je := &JobError{Place: Place{f.Pointer, f.Line, f.Column}, Msg: f.Msg}
		if f.Deep {
			je.err = limitError("levels in the "+what, "Depth", limits.Depth)
			je.Msg = je.err.Error()
		}
		jr.errs.add(je)
	}
	if jr.doc == nil {
		return nil, jr.errs.err()
	}
	return jr, nil
}

// readAll reads a whole text, up to the limit of its bytes.
func readAll(r io.Reader, what string, limits Limits) ([]byte, error) {
	src, err := io.ReadAll(io.LimitReader(r, int64(limits.JobBytes)+1))
	if err != nil {
		return nil, fmt.Errorf("the %s could not be read: %w", what, err)
	}
	if len(src) > limits.JobBytes {
		err := limitError("bytes in the "+what, "JobBytes", limits.JobBytes)
		return nil, &JobErrors{List: []*JobError{{Msg: err.Error(), err: err}}}
	}
	return src, nil
}

// err is what was found wrong, each with its place.
func (r *jobReader) err() error {
	err := r.errs.err()
	if err != nil {
		r.locate()
	}
	return err
}

// A jobReader turns a document into a job and gathers what is wrong with it.
type jobReader struct {
	doc    *strictjson.Doc
	limits Limits
	errs   JobErrors
}

// locate finds the places of errors that know their pointer only, and puts all in the order of the text.
func (r *jobReader) locate() {
	for _, e := range r.errs.List {
		if e.Line == 0 {
			e.Place = r.origin(e.Pointer)
		}
	}
	slices.SortStableFunc(r.errs.List, func(a, b *JobError) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	r.errs.List = slices.CompactFunc(r.errs.List, func(a, b *JobError) bool { return a.Place == b.Place && a.Msg == b.Msg })
}

// origin is where the value at a pointer comes from: what a side doesn't say is its run's, and then the job's. Of a
// value that stands nowhere it is the object that lacks it.
func (r *jobReader) origin(pointer string) Place {
	for at := pointer; ; {
		if v, ok := r.doc.Find(at); ok {
			return r.place(v, at)
		}
		parts := strings.Split(at, "/")
		switch {
		case len(parts) > 5 && parts[3] == "sides":
			parts = slices.Delete(parts, 3, 5)
		case len(parts) > 3 && slices.Contains([]string{"runs", "planes", "roofs"}, parts[1]):
			parts = slices.Delete(parts, 1, 3)
		default:
			v, _ := r.doc.Find(pointer)
			return r.place(v, pointer)
		}
		at = strings.Join(parts, "/")
	}
}

func (r *jobReader) count() int { return len(r.errs.List) + r.errs.More }

// fault notes what is wrong with a value. It is nil where there are too many errors to list.
func (r *jobReader) fault(v strictjson.Value, format string, args ...any) *JobError {
	if len(r.errs.List) >= maxJobErrors {
		r.errs.More++
		return nil
	}
	e := &JobError{Place: r.place(v, v.Pointer()), Msg: fmt.Sprintf(format, args...)}
	r.errs.add(e)
	return e
}

// place is that of a value whose pointer is known: to find it anew for each of many would take long.
func (r *jobReader) place(v strictjson.Value, pointer string) Place {
	line, column := v.Place()
	return Place{pointer, line, column}
}

// fields says what reads each key of an object.
type fields map[string]func(strictjson.Value)

// object reads an object that must have the needed keys and may have no others than those known.
func (r *jobReader) object(v strictjson.Value, what string, known fields, needed ...string) {
	if v.Kind() != strictjson.Object {
		r.fault(v, "%s is an object, but here is %s", what, v.Kind())
		return
	}
	found := make(map[string]bool, len(known))
	for key, value := range v.Members() {
		name := key.Text()
		read, ok := known[name]
		if !ok {
			if e := r.fault(key, "%s has no key %s", what, quoted(name)); e != nil {
				e.Suggestion = nearest(name, slices.Collect(maps.Keys(known)))
				found[e.Suggestion] = true // so that a misspelt key isn't missing as well
			}
			continue
		}
		found[name] = true
		read(value)
	}
	for _, name := range needed {
		if !found[name] {
			r.fault(v, "%s needs the key %q", what, name)
		}
	}
}

// list reads a list, item by item.
func (r *jobReader) list(v strictjson.Value, what string, item func(int, strictjson.Value)) {
	if v.Kind() != strictjson.Array {
		r.fault(v, "%s are a list, but here is %s", what, v.Kind())
		return
	}
	for i, x := range v.Items() {
		item(i, x)
	}
}

// text reads a name, an id or a word.
func (r *jobReader) text(v strictjson.Value, what string) string {
	if v.Kind() != strictjson.String {
		r.fault(v, "%s is a string, but here is %s", what, v.Kind())
		return ""
	}
	s := v.Text()
	switch {
	case len(s) > maxName:
		r.fault(v, "%s is %d bytes long: want at most %d", what, len(s), maxName)
		return ""
	case strings.ContainsFunc(s, func(c rune) bool { return c < ' ' || 0x7f <= c && c < 0xa0 }):
		r.fault(v, "%s has a control character: %s", what, quoted(s))
		return ""
	}
	return s
}

func (r *jobReader) name(v strictjson.Value, what string) string {
	before := r.count()
	s := r.text(v, what)
	if s == "" && r.count() == before {
		r.fault(v, "%s is empty", what)
	}
	return s
}

func (r *jobReader) length(v strictjson.Value, what string) units.Length {
	if v.Kind() == strictjson.Number {
		r.fault(v, `a number where a length is wanted: write it with its unit, such as "16 in", "10 ft 6 1/2 in" or "400 mm"`)
		return units.Length{}
	}
	l, err := units.Parse(r.quantity(v, what, `a string such as "16 in"`))
	r.parsed(v, err)
	return l
}

func (r *jobReader) slope(v strictjson.Value, what string) units.Slope {
	s, err := units.ParseSlope(r.quantity(v, what, `a string such as "3:12"`))
	r.parsed(v, err)
	return s
}

// quantity is the text of a string that is to be parsed further; "" is no quantity, and an error already.
func (r *jobReader) quantity(v strictjson.Value, what, want string) string {
	switch {
	case v.Kind() != strictjson.String:
		r.fault(v, "%s is %s, but here is %s", what, want, v.Kind())
		return ""
	case v.Text() == "":
		r.fault(v, "%s is empty: want %s", what, want)
	}
	return v.Text()
}

// parsed notes the error of a quantity that was not empty.
func (r *jobReader) parsed(v strictjson.Value, err error) {
	if err != nil && v.Kind() == strictjson.String && v.Text() != "" {
		r.fault(v, "%v", err)
	}
}

func (r *jobReader) job() *Job {
	job := &Job{}
	var base roof
	var runs, planes, roofs []strictjson.Value
	var ids []string
	all := func(list *[]strictjson.Value, what string) func(strictjson.Value) {
		return func(v strictjson.Value) {
			r.list(v, what, func(_ int, item strictjson.Value) { *list = append(*list, item) })
		}
	}
	root := r.doc.Root()
	r.object(root, "a job", fields{
		"name":    func(v strictjson.Value) { job.Name = r.text(v, "a job's name") },
		"profile": func(v strictjson.Value) { base.profile = r.profile(v) },
		"panels":  func(v strictjson.Value) { base.panels = r.panels(v) },
		"runs":    all(&runs, "runs"),
		"planes":  all(&planes, "planes"),
		"roofs":   all(&roofs, "roofs"),
		"use": func(v strictjson.Value) {
			r.list(v, "uses", func(i int, use strictjson.Value) { job.Uses = append(job.Uses, r.use(i, use)) })
		},
		"heat": func(v strictjson.Value) {
			var err error
			job.Heat, err = parseHeat(r.quantity(v, "a difference of temperature", `a string such as "140 F" or "60 K"`))
			r.parsed(v, err)
		},
		"stock": func(v strictjson.Value) {
			r.list(v, "left-over stock", func(i int, s strictjson.Value) { job.Stock = append(job.Stock, r.stock(i, s)) })
		},
	})
	if r.count() == 0 && !slices.ContainsFunc([]string{"runs", "planes", "roofs"}, func(key string) bool {
		_, ok := r.doc.Find("/" + key)
		return ok
	}) {
		r.fault(root, `a job needs the key "runs", "planes" or "roofs"`)
	}
	panels := 0
	for i, v := range runs {
		before := r.count()
		spec := r.run(v, base)
		ids, job.Runs = append(ids, spec.ID), append(job.Runs, nil)
		if r.count() > before || panels > r.limits.Panels {
			continue
		}
		at := "/runs/" + strconv.Itoa(i)
		run, err := geom.NewRun(spec, r.limits.Panels)
		if err != nil {
			r.errs.addFields(at, err, r.limits)
			continue
		}
		job.Runs[i] = run
		if panels += panelCount(run); panels > r.limits.Panels {
			r.errs.addTooManyPanels(at, r.limits)
		}
	}
	before := r.count()
	at := r.planes(job, planes, roofs, base)
	complete := r.count() == before
	site := newSite(job, ids, at, r.limits, &r.errs)
	if !complete {
		site.names = nil
	}
	r.errs.addUses(site.names, job.Uses)
	return job
}

// roof is what a run takes from its job, and a side from its run, where it has none of its own.
type roof struct {
	slope   *units.Slope
	profile *geom.Profile
	panels  *geom.Panels // without their profile
}

// side makes a side of what it was given.
func (f roof) side() geom.SideSpec {
	var s geom.SideSpec
	if f.slope != nil {
		s.Slope = *f.slope
	}
	if f.panels != nil {
		p := *f.panels
		if f.profile != nil {
			p.Profile = *f.profile
		}
		s.Panels = &p
	}
	return s
}

// run reads a run. Keys come in any order, so what a run hands on to its sides is read first.
func (r *jobReader) run(v strictjson.Value, own roof) geom.Spec {
	var spec geom.Spec
	var sides []strictjson.Value
	sided := false
	keys := r.roof(&own)
	maps.Copy(keys, fields{
		"id":     func(v strictjson.Value) { spec.ID = r.name(v, "a run's id") },
		"edge":   func(v strictjson.Value) { spec.Edge = r.name(v, "a run's edge") },
		"length": func(v strictjson.Value) { spec.Length = r.length(v, "a run's length") },
		"sides": func(v strictjson.Value) {
			sided = true
			r.list(v, "sides", func(_ int, side strictjson.Value) { sides = append(sides, side) })
			if v.Kind() == strictjson.Array && len(sides) == 0 {
				r.fault(v, "sides are one or two: leave the key out where a run has one")
			}
		},
		"ends":      func(v strictjson.Value) { spec.Ends = r.ends(v) },
		"zones":     func(v strictjson.Value) { spec.Zones = r.zones(v) },
		"obstacles": func(v strictjson.Value) { spec.Obstacles = r.obstacles(v) },
	})
	r.object(v, "a run", keys, "id", "edge", "length")
	if !sided {
		if own.slope == nil && v.Kind() == strictjson.Object {
			r.fault(v, `a run needs the key "slope"`)
		}
		spec.Sides = []geom.SideSpec{own.side()}
		return spec
	}
	for _, s := range sides {
		spec.Sides = append(spec.Sides, r.side(s, own))
	}
	return spec
}

func (r *jobReader) side(v strictjson.Value, own roof) geom.SideSpec {
	var id, role string
	keys := r.roof(&own)
	maps.Copy(keys, fields{
		"id":   func(v strictjson.Value) { id = r.name(v, "a side's id") },
		"role": func(v strictjson.Value) { role = r.name(v, "a side's role") },
	})
	r.object(v, "a side", keys, "id")
	if own.slope == nil && v.Kind() == strictjson.Object {
		r.fault(v, `a side needs the key "slope"`)
	}
	side := own.side()
	side.ID, side.Role = id, role
	return side
}

// roof reads the keys that a run and a side have in common.
func (r *jobReader) roof(own *roof) fields {
	return fields{
		"slope": func(v strictjson.Value) {
			s := r.slope(v, "a slope")
			own.slope = &s
		},
		"profile": func(v strictjson.Value) { own.profile = r.profile(v) },
		"panels":  func(v strictjson.Value) { own.panels = r.panels(v) },
	}
}

func (r *jobReader) profile(v strictjson.Value) *geom.Profile {
	var p geom.Profile
	r.object(v, "a profile", fields{
		"cover":      func(v strictjson.Value) { p.Cover = r.length(v, "a cover") },
		"rib_width":  func(v strictjson.Value) { p.RibWidth = r.length(v, "a rib's width") },
		"rib_height": func(v strictjson.Value) { p.RibHeight = r.length(v, "a rib's height") },
	}, "cover", "rib_width", "rib_height")
	return &p
}

// panels reads where ribs stand; null says that there are no panels.
func (r *jobReader) panels(v strictjson.Value) *geom.Panels {
	if v.Kind() == strictjson.Null {
		return nil
	}
	var p geom.Panels
	given := 0
	r.object(v, "panels", fields{
		"first": func(v strictjson.Value) {
			given++
			p.First = r.length(v, "the first panel's width")
		},
		"ribs": func(v strictjson.Value) {
			given++
			p.Ribs = []units.Length{}
			r.list(v, "ribs", func(_ int, rib strictjson.Value) { p.Ribs = append(p.Ribs, r.length(rib, "a rib's station")) })
		},
	})
	if given != 1 && v.Kind() == strictjson.Object {
		r.fault(v, `panels have either "first", the width of the first panel, or "ribs", their stations`)
	}
	return &p
}

func (r *jobReader) ends(v strictjson.Value) (ends [2]string) {
	n := 0
	before := r.count()
	r.list(v, "ends", func(i int, end strictjson.Value) {
		if n++; i < len(ends) {
			ends[i] = r.name(end, "an end")
		}
	})
	if n != len(ends) && r.count() == before {
		r.fault(v, "a run has two ends, left and right, but here are %d", n)
	}
	return ends
}

func (r *jobReader) zones(v strictjson.Value) (zones []geom.Zone) {
	if r.tooMany(v, "zones of a run", geom.MaxStretches) {
		return nil
	}
	r.list(v, "zones", func(_ int, v strictjson.Value) {
		var z geom.Zone
		r.object(v, "a zone", fields{
			"kind": func(v strictjson.Value) { z.Kind = r.name(v, "a zone's kind") },
			"from": func(v strictjson.Value) { z.From = r.length(v, "a zone's start") },
			"to":   func(v strictjson.Value) { z.To = r.length(v, "a zone's end") },
		}, "kind", "from", "to")
		zones = append(zones, z)
	})
	return zones
}

func (r *jobReader) obstacles(v strictjson.Value) (obstacles []geom.Obstacle) {
	if r.tooMany(v, "obstacles of a run", geom.MaxStretches) {
		return nil
	}
	r.list(v, "obstacles", func(_ int, v strictjson.Value) {
		var o geom.Obstacle
		r.object(v, "an obstacle", fields{
			"id":   func(v strictjson.Value) { o.ID = r.name(v, "an obstacle's id") },
			"kind": func(v strictjson.Value) { o.Kind = r.name(v, "an obstacle's kind") },
			"from": func(v strictjson.Value) { o.From = r.length(v, "an obstacle's start") },
			"to":   func(v strictjson.Value) { o.To = r.length(v, "an obstacle's end") },
			"side": func(v strictjson.Value) { o.Side = r.name(v, "an obstacle's side") },
		}, "id", "kind", "from", "to")
		obstacles = append(obstacles, o)
	})
	return obstacles
}

func (r *jobReader) use(i int, v strictjson.Value) Use {
	at := "/use/" + strconv.Itoa(i)
	use := Use{Place: r.place(v, at)}
	r.object(v, "a use", fields{
		"detail": func(v strictjson.Value) { use.Detail = r.name(v, "a detail's name") },
		"runs": func(v strictjson.Value) {
			use.Runs = []string{}
			r.list(v, "a use's runs", func(_ int, run strictjson.Value) { use.Runs = append(use.Runs, r.name(run, "a run's id")) })
		},
		"inputs": func(v strictjson.Value) { use.Inputs = r.inputs(v, at+"/inputs/") },
	}, "detail")
	return use
}

func (r *jobReader) inputs(v strictjson.Value, at string) (inputs []Input) {
	if v.Kind() != strictjson.Object {
		r.fault(v, "inputs are an object of names and values, but here is %s", v.Kind())
		return nil
	}
	for key, value := range v.Members() {
		in := Input{Place: r.place(value, at+strictjson.Escape(key.Text())), Name: r.name(key, "an input's name")}
		switch value.Kind() {
		case strictjson.String:
			in.Value = r.name(value, "an input's value")
		case strictjson.Number:
			in.Value = value.Text()
			if len(in.Value) > maxNumber || strings.ContainsAny(in.Value, "eE") {
				r.fault(value, "this number is not plain: write its digits out, at most %d, with no exponent", maxNumber)
			}
		default:
			r.fault(value, `an input's value is a string such as "3 in", "3:12" or "5%%", or a plain number, but here is %s`, value.Kind())
		}
		inputs = append(inputs, in)
	}
	return inputs
}

// quoted is a text of the job, safe and short enough for a message.
func quoted(s string) string {
	const most = 60
	if len(s) > most {
		return strconv.Quote(s[:most]) + "…"
	}
	return strconv.Quote(s)
}
