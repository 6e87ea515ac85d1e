package main

import (
	"fmt"
	"runtime/debug"
	"strings"
)

// build is what the program knows of its own making.
type build struct {
	version  string // of the module; "devel" where the go command set none
	commit   string // "" where it was built outside a checkout
	modified bool   // the checkout held changes that were not committed
	golang   string // version of Go
}

// thisBuild reads what the go command wrote into the program.
func thisBuild() build {
	b := build{version: "devel", golang: "an unknown Go"}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return b
	}
	b.golang = info.GoVersion
	if v := info.Main.Version; v != "" && v != "(devel)" {
		b.version = v
	}
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			b.commit = s.Value
		case "vcs.modified":
			b.modified = s.Value == "true"
		}
	}
	return b
}

// String is the version in one line.
func (b build) String() string {
	commit := "no commit stamped"
	if b.commit != "" {
		commit = "commit " + b.commit
	}
	if b.modified {
		commit += " and changes"
	}
	return fmt.Sprintf("bloomgap %s, %s, %s", b.version, commit, strings.Replace(b.golang, "go", "Go ", 1))
}
