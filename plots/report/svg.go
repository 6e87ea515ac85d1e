package report

import (
	"encoding/xml"
	"errors"
	"fmt"
	"html"
	"html/template"
	"io"
	"slices"
	"strings"
)

// drawn are the elements and attributes of a picture that are let into a page.
// What is not listed is left out together with what it holds.
var (
	drawnElements = []string{"svg", "g", "title", "desc", "path", "line", "polyline", "polygon", "rect", "circle", "ellipse", "text", "tspan"}
	drawnAttrs    = []string{"viewBox", "role", "transform", "d", "points", "x", "y", "x1", "y1", "x2", "y2", "dx", "dy", "cx", "cy", "r", "rx", "ry",
		"width", "height",
		"fill", "fill-opacity", "fill-rule", "stroke", "stroke-width", "stroke-opacity", "stroke-dasharray", "stroke-dashoffset", "stroke-linecap",
		"stroke-linejoin", "opacity",
		"font-family", "font-size", "font-weight", "font-style", "text-anchor", "dominant-baseline", "textLength", "lengthAdjust"}
)

// inline makes an SVG fit to stand in a page: no prolog, no size of its own
// (the page gives it), shapes and text only. It fails when it is not whole.
func inline(svg string) (template.HTML, error) {
	d := xml.NewDecoder(strings.NewReader(svg))
	var b strings.Builder
	depth, skip := 0, 0
	seen := false
	for {
		t, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return "", fmt.Errorf("a chart is not a whole SVG: %w", err)
		}
		switch t := t.(type) {
		case xml.StartElement:
			if skip > 0 || !slices.Contains(drawnElements, t.Name.Local) || depth == 0 && (seen || t.Name.Local != "svg") {
				skip++
				continue
			}
			seen = true
			b.WriteString("<" + t.Name.Local)
			for _, a := range t.Attr {
				if a.Name.Space != "" || !slices.Contains(drawnAttrs, a.Name.Local) || strings.Contains(strings.ToLower(a.Value), "url(") ||
					depth == 0 && (a.Name.Local == "width" || a.Name.Local == "height" || a.Name.Local == "role") {
					continue
				}
				b.WriteString(" " + a.Name.Local + `="` + html.EscapeString(a.Value) + `"`)
			}
			if depth == 0 {
				b.WriteString(` role="img"`)
			}
			b.WriteString(">")
			depth++
		case xml.EndElement:
			if skip > 0 {
				skip--
				continue
			}
			depth--
			b.WriteString("</" + t.Name.Local + ">")
		case xml.CharData:
			if skip == 0 && depth > 0 {
				if text := string(t); strings.TrimSpace(text) != "" {
					b.WriteString(html.EscapeString(text))
				}
			}
		}
	}
	if !seen {
		return "", errors.New("a chart holds no svg element")
	}
	return template.HTML(b.String()), nil // written anew above: listed elements and attributes, values escaped
}
