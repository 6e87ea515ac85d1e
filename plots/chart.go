package plots

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

// Chart is one picture, drawn when it is written. It does not change and may be
// written by several goroutines at once.
type Chart struct {
	title    string // the finding, one sentence
	subtitle string // what is drawn
	desc     string
	look     Look
	height   func(s *sheet, width float64) float64 // points that the drawing wants at a width
	draw     func(s *sheet, r box)
}

// Desc is the alternative text: what is drawn and the numbers that matter.
func (c *Chart) Desc() string { return strings.TrimSpace(c.subtitle + ". " + c.desc) }

// The sizes that can be written, cm: no narrower than a narrow phone, no larger
// than a poster, so that a mistyped size cannot fill the memory.
const (
	MinWidthCm = 7
	MaxWidthCm = 120
	MaxAreaCm2 = 20000
)

// pngDPI is dots per inch of a PNG: sharp in print, own judgement, 96-300.
const pngDPI = 200

const ptPerCm = 72 / 2.54

// margin is the white edge of a chart, points.
const margin = 5

// shortest is the share to which the drawing, without head and foot, can be
// pressed before text meets; the tests hold it.
const shortest = 0.85

func (c *Chart) heightOn(s *sheet, share float64) float64 {
	inner := s.w - 2*margin
	h := c.headHeight(s, inner) + share*c.height(s, inner) + c.footHeight(s, inner) + 2*margin
	return math.Ceil(10*h/ptPerCm) / 10
}

// Write draws the chart as "svg", "png" or "pdf". A height of 0 takes the one
// the chart wants. An unknown format, a width outside MinWidthCm..MaxWidthCm, and a
// height under which text would meet are errors that say what to ask for.
func (c *Chart) Write(w io.Writer, format string, widthCm, heightCm float64) error {
	if err := c.look.Validate(); err != nil {
		return err
	}
	if !(widthCm >= MinWidthCm && widthCm <= MaxWidthCm) {
		return fmt.Errorf("a chart %g cm wide: give %d to %d cm", widthCm, MinWidthCm, MaxWidthCm)
	}
	s := newSheet(c.look, nil, widthCm*ptPerCm, 0)
	if heightCm == 0 {
		heightCm = c.heightOn(s, 1)
	}
	if least := c.heightOn(s, shortest); !(heightCm >= least) {
		return fmt.Errorf("a chart %g cm high is too low to read: at a width of %g cm give %.1f cm or more", heightCm, widthCm, least)
	}
	if widthCm*heightCm > MaxAreaCm2 {
		return fmt.Errorf("a chart of %g x %g cm is too large: give %d square cm at most", widthCm, heightCm, MaxAreaCm2)
	}
	wd, ht := widthCm*ptPerCm, heightCm*ptPerCm
	switch format {
	case "svg":
		p := newSVG(wd, ht, c.look.TextPt, c.title, c.Desc())
		c.lay(s.onto(p, wd, ht))
		return p.writeTo(w)
	case "pdf":
		day := c.look.Day
		if day.IsZero() {
			day = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
		}
		p := newPDF(wd, ht, c.title, day)
		c.lay(s.onto(p, wd, ht))
		return p.writeTo(w)
	case "png":
		cv := vgimg.NewWith(vgimg.UseWH(vg.Length(wd), vg.Length(ht)), vgimg.UseDPI(pngDPI))
		c.lay(s.onto(cv, wd, ht))
		_, err := vgimg.PngCanvas{Canvas: cv}.WriteTo(w)
		return err
	}
	return errors.New("unknown format " + fmt.Sprintf("%q", format) + ": give svg, png or pdf")
}

// lay draws head, foot and picture.
func (c *Chart) lay(s *sheet) {
	s.rect(box{0, 0, s.w, s.h}, paper)
	r := box{margin, margin, s.w - margin, s.h - margin}
	y := r.y1
	lines := func(str string, st draw.TextStyle) {
		for _, l := range s.wrap(str, st, r.w()) {
			y -= st.Font.Size.Points() * leading
			s.text(l, r.x0, y, st)
		}
	}
	lines(c.title, s.title())
	lines(c.subtitle, s.soft())
	y = r.y0 + c.footHeight(s, r.w()) - 2
	lines(c.look.Source, s.small())
	c.draw(s, box{r.x0, r.y0 + c.footHeight(s, r.w()), r.x1, r.y1 - c.headHeight(s, r.w())})
}

// leading is line pitch over size of letter (common practice, 1.15-1.35).
const leading = 1.22

// linesHeight is the height of a text wrapped to a width.
func (s *sheet) linesHeight(str string, st draw.TextStyle, w float64) float64 {
	return float64(len(s.wrap(str, st, w))) * st.Font.Size.Points() * leading
}

func (c *Chart) headHeight(s *sheet, w float64) float64 {
	return s.linesHeight(c.title, s.title(), w) + s.linesHeight(c.subtitle, s.soft(), w) + 6
}

func (c *Chart) footHeight(s *sheet, w float64) float64 {
	if c.look.Source == "" {
		return 0
	}
	return s.linesHeight(c.look.Source, s.small(), w) + 4
}

// nothing is the chart for results that hold nothing to draw.
func nothing(title, what string, l Look) *Chart {
	return &Chart{title: title, desc: what, look: l,
		height: func(s *sheet, w float64) float64 { return s.linesHeight(what, s.plain(), w) + l.TextPt*leading },
		draw: func(s *sheet, r box) {
			for i, line := range s.wrap(what, s.plain(), r.w()) {
				s.text(line, r.x0, r.y1-float64(i+1)*l.TextPt*leading, s.plain())
			}
		}}
}
