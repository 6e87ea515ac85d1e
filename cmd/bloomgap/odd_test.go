package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/golden"
)

// fate is what becomes of an input that is odd.
type fate string

const (
	refused fate = "refused" // nothing is answered; each message names the place, what is wrong and what to do
	asked   fate = "asked"   // nothing is answered until the keeper confirms it
	noted   fate = "noted"   // the answer is that of the plain writing, and what was made of the input is said with it
	right   fate = "right"   // the answer is that of the plain writing, and nothing needs to be said
)

// odd is an input such as keepers write, and what must become of it. What is said
// is kept word for word in testdata/odd.
type odd struct {
	name string
	fate fate
	edit string // what is changed in the plain season: "column=cell", or "column>heading", parts separated by |
	like string // the same in plain writing, for what is answered; "" = the plain season itself
}

// otherwise stands for an input that nothing plainer would be answered like; only
// what is said counts.
const otherwise = "-"

// oddRun is a call of the command in a folder with some files, and one whose answer
// must be the same.
type oddRun struct {
	name        string
	fate        fate
	files       map[string]string
	args        []string
	likeFiles   map[string]string
	likeArgs    []string
	says        string // what the answer itself must say of it
	answersOnly bool   // there is no plain writing: the answer must only hold what is said
}

// plainSeason is a season without anything to say about it.
func plainSeason() map[string]string {
	return map[string]string{
		"s/settings.toml": "today = 2027-03-20\nsprings = 10\ndraws = 4\n",
		"s/equipment.csv": "yard,item,count,holds_l\n,pail,3,4\n",
		"s/yards.csv": "yard,lat,lon,elev_m,climate,next_visit,days_between,visits,bloom_date,bloom_spread,early_forage,monthly_means_c,deep_box_kg,lid_kg,plants\n" +
			"Mill,45.3,-72.9,68,farnham,2027-03-23,10,,,,,,,,\n",
		"s/colonies.csv": "yard,colony,date,alive,boxes,frames_per_box,wrapped,gross_kg,lift_back_kg,lift_left_kg,lift_right_kg,heft,food_frames_deep," +
			"seams,count_temp_c,brood_frames,sealed_percent,sugar_over_cluster_kg,confirmed,note\n" +
			"Mill,A1,2027-03-18,yes,1 deep,,no,,,,,light,,5,6,1,,,,\n",
	}
}

// edited is the plain season with changes in one of its tables.
func edited(t *testing.T, table, edit string) map[string]string {
	t.Helper()
	files := plainSeason()
	lines := strings.Split(strings.TrimSuffix(files[table], "\n"), "\n")
	head, row := strings.Split(lines[0], ","), strings.Split(lines[1], ",")
	plain := slices.Clone(head)
	for part := range strings.SplitSeq(edit, "|") {
		switch at := strings.IndexAny(part, "=>"); {
		case at < 0:
			require.Empty(t, part)
		default:
			i := slices.Index(plain, part[:at])
			require.GreaterOrEqual(t, i, 0, "no column %s", part[:at])
			if part[at] == '>' {
				head[i] = quoted(part[at+1:])
			} else {
				row[i] = quoted(part[at+1:])
			}
		}
	}
	files[table] = strings.Join(head, ",") + "\n" + strings.Join(row, ",") + "\n"
	return files
}

// quoted is a cell as a spreadsheet writes it.
func quoted(cell string) string {
	if strings.ContainsAny(cell, ",\"\n") {
		return `"` + strings.ReplaceAll(cell, `"`, `""`) + `"`
	}
	return cell
}

// cells makes runs of changes in one table.
func cells(t *testing.T, table string, list []odd) []oddRun {
	t.Helper()
	var out []oddRun
	for _, o := range list {
		r := oddRun{name: o.name, fate: o.fate, files: edited(t, table, o.edit), args: planAsJSON(), answersOnly: o.like == otherwise}
		if !r.answersOnly {
			r.likeFiles = edited(t, table, o.like)
		}
		out = append(out, r)
	}
	return out
}

