package read

import (
	"fmt"
	"slices"
	"strings"
)

// Code names a kind of problem. Programs decide by it, never by the words of a
// message; a keeper confirms a question by it.
type Code string

// The codes of this package. Each names one kind of problem.
const (
	Input          Code = "input"                // of no kind that a program asks about
	FileUnreadable Code = "file-unreadable"      // missing, a folder, not allowed, broken
	FileNotRegular Code = "file-not-regular"     // a pipe, a device or the like
	FileTooLarge   Code = "file-too-large"       // more bytes, rows or cells than Limits allow
	FileEmpty      Code = "file-empty"           // no row in it
	FileNotText    Code = "file-not-text"        // an old workbook, an archive, bytes that are no text
	TextNotUTF8    Code = "text-not-utf8"        // read as Western European text
	LineBroken     Code = "line-broken"          // quotation marks that do not match
	WorkbookBroken Code = "workbook-broken"      // not a workbook that can be read
	ColumnMissing  Code = "column-missing"       // a required heading is not there
	ColumnUnknown  Code = "column-unknown"       // a heading that no column has
	ColumnTwice    Code = "column-twice"         // one column under two headings
	ColumnUnit     Code = "column-unit"          // a heading with a unit that does not fit
	CellBeyond     Code = "cell-beyond-headings" // a cell behind the last heading
	CellEmpty      Code = "cell-empty"           // a cell that must be filled in
	CellNumber     Code = "cell-number"          // not a number
	CellRange      Code = "cell-range"           // a number that cannot be
	CellUnit       Code = "cell-unit"            // a unit that does not fit the column
	CellDate       Code = "cell-date"            // not a date
	CellDateOrder  Code = "cell-date-order"      // day first or month first: not settled
	CellWord       Code = "cell-word"            // none of the words that are known
	CellLong       Code = "cell-long"            // a name with too many letters

	moreOfTheSame Code = "more" // stands for problems that are not kept one by one
)

const (
	mostKept   = 1000 // problems of a level kept one by one, own judgement: more than anyone reads
	mostListed = 50   // problems printed one by one, own judgement: two screens
)

// Level tells what a problem does to the run.
type Level uint8

// The levels, the worst first.
const (
	Error Level = iota // the input cannot be used
	Ask                // it looks wrong: the run stops until the keeper confirms it
	Note               // it can be lived with: the run goes on and says so
)

// String is the level in one lower-case word.
func (l Level) String() string { return [...]string{"error", "question", "warning"}[l] }

// Problem is one thing found in an input file.
type Problem struct {
	Code    Code
	Level   Level
	File    string // as the user named it; with "!sheet" behind it for a workbook; "" when no file is meant
	Line    int    // 1-based line or spreadsheet row; 0 when the whole file is meant
	Column  int    // 1-based column; 0 when the whole line is meant
	Message string // what is wrong, one clause, no full stop
	Fix     string // what to do about it, one clause, no full stop
	more    int    // problems that this one stands for, besides itself
}

// String writes the problem as "file:line:column: message; fix".
func (p Problem) String() string {
	if p.Code == moreOfTheSame {
		return fmt.Sprintf("%sand %d more like these", p.Level.prefix(), p.Count())
	}
	var b strings.Builder
	b.WriteString(p.File)
	if p.Line > 0 {
		fmt.Fprintf(&b, ":%d", p.Line)
		if p.Column > 0 {
			fmt.Fprintf(&b, ":%d", p.Column)
		}
	}
	if b.Len() > 0 {
		b.WriteString(": ")
	}
	b.WriteString(p.Level.prefix())
	b.WriteString(p.Text())
	return b.String()
}

// Text is the problem without its place: "message; fix".
func (p Problem) Text() string {
	parts := []string{p.Message}
	if p.Fix != "" {
		parts = append(parts, p.Fix)
	}
	if p.Level == Ask {
		parts = append(parts, fmt.Sprintf("if it is right as it is, confirm it: --confirm %s, or %s = true under [confirm] in the settings", p.Code, p.Code))
	}
	return strings.Join(parts, "; ")
}

// Count is how many problems this one stands for: 1, or more for one that counts
// those that were not kept.
func (p Problem) Count() int { return 1 + p.more }

