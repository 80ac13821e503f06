module reedwell

go 1.26.0

require (
	github.com/chromedp/chromedp v0.23.0
	github.com/gen2brain/malgo v0.11.24
	github.com/go-audio/audio v1.0.0
	github.com/go-audio/wav v1.1.0
	gonum.org/v1/gonum v0.17.0
)

require (
	github.com/chromedp/cdproto v0.159.0 // indirect
	github.com/go-audio/riff v1.0.0 // indirect
	github.com/go-json-experiment/json v0.0.0-20260213210345-44df1a37e875 // indirect
)