// answer is what a call gave.
type answer struct {
	code      int
	out, errs string
}

// inFolder runs the command in a folder with these files. The same call is made
// once only.
func (o *oddTest) inFolder(files map[string]string, args []string) answer {
	key := fmt.Sprint(files, args)
	if a, done := o.done[key]; done {
		return a
	}
	o.Helper()
	o.Chdir(o.TempDir())
	for name, text := range files {
		require.NoError(o, os.MkdirAll(filepath.Dir(name), 0o755))
		require.NoError(o, os.WriteFile(name, []byte(text), 0o600))
	}
	code, out, errs := call(o.T, args...)
	a := answer{code, out, errs}
	o.done[key] = a
	return a
}

// placed is a message that says where: a file of the season, or a flag.
var placed = regexp.MustCompile(`^(?:bloomgap: )?(?:[\w./!-]+\.(?:csv|xlsx|toml|json|txt|tsv)[^ ]*|s|flags|--[\w-]+)(?::| )`)

// oddTest runs odd inputs of one theme.
type oddTest struct {
	*testing.T
	done  map[string]answer
	plain answer
}

// TestOddInput runs each odd input through the command. An input is never taken
// for something else in silence: what is answered without a word is what the plain
// writing gives.
func TestOddInput(t *testing.T) {
	here, err := os.Getwd()
	require.NoError(t, err)
	themes := map[string][]oddRun{
		"colonies": cells(t, "s/colonies.csv", oddColonies()),
		"yards":    cells(t, "s/yards.csv", oddYards()),
		"tables":   oddTables(t),
		"weather":  oddWeather(t),
		"settings": oddSettings(),
		"flags":    oddFlags(),
		"bloom":    oddBlooms(t),
		"scales":   oddScales(t),
		"parts":    oddParts(t),
		"tallies":  oddTallies(),
	}
	tried := 0
	for theme, runs := range themes {
		t.Run(theme, func(t *testing.T) {
			o := oddTest{T: t, done: map[string]answer{}}
			o.plain = o.inFolder(plainSeason(), planAsJSON())
			require.Equal(t, exitOK, o.plain.code, o.plain.errs)
			require.Empty(t, o.plain.errs, "the plain season has nothing to be said of")
			var told bytes.Buffer
			seen := map[string]bool{}
			for _, r := range runs {
				require.False(t, seen[r.name], "%s stands here twice", r.name)
				seen[r.name] = true
				fmt.Fprintf(&told, "%s: %s\n", r.name, r.fate)
				for _, line := range o.check(r) {
					fmt.Fprintf(&told, "    %s\n", line)
				}
			}
			golden.Equal(t, filepath.Join(here, "testdata", "odd", theme+".txt"), told.Bytes())
		})
		tried += len(runs)
	}
	require.GreaterOrEqual(t, tried, 300)
}

// planAsJSON is the call that most odd inputs are given to.
func planAsJSON() []string { return []string{"plan", "s", "--json"} }

