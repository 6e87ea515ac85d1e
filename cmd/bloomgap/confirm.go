package main

import (
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"bloomgap/feed/season"
	"bloomgap/forage/read"
)

// confirmFlag are the questions about the input that are answered in the call.
type confirmFlag struct{ words []string }

func (c *confirmFlag) register(f *pflag.FlagSet) {
	f.StringSliceVar(&c.words, "confirm", nil, `what "please check" asked about is right as it is: its code, such as weather-unit; may be given several times`)
}

// codes are the questions answered.
func (c *confirmFlag) codes() ([]read.Code, error) {
	var out []read.Code
	for _, w := range c.words {
		code, ok := season.ConfirmCode(strings.TrimSpace(w))
		if !ok {
			return nil, usageError{fmt.Errorf("--confirm %q is no question that is asked; the questions are %s", w, strings.Join(season.ConfirmCodes(), ", "))}
		}
		out = append(out, code)
	}
	return out, nil
}

// standardInput is how standard input is named in a call, and stdinName in
// messages.
const standardInput, stdinName = "-", "standard input"

// standardOutput is how standard output is named in a call.
const standardOutput = "-"

// mostStdinBytes is as much as a file may hold.
const mostStdinBytes = 64 << 20

// content is what a file or standard input holds; false when ps tells why not.
func (c *console) content(path string, ps *read.Problems) ([]byte, bool) {
	if path == standardInput {
		return read.All(stdinName, c.in, 0, mostStdinBytes, ps)
	}
	return read.File(path, path, mostStdinBytes, ps)
}

// shownName is how a file is called in messages.
func shownName(path string) string {
	if path == standardInput {
		return stdinName
	}
	return path
}
