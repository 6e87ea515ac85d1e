package season

import (
	"regexp"
	"strings"

	"bloomgap/forage/read"
)

// flagColumns are the columns that are flags of the command for one hive.
const flagColumns = `weather|weather_place|climate|forecast|elev|lat|lon|next_visit|days_between|bloom_date|bloom_spread|bloom_base_c|bloom_start|bloom_need_cd|` +
	`monthly_means_c|monthly_means_f|count_temp|frames_per_box|lift_back|lift_left|lift_right|gross|heft|food_frames_deep|food_frames_medium|brood_frames|` +
	`seams|boxes|wrapped`

var (
	underColumn = regexp.MustCompile(`\bunder (` + flagColumns + `)\b`)
	longColumn  = regexp.MustCompile(`(^|[ (])((?:` + flagColumns + `))([ ,;:)]|$)`)
	namesOfOne  = strings.NewReplacer(
		", or other dates under visits", "", "or the day named in "+settingsFile, "or name that day with --today",
		`the hive of colony "this hive"`, "the hive", "(weather, --weather)", "(--weather)", "(monthly_means_c, --monthly-means-c)", "(--monthly-means-c)",
		`row 2 of the table of colonies: colony this hive of this yard`, "the hive",
		`the colony "this hive"`, "the hive", `colony "this hive"`, "the hive", `colony this hive of this yard`, "the hive",
		`the yard "this yard"`, "the place", `yard "this yard"`, "the place", `yard this yard: `, "", `yard this yard`, "the place",
	)
)

// InFlags puts problems of a single hive into the words of the command that asked
// about it: flags in place of columns, and no names that nobody gave.
func InFlags(ps read.Problems) read.Problems {
	for i := range ps {
		p := &ps[i]
		if p.File == "" {
			p.File = "flags"
		}
		column := strings.ReplaceAll(strings.TrimPrefix(p.File, "--"), "-", "_")
		if rest, own := strings.CutPrefix(p.Message, column+" "); own { // the flag is named in front already
			p.Message = strings.ReplaceAll(column, "_", " ") + " " + rest
		}
		p.Message, p.Fix = inFlags(p.Message), inFlags(p.Fix)
	}
	return ps
}

func inFlags(text string) string {
	text = underColumn.ReplaceAllStringFunc(namesOfOne.Replace(text), func(s string) string {
		return "with " + asFlag(strings.TrimPrefix(s, "under "))
	})
	return longColumn.ReplaceAllStringFunc(text, func(s string) string {
		m := longColumn.FindStringSubmatch(s)
		if !strings.Contains(m[2], "_") { // an everyday word
			return s
		}
		return m[1] + asFlag(m[2]) + m[3]
	})
}

func asFlag(column string) string { return "--" + strings.ReplaceAll(column, "_", "-") }