// check runs one input and gives what was said of it.
func (o *oddTest) check(r oddRun) []string {
	got := o.inFolder(r.files, r.args)
	var said []string
	for line := range strings.Lines(got.errs) {
		said = append(said, strings.TrimSpace(line))
	}
	if r.fate == refused || r.fate == asked {
		o.checkRefused(r, got, said)
		return said
	}
	if got.code != exitOK {
		o.Errorf("%s: %s wanted, but it ends with %d: %s", r.name, r.fate, got.code, got.errs)
		return said
	}
	usual := warningsOf(o.plain.out)
	for _, w := range warningsOf(got.out) {
		if line := "in the answer: " + w; !slices.Contains(usual, w) && !slices.Contains(said, line) {
			said = append(said, line)
		}
	}
	if r.says != "" && strings.Contains(got.out, r.says) {
		said = append(said, "in the answer: ... "+r.says+" ...")
	} else if r.says != "" {
		o.Errorf("%s: the answer does not say %s", r.name, r.says)
	}
	if r.fate == right && got.errs != "" {
		o.Errorf("%s: nothing need be said, but: %s", r.name, got.errs)
	}
	if r.fate == noted && len(said) == 0 {
		o.Errorf("%s: nothing is said", r.name)
	}
	if !r.answersOnly {
		args := r.likeArgs
		if args == nil {
			args = r.args
		}
		like := o.inFolder(r.likeFiles, args)
		if like.code != exitOK || !reflect.DeepEqual(answerOf(like.out), answerOf(got.out)) {
			o.Errorf("%s: the plain writing is answered otherwise (code %d)", r.name, like.code)
		}
	}
	return said
}

// checkRefused asks that nothing is answered, and that each message says where,
// what and what to do.
func (o *oddTest) checkRefused(r oddRun, got answer, said []string) {
	questions, errors := 0, 0
	usage := got.code == exitUsage // one sentence about the call, and where its words are explained
	for _, line := range said {
		switch {
		case usage:
			errors++
			if !strings.HasPrefix(line, "bloomgap: ") && !strings.HasPrefix(line, "See bloomgap ") {
				o.Errorf("%s: no message of a call: %s", r.name, line)
			}
			continue
		case strings.HasPrefix(line, "... and "):
			continue
		case strings.Contains(line, "warning: "):
		case strings.Contains(line, "please check: "):
			questions++
		default:
			errors++
		}
		if !placed.MatchString(line) || !strings.Contains(line, "; ") {
			o.Errorf("%s: no place, or not what to do: %s", r.name, line)
		}
	}
	if got.code != exitInput && got.code != exitUsage || got.out != "" {
		o.Errorf("%s: %s wanted, but it ends with %d: %s", r.name, r.fate, got.code, got.errs)
		return
	}
	if r.fate == asked && (questions == 0 || errors > 0) || r.fate == refused && errors == 0 {
		o.Errorf("%s: %s wanted: %s", r.name, r.fate, got.errs)
	}
}

// outcomes are warnings of what the plan comes to, not of what went into it.
func outcomes() []string {
	return []string{"warning.still_starves", "warning.still_at_risk", "warning.go_sooner", "warning.reserve_not_held", "warning.visit_moved_late"}
}

// warningsOf lists the texts of the warnings of a plan as JSON that tell of its
// input, but for those of reading, which are printed besides.
func warningsOf(out string) []string {
	var doc any
	if json.Unmarshal([]byte(out), &doc) != nil {
		return nil
	}
	var list []string
	var walk func(v any)
	walk = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			if code, _ := v["code"].(string); strings.HasPrefix(code, "warning.") && code != "warning.input" && !slices.Contains(outcomes(), code) {
				text, _ := v["text"].(string)
				list = append(list, text)
			}
			for _, k := range sortedKeys(v) {
				walk(v[k])
			}
		case []any:
			for _, e := range v {
				walk(e)
			}
		}
	}
	walk(doc)
	return list
}

func sortedKeys(m map[string]any) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// answerOf is what is answered without what is said of the reading.
func answerOf(out string) any {
	var doc any
	if json.Unmarshal([]byte(out), &doc) != nil {
		return out
	}
	var strip func(v any) any
	strip = func(v any) any {
		switch v := v.(type) {
		case map[string]any:
			for k, e := range v {
				v[k] = strip(e)
			}
		case []any:
			return slices.DeleteFunc(v, func(e any) bool {
				strip(e)
				m, _ := e.(map[string]any)
				return m["code"] == "warning.input"
			})
		}
		return v
	}
	return strip(doc)
}

func writeAll(t testing.TB, path, text string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
}

func readAll(t testing.TB, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(b)
}
