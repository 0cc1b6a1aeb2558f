package job

import (
	"encoding/json"
	"strings"
)

// quoted writes text as a JSON string.
func quoted(text string) string {
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(text); err != nil {
		panic("job: bug: quote a text: " + err.Error())
	}
	return strings.TrimSuffix(b.String(), "\n")
}

// lineLength is how long a line of a written file may be: what fits stays on one.
const lineLength = 110

// pretty breaks JSON into lines as a person would: what is short stands on one.
func pretty(raw string, indent int) string {
	if len(raw) == 0 || len(raw)+indent <= lineLength || raw[0] != '{' && raw[0] != '[' {
		return raw
	}
	var r fileReader
	var items []string
	if raw[0] == '{' {
		for _, m := range r.object("", raw).list {
			items = append(items, quoted(m.key)+": "+pretty(m.raw, indent+1))
		}
	} else {
		for _, item := range r.array("", raw) {
			items = append(items, pretty(item, indent+1))
		}
	}
	blank := "\n" + strings.Repeat(" ", indent+1)
	return raw[:1] + blank + strings.Join(items, ","+blank) + blank[:indent+1] + raw[len(raw)-1:]
}
