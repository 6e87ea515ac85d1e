//go:build tools

package tools

import _ "honnef.co/go/tools/cmd/staticcheck"
