// Package report writes a plan as one page for a browser and as sheets to
// print, one for each yard.
//
// The page holds all it needs: no network, no script. What to do comes first;
// then the order, the visits, a sheet for each yard, each colony unfolding into
// its charts and its reason, method and limits, cautions, and what was put in.
// Charts are drawn elsewhere and come as SVG; they are read and written anew,
// and only shapes and text are let through. All text from the season folder is
// escaped by html/template.
//
// The templates are in parts that a served page can use as well: "style",
// "banner", "answer" (which is "do" and "why"), "figures", "order", "warnings", "cautions"; see Templates.
//
// The sheets are a PDF with letters of 9 points or more, its date the day of
// the plan, so that the same plan gives the same file.
//
// Units: metric in; on paper and screen those of Options. Left out: scripts that
// Liberation Sans has no letters for are printed as "?" in the PDF.
package report
