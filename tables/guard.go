package tables

// Spreadsheet programs run a text that starts with one of these as a formula. A CSV file can not say "this is text",
// so such texts get an apostrophe in front when they are written and lose it when they are read. A text that already
// starts with apostrophes before such a sign gets one more, so that reading gives back exactly what was written.
func startsFormula(c byte) bool {
	switch c {
	case '=', '+', '-', '@', '\t', '\r':
		return true
	}
	return false
}

func afterApostrophes[T string | []byte](text T) (n int, formula bool) {
	for n < len(text) && text[n] == '\'' {
		n++
	}
	return n, n < len(text) && startsFormula(text[n])
}

// needsGuard says whether a text would start a formula.
func needsGuard(text string) bool {
	_, formula := afterApostrophes(text)
	return formula
}

func unguardable(text []byte) bool {
	n, formula := afterApostrophes(text)
	return n > 0 && formula
}

func unguard(text []byte) []byte { return text[1:] }

// SafeText returns a text as a CSV file of ours holds it: with an apostrophe in front where it would start a formula.
func SafeText(text string) string {
	if needsGuard(text) {
		return "'" + text
	}
	return text
}
