package musicxml

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf16"

	"reedwell/levels/score"
)

// What a file may have at most.
const (
	maxXML    = 16 << 20 // bytes of XML: a page of music has some hundred kilobytes
	maxDepth  = 48       // elements inside each other; the schema's deepest are under 20
	maxTokens = 4_000_000
	maxFiles  = 64 // in a compressed file; there are pictures sometimes
)

// ErrXML is returned for XML larger than is read, packed or not.
var ErrXML = fmt.Errorf("the music is larger than %d MB of XML; save the melody alone", maxXML>>20)

// unpacked is the XML of a file, which may be a compressed one.
func unpacked(data []byte) ([]byte, error) {
	if !bytes.HasPrefix(data, []byte("PK")) {
		return data, nil
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, fmt.Errorf("the compressed file: %w; save it again, or uncompressed", err)
	}
	if len(z.File) > maxFiles {
		return nil, fmt.Errorf("the compressed file holds %d files; MusicXML has a handful. Save it uncompressed", len(z.File))
	}
	name := ""
	for _, f := range z.File {
		if f.Name == "META-INF/container.xml" {
			text, err := content(f)
			if err != nil {
				return nil, err
			}
			var c struct {
				Roots []struct {
					Path string `xml:"full-path,attr"`
					Type string `xml:"media-type,attr"`
				} `xml:"rootfiles>rootfile"`
			}
			if err := decode(text, &c); err != nil {
				return nil, fmt.Errorf("META-INF/container.xml: %w", err)
			}
			for _, r := range c.Roots {
				if name == "" && (r.Type == "" || strings.Contains(r.Type, "musicxml")) {
					name = r.Path
				}
			}
		}
	}
	for _, f := range z.File {
		low := strings.ToLower(f.Name)
		inside := !strings.HasPrefix(f.Name, "META-INF/") && (strings.HasSuffix(low, ".xml") || strings.HasSuffix(low, ".musicxml"))
		if f.Name == name || name == "" && inside {
			return content(f)
		}
	}
	return nil, errors.New("the compressed file holds no music; save it again, or uncompressed")
}

// content unpacks one file, however large it says it is.
func content(f *zip.File) ([]byte, error) {
	r, err := f.Open()
	if err != nil {
		return nil, fmt.Errorf("%.60q in the compressed file: %w", f.Name, err)
	}
	defer r.Close()
	data, err := io.ReadAll(io.LimitReader(r, maxXML+1))
	if err != nil {
		return nil, fmt.Errorf("%.60q in the compressed file: %w", f.Name, err)
	}
	if len(data) > maxXML {
		return nil, ErrXML
	}
	return data, nil
}

// decode reads XML into v, within bounds. Entities are those of XML itself; a file that
// declares its own is refused.
func decode(data []byte, v any) error {
	if len(data) > maxXML {
		return ErrXML
	}
	d := xml.NewDecoder(bytes.NewReader(utf8ed(data)))
	d.CharsetReader = func(label string, r io.Reader) (io.Reader, error) {
		switch strings.ToLower(label) {
		case "utf-16", "us-ascii", "ascii": // the former is UTF-8 by now
			return r, nil
		case "iso-8859-1", "latin1", "windows-1252":
			return &latin{r: r}, nil
		}
		return nil, fmt.Errorf("the encoding %.20q is not known; save the file as UTF-8", label)
	}
	b := &bounded{d: d}
	err := xml.NewTokenDecoder(b).Decode(v)
	if b.err != nil {
		err = b.err
	}
	if err == nil {
		return nil
	}
	line, column := d.InputPos()
	return fmt.Errorf("line %d, column %d: %w", line, column, err)
}

// bounded hands on tokens until there are too many, or too deep.
type bounded struct {
	d             *xml.Decoder
	depth, tokens int
	err           error
}

// Token is the next token.
func (b *bounded) Token() (xml.Token, error) {
	if b.err != nil {
		return nil, b.err
	}
	t, err := b.d.RawToken()
	if err != nil {
		return nil, err
	}
	b.tokens++
	switch t := t.(type) {
	case xml.StartElement:
		b.depth++
	case xml.EndElement:
		b.depth--
	case xml.Directive:
		if bytes.Contains(t, []byte("<!")) {
			b.err = errors.New("the file declares elements or entities of its own; no music needs them, so it is not read")
		}
	}
	switch {
	case b.depth > maxDepth:
		b.err = fmt.Errorf("elements inside each other more than %d deep; this is no music", maxDepth)
	case b.tokens > maxTokens:
		b.err = fmt.Errorf("more than %d elements and texts; save the melody alone", maxTokens)
	}
	return t, b.err
}

// utf8ed turns UTF-16, known by its byte order mark, into UTF-8.
func utf8ed(data []byte) []byte {
	var order binary.ByteOrder
	switch {
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}):
		order = binary.LittleEndian
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		order = binary.BigEndian
	case bytes.HasPrefix(data, []byte{0xef, 0xbb, 0xbf}):
		return data[3:]
	default:
		return data
	}
	units := make([]uint16, 0, len(data)/2)
	for i := 2; i+1 < len(data); i += 2 {
		units = append(units, order.Uint16(data[i:]))
	}
	return []byte(string(utf16.Decode(units)))
}

// latin reads Latin-1 as UTF-8.
type latin struct {
	r    io.Reader
	rest []byte
}

// Read reads some bytes of UTF-8.
func (l *latin) Read(p []byte) (int, error) {
	if len(l.rest) == 0 {
		var in [512]byte
		n, err := l.r.Read(in[:])
		if n == 0 {
			return 0, err
		}
		for _, b := range in[:n] {
			l.rest = append(l.rest, string(rune(b))...)
		}
	}
	n := copy(p, l.rest)
	l.rest = l.rest[n:]
	return n, nil
}

// whole is a file as a score, from what a reader gives.
func whole(r io.Reader) (scoreXML, error) {
	var s scoreXML
	data, err := io.ReadAll(io.LimitReader(r, maxXML+1))
	if err != nil {
		return s, err
	}
	if len(data) > maxXML {
		return s, ErrXML
	}
	if data, err = unpacked(data); err != nil {
		return s, err
	}
	if err := decode(data, &s); err != nil {
		if text := err.Error(); strings.Contains(text, "score-timewise") {
			return s, errors.New("the file is ordered by time (score-timewise); save it as score-partwise, which programs do unless told otherwise")
		}
		return s, err
	}
	if len(s.Parts) == 0 {
		return s, score.ErrEmpty
	}
	return s, nil
}
