package plots

import (
	"bytes"
	"image/color"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// pdf is a canvas on one page of PDF, with the letters used embedded. The canvas
// inside is nil: charts are neither turned nor scaled and hold no images.
type pdf struct {
	vg.Canvas
	doc   *fpdf.Fpdf
	h     float64
	fonts map[bool]bool
}

func newPDF(w, h float64, title string, day time.Time) *pdf {
	d := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: fpdf.SizeType{Wd: w, Ht: h}})
	d.SetCatalogSort(true)
	d.SetCreationDate(day)
	d.SetModificationDate(day)
	d.SetTitle(title, true)
	d.SetAutoPageBreak(false, 0)
	d.SetMargins(0, 0, 0)
	d.SetLineJoinStyle("round")
	d.AddPage()
	return &pdf{doc: d, h: h, fonts: map[bool]bool{}}
}

func (p *pdf) SetLineWidth(w vg.Length) { p.doc.SetLineWidth(float64(w)) }

func (p *pdf) SetLineDash(d []vg.Length, off vg.Length) {
	out := make([]float64, len(d))
	for i := range d {
		out[i] = float64(d[i])
	}
	p.doc.SetDashPattern(out, float64(off))
}

func (p *pdf) SetColor(c color.Color) {
	r, g, b, _ := c.RGBA()
	ri, gi, bi := int(r>>8), int(g>>8), int(b>>8)
	p.doc.SetDrawColor(ri, gi, bi)
	p.doc.SetFillColor(ri, gi, bi)
	p.doc.SetTextColor(ri, gi, bi)
}

func (p *pdf) Stroke(path vg.Path) { p.draw(path, "D") }
func (p *pdf) Fill(path vg.Path)   { p.draw(path, "F") }

func (p *pdf) draw(path vg.Path, how string) {
	for _, c := range path {
		if c.Type == vg.ArcComp { // whole circles only
			p.doc.Circle(float64(c.Pos.X), p.h-float64(c.Pos.Y), float64(c.Radius), how)
			return
		}
	}
	for _, c := range path {
		x, y := float64(c.Pos.X), p.h-float64(c.Pos.Y)
		switch c.Type {
		case vg.MoveComp:
			p.doc.MoveTo(x, y)
		case vg.LineComp:
			p.doc.LineTo(x, y)
		case vg.CloseComp:
			p.doc.ClosePath()
		default:
			panic("plots: a path holds a part that the PDF writer does not know")
		}
	}
	p.doc.DrawPath(how)
}

func (p *pdf) FillString(f font.Face, at vg.Point, str string) {
	bold := f.Font.Weight > 0
	name := ""
	if bold {
		name = "B"
	}
	if !p.fonts[bold] {
		var raw bytes.Buffer
		if _, err := f.Face.WriteSourceTo(nil, &raw); err != nil {
			panic("plots: the chart font cannot be read")
		}
		p.doc.AddUTF8FontFromBytes("sans", name, raw.Bytes())
		p.fonts[bold] = true
	}
	p.doc.SetFont("sans", name, f.Font.Size.Points())
	p.doc.Text(float64(at.X), p.h-float64(at.Y), str)
}

func (p *pdf) writeTo(w io.Writer) error { return p.doc.Output(w) }
