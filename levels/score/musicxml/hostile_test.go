package musicxml

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"

	"reedwell/levels/lesson"
	"reedwell/levels/score"
	"reedwell/levels/score/scoretest"
)

// page is a score of one part with what stands in its measures.
func page(measures string) string {
	return `<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list>` +
		`<part id="P1">` + measures + `</part></score-partwise>`
}

const (
	signs = `<attributes><divisions>2</divisions><key><fifths>1</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time></attributes>`
	noteG = `<note><pitch><step>G</step><octave>4</octave></pitch><duration>2</duration><voice>1</voice></note>`
)

// packed is a compressed file with the files given.
func packed(t testing.TB, files map[string][]byte) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, data := range files {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(data); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestRefuses(t *testing.T) {
	measure := func(s string) string { return page(`<measure number="7">` + s + `</measure>`) }
	many := map[string][]byte{}
	for i := range maxFiles + 1 {
		many[fmt.Sprint(i)] = nil
	}
	bomb := packed(t, map[string][]byte{"music.xml": append([]byte(page("")), bytes.Repeat([]byte(" "), maxXML)...)})
	if len(bomb) > 100_000 {
		t.Fatalf("the bomb has %d bytes; it should be small", len(bomb))
	}
	laughs := `<!DOCTYPE score-partwise [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>`
	for name, c := range map[string]struct {
		data string
		want string
	}{
		"empty":                       {"", "EOF"},
		"no XML":                      {"X:1\nK:C\nCDE", "EOF"},
		"another kind of XML":         {"<html><body/></html>", "score-partwise"},
		"by time":                     {`<score-timewise version="4.0"></score-timewise>`, "save it as score-partwise"},
		"no parts":                    {`<score-partwise/>`, "no notes"},
		"not closed":                  {measure(signs + "<note>")[:300], "EOF"},
		"deep":                        {measure(strings.Repeat("<a>", 100_000)), "deep"},
		"deep in what is passed over": {page(strings.Repeat("<x>", maxDepth+1) + strings.Repeat("</x>", maxDepth+1)), "deep"},
		"entities of its own":         {laughs + measure(signs+noteG), "entities of its own"},
		"an entity from outside":      {`<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/passwd">]>` + measure("&x;"), "entities of its own"},
		"an unknown entity":           {measure("<note>&lol;</note>"), "entity"},
		"an unknown encoding":         {`<?xml version="1.0" encoding="EBCDIC"?><score-partwise/>`, "save the file as UTF-8"},
		"no divisions":                {measure(`<attributes><divisions>0</divisions></attributes>` + noteG), "measure 7: divisions"},
		"divisions are no number":     {measure(`<attributes><divisions>NaN</divisions></attributes>` + noteG), "divisions"},
		"an endless note":             {measure(strings.Replace(signs+noteG, "<duration>2<", "<duration>1e308<", 1)), "measure 7: duration"},
		"a long note":                 {measure(strings.Replace(signs+noteG, "<duration>2<", "<duration>999999<", 1)), "quarters"},
		"three beats a bar":           {measure(strings.Replace(signs+noteG, "<beats>4<", "<beats>3<", 1)), "measure 7: time 3/4"},
		"beats without number":        {measure(strings.Replace(signs+noteG, "<beats>4<", "<beats>3+2<", 1)), "measure 7: time"},
		"no such step":                {measure(strings.Replace(signs+noteG, "<step>G<", "<step>H<", 1)), "steps are A to G"},
		"no such octave":              {measure(strings.Replace(signs+noteG, "<octave>4<", "<octave>400<", 1)), "octave 400"},
		"repeats of repeats": {page(strings.Repeat(`<measure>`+noteG+`<barline><repeat direction="forward"/></barline></measure>`+
			`<measure>`+noteG+`<barline><repeat direction="backward" times="20"/></barline></measure>`, 30)), "repeats"},
		"too many measures": {page(strings.Repeat("<measure/>", maxMeasures+1)), "longer than"},
		"too many notes":    {page(`<measure>` + strings.Repeat(strings.Replace(noteG, ">2<", ">0.01<", 1), score.MaxNotes+2) + `</measure>`), "notes"},
		"no zip":            {"PK\x03\x04 and nothing", "zip"},
		"zip of nothing":    {string(packed(t, nil)), "no music"},
		"zip without music": {string(packed(t, map[string][]byte{"a.png": nil})), "no music"},
		"zip of many files": {string(packed(t, many)), "65 files"},
		"zip bomb":          {string(bomb), "MB of XML"},
	} {
		_, err := Read(strings.NewReader(c.data))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q in it", name, err, c.want)
		}
	}
	if _, err := Read(bytes.NewReader(make([]byte, maxXML+1))); !errors.Is(err, ErrXML) {
		t.Errorf("a large file: %v", err)
	}
}

