package read

import (
	"fmt"
	"strings"
)

// Problem is one thing found in an input file. A Problem is either fatal (the
// file cannot be used) or a warning (it can be lived with).
type Problem struct {
	File    string // as the user named it; with "!sheet" behind it for a workbook
	Line    int    // 1-based line or spreadsheet row; 0 when the whole file is meant
	Column  int    // 1-based column; 0 when the whole line is meant
	Message string // what is wrong, one clause, no full stop
	Fix     string // what to do about it, one clause, no full stop
	Warning bool   // true: the run goes on
}

// String writes the problem as "file:line:column: message; fix".
func (p Problem) String() string {
	var b strings.Builder
	b.WriteString(p.File)
	if p.Line > 0 {
		fmt.Fprintf(&b, ":%d", p.Line)
		if p.Column > 0 {
			fmt.Fprintf(&b, ":%d", p.Column)
		}
	}
	b.WriteString(": ")
	if p.Warning {
		b.WriteString("warning: ")
	}
	b.WriteString(p.Message)
	if p.Fix != "" {
		b.WriteString("; ")
		b.WriteString(p.Fix)
	}
	return b.String()
}

// Problems collects what is found over all files of a run, in the order found.
type Problems []Problem

// Add appends one fatal problem.
func (ps *Problems) Add(file string, line, column int, message, fix string) {
	*ps = append(*ps, Problem{File: file, Line: line, Column: column, Message: message, Fix: fix})
}

// Warn appends one warning.
func (ps *Problems) Warn(file string, line, column int, message, fix string) {
	*ps = append(*ps, Problem{File: file, Line: line, Column: column, Message: message, Fix: fix, Warning: true})
}

// Fatal returns the problems that are not warnings.
func (ps Problems) Fatal() Problems { return ps.only(false) }

// Warnings returns the warnings.
func (ps Problems) Warnings() Problems { return ps.only(true) }

func (ps Problems) only(warning bool) Problems {
	var out Problems
	for _, p := range ps {
		if p.Warning == warning {
			out = append(out, p)
		}
	}
	return out
}

// Err returns nil when nothing fatal was found, else an error that prints every
// fatal problem on a line of its own.
func (ps Problems) Err() error {
	if fatal := ps.Fatal(); len(fatal) > 0 {
		return InputError{Problems: fatal}
	}
	return nil
}

// InputError is the error of input that cannot be used. It holds all problems
// of a run, not only the first.
type InputError struct{ Problems Problems }

func (e InputError) Error() string {
	lines := make([]string, len(e.Problems))
	for i, p := range e.Problems {
		lines[i] = p.String()
	}
	return strings.Join(lines, "\n")
}
