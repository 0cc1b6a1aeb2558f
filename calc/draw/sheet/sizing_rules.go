package sheet

import (
	"fmt"
	"strings"

	"tubewright/calc/draw"
	"tubewright/calc/job"
)

// rules are all rules, each with its result, start, formula, symbols, range and sources.
func (s sized) rules(f *prose) {
	f.section("Every rule, with its source")
	f.leads("Results stand in mm and in the unit of the formula. A rule that gives nothing yet stands here all the same, with what it wants. Grades: published, read in the source that is named; common practice, no source, in builders' mouths; from memory, of a book that nobody has held it to yet; own arithmetic; own study, computed, not measured; own choice.")
	for _, q := range job.Questions {
		f.under(askedWords[q])
		for _, r := range s.Rules {
			if r.Question == q {
				f.gap(1.5)
				f.add(whole(s.ruleStrips(r))...)
			}
		}
	}
}

// wordWide is how wide the column is that says what stands beside it.
const wordWide = 24.0

func (s sized) ruleStrips(r job.RulePlan) []strip {
	// To the right of the name: by what it is entered and asked for, and its grade as a whole.
	name := strip{high: 4.6, list: []draw.Entity{
		draw.Text{Layer: draw.Note, Height: 2.4, Anchor: draw.TopLeft, Bold: true, Text: draw.Shortened(r.Name, 2.4, true, proseWide-90)},
		draw.Text{Layer: draw.Note, At: draw.Pos{proseWide, -0.3}, Height: textHigh, Anchor: draw.TopRight, Text: r.ID + ": " + r.Grade},
		draw.Line{Layer: draw.Mark, From: draw.Pos{0, -3.5}, To: draw.Pos{proseWide, -3.5}},
	}}
	list := []strip{name}
	say := func(label, text string, bold bool) {
		for i, line := range fitted(text, textHigh, bold, proseWide-wordWide) {
			row := strip{high: textLine * textHigh, list: textAt(wordWide, 0, textHigh, bold, line)}
			if i == 0 {
				row.list = append(textAt(0, 0, textHigh, false, label), row.list...)
			}
			list = append(list, row)
		}
		list[len(list)-1].high += 0.5
	}
	for _, v := range r.Values {
		say("gives", s.result(v), true)
	}
	if len(r.Values) == 0 {
		say("gives", "nothing yet; to enter first: "+wanted(r), true)
	}
	say("starts", startWords(r.Start), false)
	say("formula", r.Formula, false)
	for i, sym := range r.Symbols {
		label := ""
		if i == 0 {
			label = "with"
		}
		say(label, s.symbol(sym), false)
	}
	holds := r.Holds
	if len(r.Outside) > 0 {
		holds += ". Not meant for this engine: " + strings.Join(r.Outside, ", ") + " lies outside"
	}
	say("meant for", holds, len(r.Outside) > 0)
	if r.Note != "" {
		say("note", r.Note, false)
	}
	for i, src := range r.Sources {
		label := "source"
		if len(r.Sources) > 1 {
			label = fmt.Sprintf("source %d", i+1)
		}
		say(label, src.Text+" ("+src.Grade+")", false)
	}
	return list
}

// result is a value in our unit and in the book's.
func (s sized) result(v job.ValuePlan) string {
	of := []string{inUnit(float64(v.Value), v.Unit)}
	if v.Unit == "mm" {
		of = []string{maker{o: Options{Unit: "mm"}}.with(float64(v.Value))}
		if s.o.Unit == "in" && v.BookUnit != "in" {
			of = append(of, s.with(float64(v.Value)))
		}
	}
	if v.BookUnit != v.Unit {
		of = append(of, inUnit(float64(v.Book), v.BookUnit))
	}
	text := v.What
	if v.Name != "" {
		text += ", " + v.Name
	}
	text += ": " + strings.Join(of, " = ")
	if !alike(float64(v.Low), float64(v.High)) {
		text += "; band " + s.span(float64(v.Low), float64(v.High), v.Unit)
	}
	if v.Start != "" {
		text += "; " + startWords(v.Start)
	}
	return text
}

// symbol is a letter of a formula, what stands for it, and where that is from.
func (s sized) symbol(sym job.SymbolPlan) string {
	text := sym.Letter + " = "
	if v, known := value(sym.Value); known {
		text += inUnit(v, sym.Unit)
	} else {
		text += "open"
		if sym.Unit != "" {
			text += ", in " + sym.Unit
		}
	}
	text += ": " + sym.Text
	if sym.Value != nil {
		text += "; " + s.fromWords(sym.From)
		if sym.Grade != "" {
			text += " (" + sym.Grade + ")"
		}
	}
	if sym.Limits != "" {
		switch low, high := number(sym.Low), number(sym.High); {
		case low != nil && high != nil:
			text += fmt.Sprintf("; meant for %s to %s (%s)", bareFigure(inUnit(*low, sym.Unit)), shorter(inUnit(*high, sym.Unit)), sym.Limits)
		case low != nil:
			text += fmt.Sprintf("; meant for %s and more (%s)", inUnit(*low, sym.Unit), sym.Limits)
		case high != nil:
			text += fmt.Sprintf("; meant for at most %s (%s)", inUnit(*high, sym.Unit), sym.Limits)
		}
	}
	if sym.Outside {
		text += ". It lies outside"
	}
	return text
}
