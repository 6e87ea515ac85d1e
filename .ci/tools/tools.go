//go:build tools

package tools

import (
	_ "github.com/CycloneDX/cyclonedx-gomod/cmd/cyclonedx-gomod" // the bill of materials
	_ "golang.org/x/tools/cmd/deadcode"                          // functions that nothing reaches
	_ "golang.org/x/vuln/cmd/govulncheck"                        // known weaknesses of libraries
	_ "honnef.co/go/tools/cmd/staticcheck"                       // mistakes and style
)
