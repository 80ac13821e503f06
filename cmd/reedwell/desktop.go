package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
)

// A windowTarget is how the window is built for a system.
type windowTarget struct {
	system, arch string
	compiler     string // the C compiler; empty: the one Go takes by itself
	resources    string // the program that makes the icon's object file; empty: none is made
	file         string // name of what is built, unless another is asked for
	linking      string // flags of the linker
}

// targetFor says how the window for a system is built on a host, or what is missing. has
// reports whether a program is in the PATH.
func targetFor(host, arch, system string, has func(string) bool) (windowTarget, error) {
	t := windowTarget{system: system, arch: arch, linking: "-s -w"}
	switch system {
	case "linux":
		t.file = "reedwell-desktop"
		if host != system {
			return t, errors.New("a window for Linux is built on Linux: run this there")
		}
		if !has("gcc") && !has("clang") && !has("cc") {
			return t, errors.New("the window needs a C compiler and the headers that ./test names: on Debian, apt-get install gcc libc6-dev and those")
		}
	case "windows":
		t.file = "Reedwell.exe"
		t.linking += " -H=windowsgui" // no console beside the window
		if host == system {
			if !has("gcc") {
				return t, errors.New("the sound device needs a C compiler: install a MinGW-w64 gcc and put it in the PATH")
			}
			if has("windres") {
				t.resources = "windres"
			}
			return t, nil
		}
		t.arch, t.compiler, t.resources = "amd64", "x86_64-w64-mingw32-gcc", "x86_64-w64-mingw32-windres"
		for _, p := range []string{t.compiler, t.resources} {
			if !has(p) {
				return t, fmt.Errorf("a window for Windows is built here with %s, and it is not in the PATH: on Debian, apt-get install gcc-mingw-w64-x86-64-win32", p)
			}
		}
	case "darwin":
		t.file = "Reedwell.app"
		if host != system {
			return t, errors.New("a window for macOS needs a Mac: Apple licenses the SDK it is compiled with for use on Macs only. " +
				"Run this command there, in a clone, with the Xcode command line tools (xcode-select --install)")
		}
	default:
		return t, fmt.Errorf("system %q: want linux, windows or darwin", system)
	}
	return t, nil
}

// desktop builds the window.
func desktop(args []string, out, errs io.Writer) (int, error) {
	flags := flag.NewFlagSet("desktop", flag.ContinueOnError)
	flags.SetOutput(errs)
	system := flags.String("os", runtime.GOOS, "`system` it is for: linux, windows or darwin (macOS)")
	file := flags.String("o", "", "write it as this `file`; a folder ending in .app for macOS")
	if _, err := parse(flags, args); err != nil {
		return unusable, err
	}
	t, err := targetFor(runtime.GOOS, runtime.GOARCH, *system, func(program string) bool {
		_, err := exec.LookPath(program)
		return err == nil
	})
	if err != nil {
		return unusable, err
	}
	if *file != "" {
		t.file = *file
	}
	here, err := os.Getwd()
	if err != nil {
		return unusable, err
	}
	root, err := moduleRoot(here)
	if err != nil {
		return unusable, err
	}
	if t.file, err = filepath.Abs(t.file); err != nil {
		return unusable, err
	}
	if err := t.build(root, errs); err != nil {
		return unusable, err
	}
	fmt.Fprintln(out, "The window is", t.file)
	return done, nil
}

func (t windowTarget) build(root string, errs io.Writer) error {
	tmp, err := os.MkdirTemp("", "reedwell")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	program := filepath.Join(tmp, "program")
	linking := t.linking
	if t.resources != "" {
		object, err := t.icon(root, tmp)
		if err != nil {
			return err
		}
		// The C compiler links a program with cgo, and takes object files among its flags.
		linking += fmt.Sprintf(" -linkmode=external -extldflags='%s'", object)
	}
	c := exec.Command("go", "build", "-trimpath", "-ldflags="+linking, "-o", program, "./cmd/reedwell-desktop")
	c.Dir = root
	c.Env = append(os.Environ(), "GOOS="+t.system, "GOARCH="+t.arch, "CGO_ENABLED=1", "GOFLAGS=", "PWD="+root)
	if t.compiler != "" {
		c.Env = append(c.Env, "CC="+t.compiler)
	}
	var problems strings.Builder
	c.Stderr = &problems
	fmt.Fprintf(errs, "reedwell: compiling the window for %s; the first time takes a minute or two ", t.system)
	stop := dots(errs)
	err = c.Run()
	stop()
	fmt.Fprintln(errs)
	if err != nil {
		return fmt.Errorf("go build: %w\n%s", err, problems.String())
	}
	if t.system == "darwin" {
		return bundle(t.file, program)
	}
	data, err := os.ReadFile(program)
	if err != nil {
		return err
	}
	if err := writeWhole(t.file, data); err != nil {
		return err
	}
	return os.Chmod(t.file, 0o755)
}

// microphoneReason is what macOS shows when it asks the player for the microphone.
const microphoneReason = "Reedwell hears your harmonica through the microphone. The sound stays on this computer."

// bundle makes a macOS application of a program. Without the reason in it the system gives
// silence in place of the microphone (Information Property List, NSMicrophoneUsageDescription).
func bundle(dir, program string) error {
	data, err := os.ReadFile(program)
	if err != nil {
		return err
	}
	inside := filepath.Join(dir, "Contents")
	if err := os.MkdirAll(filepath.Join(inside, "MacOS"), 0o755); err != nil {
		return err
	}
	info := `<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE plist PUBLIC "-//Apple//DTD PLIST 1.0//EN" "http://www.apple.com/DTDs/PropertyList-1.0.dtd">
<plist version="1.0"><dict>
<key>CFBundleExecutable</key><string>reedwell-desktop</string>
<key>CFBundleIdentifier</key><string>reedwell.desktop</string>
<key>CFBundleName</key><string>Reedwell</string>
<key>CFBundlePackageType</key><string>APPL</string>
<key>NSHighResolutionCapable</key><true/>
<key>NSMicrophoneUsageDescription</key><string>` + microphoneReason + `</string>
</dict></plist>
`
	if err := writeWhole(filepath.Join(inside, "Info.plist"), []byte(info)); err != nil {
		return err
	}
	path := filepath.Join(inside, "MacOS", "reedwell-desktop")
	if err := writeWhole(path, data); err != nil {
		return err
	}
	return os.Chmod(path, 0o755)
}
