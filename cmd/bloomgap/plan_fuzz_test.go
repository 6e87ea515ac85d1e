package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// FuzzPlanEndToEnd plans seasons of any tables and settings: each is answered with
// shares from 0 to 1 and nothing negative, or refused with a message, and nothing is
// half printed.
func FuzzPlanEndToEnd(f *testing.F) {
	plain := plainSeason()
	const given = "yard,colony,date,syrup_l,strength,solid_kg,taken,left_l\n"
	add := func(change func(files map[string]string)) {
		files := plainSeason()
		files["s/given.csv"] = given
		change(files)
		f.Add(files["s/settings.toml"], files["s/yards.csv"], files["s/colonies.csv"], files["s/given.csv"])
	}
	add(func(map[string]string) {})
	// What once went wrong in silence.
	for _, c := range [][3]string{
		{"s/colonies.csv", ",,,,,light,", ",,,24,0,,"}, {"s/colonies.csv", ",yes,1 deep", ",no,1 deep"}, {"s/colonies.csv", ",6,1,,", ",28,1,0.4,"},
		{"s/yards.csv", "2027-03-23,10,", "2026-03-23,10,"}, {"s/yards.csv", ",10,,,", ",10,,2027-01-14,"}, {"s/yards.csv", "45.3,-72.9,68,farnham", "45.3,,68,auto"},
		{"s/settings.toml", "today", "strength = \"1:2\"\ntoday"}, {"s/settings.toml", "today", "accept_risk_percent = 50\ntoday"},
		{"s/given.csv", given, given + "Mill,A1,2027-03-18,2,3:2,,yes,\nMill,A1,2027-03-18,2,3:2,,yes,\n"},
	} {
		add(func(files map[string]string) { files[c[0]] = strings.Replace(files[c[0]], c[1], c[2], 1) })
	}
	dir := f.TempDir()
	if err := os.MkdirAll(filepath.Join(dir, "s"), 0o755); err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, settings, yards, colonies, given string) {
		if len(settings)+len(yards)+len(colonies)+len(given) > 8000 || strings.Contains(yards, "/") {
			return // large tables are bounded elsewhere, and a yard may name any file of the machine
		}
		for name, text := range map[string]string{"settings.toml": settings, "yards.csv": yards, "colonies.csv": colonies, "given.csv": given, "equipment.csv": plain["s/equipment.csv"]} {
			if err := os.WriteFile(filepath.Join(dir, "s", name), []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
		defer cancel()
		var out, errs bytes.Buffer
		code := run(ctx, []string{"plan", filepath.Join(dir, "s"), "--members", "20", "--json"}, testConsole(&out, &errs))
		switch {
		case code == exitOK:
			soundPlan(t, out.Bytes())
		case code != exitInput && code != exitUsage:
			t.Fatalf("it ends with %d: %s", code, errs.String())
		case out.Len() > 0 || errs.Len() == 0:
			t.Fatalf("refused with %q on the screen and %q beside it", out.String(), errs.String())
		}
	})
}

// soundPlan fails for a share outside of 0 to 1 and for an amount below 0.
func soundPlan(t *testing.T, text []byte) {
	t.Helper()
	var doc any
	if err := json.Unmarshal(text, &doc); err != nil {
		t.Fatalf("no JSON: %v", err)
	}
	var walk func(key string, v any)
	walk = func(key string, v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, e := range v {
				if k != "figures" { // of notes: differences may be negative
					walk(k, e)
				}
			}
		case []any:
			for _, e := range v {
				walk(key, e)
			}
		case float64:
			share := strings.HasSuffix(key, "frac")
			amount := strings.HasSuffix(key, "_kg") || strings.HasSuffix(key, "_l") || key == "feedings"
			if share && (v < 0 || v > 1) || amount && v < 0 {
				t.Fatalf("%s is %g", key, v)
			}
		}
	}
	walk("", doc)
}