// The same page in every wrapping.
func TestWrappings(t *testing.T) {
	text := page(`<measure number="1">` + signs + strings.Repeat(noteG, 4) + `</measure>`)
	utf := func(order binary.AppendByteOrder, mark ...byte) string {
		for _, u := range utf16.Encode([]rune(strings.Replace(text, "UTF-8", "UTF-16", 1))) {
			mark = order.AppendUint16(mark, u)
		}
		return string(mark)
	}
	container := []byte(`<container><rootfiles><rootfile full-path="b/music.xml" media-type="application/vnd.recordare.musicxml+xml"/></rootfiles></container>`)
	for name, data := range map[string]string{
		"plain":                text,
		"DOCTYPE":              strings.Replace(text, "?>", `?><!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 3.1 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">`, 1),
		"mark of UTF-8":        "\ufeff" + text,
		"UTF-16, little":       utf(binary.LittleEndian, 0xff, 0xfe),
		"UTF-16, big":          utf(binary.BigEndian, 0xfe, 0xff),
		"Latin-1":              strings.Replace(strings.Replace(text, "UTF-8", "ISO-8859-1", 1), "Flute", "Fl\xf6te", 1),
		"packed":               string(packed(t, map[string][]byte{"META-INF/container.xml": container, "b/music.xml": []byte(text), "a.xml": []byte("<x/>")})),
		"packed, no container": string(packed(t, map[string][]byte{"music.musicxml": []byte(text)})),
	} {
		p, err := Read(strings.NewReader(data))
		if err != nil || len(p.Notes) != 4 || p.Tonic != 7 {
			t.Errorf("%s: %d notes, tonic %d, %v", name, len(p.Notes), p.Tonic, err)
		}
	}
}

// What pages of other programs have: voices, backup, chords, ties, repeats with endings,
// transposing instruments, chord symbols with offsets.
func TestPage(t *testing.T) {
	n := func(step string, octave, duration int, inside string) string {
		return fmt.Sprintf(`<note>%s<pitch><step>%s</step><octave>%d</octave></pitch><duration>%d</duration><voice>1</voice></note>`, inside, step, octave, duration)
	}
	low := `<note><pitch><step>C</step><octave>3</octave></pitch><duration>8</duration><voice>2</voice></note>`
	tie := func(kind string) string {
		return `<note><pitch><step>D</step><octave>5</octave></pitch><duration>4</duration><tie type="` + kind + `"/><voice>1</voice></note>`
	}
	harmony := `<harmony><root><root-step>C</root-step></root><kind>dominant-ninth</kind><offset>4</offset></harmony>`
	text := page(
		`<measure number="1">` + strings.Replace(signs, "</attributes>", "<transpose><chromatic>-2</chromatic></transpose></attributes>", 1) +
			`<barline location="left"><repeat direction="forward"/></barline>` + harmony + n("A", 4, 4, "") + n("C", 5, 4, "<chord/>") + tie("start") +
			`<backup><duration>8</duration></backup>` + low + `</measure>` +
			`<measure number="2"><barline location="left"><ending number="1" type="start"/></barline>` + tie("stop") + `<note><rest/><duration>4</duration><voice>1</voice></note>` +
			`<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline></measure>` +
			`<measure number="3"><barline location="left"><ending number="2" type="start"/></barline>` + n("E", 5, 8, "") +
			`<barline location="right"><ending number="2" type="discontinue"/></barline></measure>`)
	p, err := Read(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	got := ""
	for _, n := range p.Notes {
		got += fmt.Sprintf("%d+%d %v; ", n.Start, n.Length, n.Pitches)
	}
	// Half notes of 1920 ticks, two semitones under the page.
	if want := "0+1920 [67 70]; 1920+3840 [72]; 7680+1920 [67 70]; 9600+1920 [72]; 11520+3840 [74]; "; got != want {
		t.Errorf("\n got %s\nwant %s", got, want)
	}
	if len(p.Chords) != 2 || p.Chords[0] != (score.Chord{Start: 1920, Root: 0, Quality: lesson.Seventh}) {
		t.Errorf("chords %v", p.Chords)
	}
}

// What is read makes a lesson that comes back from a file of its own.
func FuzzRead(f *testing.F) {
	for _, l := range scoretest.Lessons(f) {
		f.Add(written(f, l, 0))
	}
	f.Add([]byte(page(`<measure>` + signs + strings.Repeat(noteG, 4) + `</measure>`)))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Read(bytes.NewReader(data))
		if err != nil {
			return
		}
		l, _, err := p.Lesson(score.Choice{})
		if err != nil {
			return
		}
		var b bytes.Buffer
		if err := Write(&b, l, score.Chorus); err != nil {
			return // licks that sound at once
		}
		q, err := Read(&b)
		if err != nil {
			t.Fatal(err)
		}
		again, _, err := q.Lesson(score.Choice{})
		if err != nil {
			t.Fatal(err)
		}
		scoretest.Same(t, "read again", again, l)
	})
}
