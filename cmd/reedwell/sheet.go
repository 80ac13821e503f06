package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"reedwell/levels/lesson"
	"reedwell/levels/sheet"
	"reedwell/levels/sheet/pdf"
)

// paperFlag adds the flag that chooses the paper.
func paperFlag(flags *flag.FlagSet) *sheet.Paper {
	paper := new(sheet.Paper)
	flags.Func("paper", "`size`: a4 or letter (default a4)", func(text string) error {
		switch strings.ToLower(text) {
		case "a4":
			*paper = sheet.A4
		case "letter":
			*paper = sheet.Letter
		default:
			return errors.New("the paper is a4 or letter")
		}
		return nil
	})
	return paper
}

// printSheet writes the tab sheet of a lesson, as PDF, or as SVG with a file for each page.
func printSheet(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("sheet", flag.ContinueOnError)
	flags.SetOutput(errs)
	asked := lessonFlags(flags)
	paper := paperFlag(flags)
	page := flags.String("page", "", "`address` of the page; with it each lick has a QR code that opens its drill")
	file := flags.String("o", "", "`file` to write: .pdf or .svg")
	l, err := asked.parse(flags, args, errs)
	if err != nil {
		return unusable, err
	}
	o := sheet.Options{Paper: *paper}
	if *page != "" {
		for i := range l.Licks {
			fragment, err := lickLink(l, i)
			if err != nil {
				return unusable, err
			}
			o.Links = append(o.Links, *page+"#"+fragment)
		}
	}
	s, err := sheet.Lay(l, o)
	if err != nil {
		return unusable, err
	}
	switch filepath.Ext(*file) {
	case ".pdf":
		var b bytes.Buffer
		if err := pdf.Write(&b, s); err != nil {
			return unusable, err
		}
		return done, os.WriteFile(*file, b.Bytes(), 0o666)
	case ".svg":
		for i := range s.Pages {
			data, err := s.SVG(i)
			if err != nil {
				return unusable, err
			}
			name := *file
			if len(s.Pages) > 1 {
				name = fmt.Sprintf("%s-%d.svg", strings.TrimSuffix(name, ".svg"), i+1)
			}
			if err := os.WriteFile(name, data, 0o666); err != nil {
				return unusable, err
			}
			fmt.Fprintln(out, name)
		}
		return done, nil
	}
	return unusable, errors.New("name the file to write with -o, ending in .pdf or .svg")
}

// lickLink is the link of lick i, from 0, with no more of the lesson in it than that lick: short
// enough for a message and for a printed code.
func lickLink(l lesson.Lesson, i int) (string, error) {
	one, err := lesson.Only(l, i)
	if err != nil {
		return "", err
	}
	one.Words = ""
	return lesson.Link(lesson.Address{Lesson: one, Lick: 1})
}