// prefix stands in front of the message.
func (l Level) prefix() string {
	switch l {
	case Ask:
		return "please check: "
	case Note:
		return "warning: "
	}
	return ""
}

// Problems collects what is found over all files of a run, in the order found.
// Past a thousand of a level they are counted, no longer kept.
type Problems []Problem

// Report appends one problem. An empty code stands for Input.
func (ps *Problems) Report(p Problem) {
	if p.Code == "" {
		p.Code = Input
	}
	list := *ps
	tail := len(list) // where the counts of what is not kept begin
	for tail > 0 && list[tail-1].Code == moreOfTheSame {
		tail--
		if list[tail].Level == p.Level {
			list[tail].more += 1 + p.more
			return
		}
	}
	if tail >= mostKept {
		kept := 0
		for _, q := range list[:tail] {
			if q.Level == p.Level {
				kept++
			}
		}
		if kept >= mostKept {
			*ps = append(list, Problem{Code: moreOfTheSame, Level: p.Level, File: p.File, more: p.more})
			return
		}
	}
	*ps = slices.Insert(list, tail, p)
}

// Add appends one error without a code of its own.
func (ps *Problems) Add(file string, line, column int, message, fix string) {
	ps.Report(Problem{File: file, Line: line, Column: column, Message: message, Fix: fix})
}

// Warn appends one warning without a code of its own.
func (ps *Problems) Warn(file string, line, column int, message, fix string) {
	ps.Report(Problem{Level: Note, File: file, Line: line, Column: column, Message: message, Fix: fix})
}

// Fatal returns the problems that stop the run: errors, and questions that
// nobody has answered.
func (ps Problems) Fatal() Problems { return ps.only(func(l Level) bool { return l != Note }) }

// Errors returns the problems for which no answer helps.
func (ps Problems) Errors() Problems { return ps.only(func(l Level) bool { return l == Error }) }

// Warnings returns the problems that the run goes on with.
func (ps Problems) Warnings() Problems { return ps.only(func(l Level) bool { return l == Note }) }

func (ps Problems) only(wanted func(Level) bool) Problems {
	var out Problems
	for _, p := range ps {
		if wanted(p.Level) {
			out = append(out, p)
		}
	}
	return out
}

// Has tells whether one of the problems has a code.
func (ps Problems) Has(code Code) bool {
	return slices.ContainsFunc(ps, func(p Problem) bool { return p.Code == code })
}

// Full tells that more errors were found than are kept: reading on is of no use.
func (ps Problems) Full() bool {
	for i := len(ps) - 1; i >= 0 && ps[i].Code == moreOfTheSame; i-- {
		if ps[i].Level == Error {
			return true
		}
	}
	return false
}

// Confirm turns the questions with these codes into warnings, which say that
// they were confirmed. The list itself stays as it is.
func (ps Problems) Confirm(codes []Code) Problems {
	out := slices.Clone(ps)
	for i, p := range out {
		if p.Level == Ask && slices.Contains(codes, p.Code) {
			out[i] = p.Confirmed()
		}
	}
	return out
}

// Confirmed is the problem as a warning that says it was confirmed.
func (p Problem) Confirmed() Problem {
	p.Level, p.Message, p.Fix = Note, "confirmed: "+p.Message, ""
	return p
}

// Lines writes the problems one a line, the first fifty and how many more.
func (ps Problems) Lines() []string {
	var out []string
	rest := 0
	for _, p := range ps {
		if p.Code != moreOfTheSame && len(out) < mostListed {
			out = append(out, p.String())
			continue
		}
		rest += p.Count()
	}
	if rest > 0 {
		out = append(out, fmt.Sprintf("... and %d more", rest))
	}
	return out
}

// Err returns nil when nothing stops the run, else an error that prints every
// such problem on a line of its own.
func (ps Problems) Err() error {
	if fatal := ps.Fatal(); len(fatal) > 0 {
		return InputError{Problems: fatal}
	}
	return nil
}

// InputError is the error of input that cannot be used. It holds all problems
// of a run, not only the first.
type InputError struct{ Problems Problems }

func (e InputError) Error() string { return strings.Join(e.Problems.Lines(), "\n") }

// Guard is a rule of plausibility: what is read is weighed against it.
type Guard struct {
	Code   Code
	Level  Level
	What   string // what is looked at, and from where on it looks wrong
	Source string // of the limit
}
