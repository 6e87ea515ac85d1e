package forage

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The fingerprint changes with any day and stays with none changed.
func TestFingerprint(t *testing.T) {
	o := &Outlook{Springs: []Spring{{Label: "2001", Weight: 1, Days: []Day{{TminC: -3, TmaxC: 4}, {TminC: 1, TmaxC: 9}}, BloomDay: 1}}}
	was := o.Fingerprint()
	require.Len(t, was, 16)
	require.Equal(t, was, o.Fingerprint())
	o.Springs[0].Days[1].TmaxC += 0.1
	require.NotEqual(t, was, o.Fingerprint())
	o.Springs[0].Days[1].TmaxC -= 0.1
	o.Springs[0].BloomDay++
	require.NotEqual(t, was, o.Fingerprint())
}
