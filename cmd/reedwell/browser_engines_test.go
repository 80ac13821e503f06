//go:build browser && linux

package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"reedwell/audio/synth"
	"reedwell/audio/wav"
)

// An engine is a browser that is not Chromium, driven by the interface it has for that.
type engine interface {
	// open goes to an address and waits until it is loaded.
	open(address string) error
	// ask runs the body of a function in the page and decodes what it returns.
	ask(body string, result any) error
	// click presses an element as a pointer does.
	click(selector string) error
	io.Closer
}

// oneThread has Mesa draw by the processor without threads of its own. With them Firefox's page stood still for good in one run of eight: its
// WebGL waited for Mesa, and Mesa's thread in glibc's pthread_cond_broadcast.
const oneThread = "LP_NUM_THREADS=0"

// answers is how long a browser may take over one command, the opening of the page among them.
const answers = 2 * time.Minute

// An otherTab is a page in such a browser.
type otherTab struct {
	*testing.T
	engine
}

func (b otherTab) want(err error) {
	b.Helper()
	if err != nil {
		b.Fatal(err)
	}
}

// until waits until an expression is true: a take of 38 s and its hearing last longer where a busy computer breaks up the sound.
func (b otherTab) until(what, expression string) {
	b.Helper()
	for range 1800 {
		var ok bool
		b.want(b.ask("return !!("+expression+")", &ok))
		if ok {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	var text string
	b.want(b.ask("return document.body.innerText", &text))
	b.Fatalf("not %s after three minutes; the page says:\n%s", what, text)
}

func (b otherTab) press(id string) {
	b.Helper()
	item := fmt.Sprintf("document.getElementById(%q)", "item-"+id)
	b.until("on screen: "+id, item+" && !"+item+".disabled")
	b.want(b.ask(item+`.scrollIntoView({ block: "center" })`, nil))
	b.want(b.click("#item-" + id))
}

func (b otherTab) words(id string) (text string) {
	b.Helper()
	b.until("on screen: "+id, fmt.Sprintf("document.getElementById(%q)", "item-"+id))
	b.want(b.ask(fmt.Sprintf("return document.getElementById(%q).textContent", "item-"+id), &text))
	return text
}

// start waits for the first screen, then keeps what the content security policy refuses.
func (b otherTab) start(address string) {
	b.Helper()
	b.want(b.open(address))
	b.until("started", `document.getElementById("item-start")`)
	b.want(b.ask(`document.addEventListener("securitypolicyviolation", (e) => {
		document.documentElement.dataset.refused = e.violatedDirective + " " + e.blockedURI;
	});`, nil))
}

func (b otherTab) clean() {
	b.Helper()
	var refused string
	b.want(b.ask(`return document.documentElement.dataset.refused ?? ""`, &refused))
	if refused != "" {
		b.Errorf("the content security policy refused %s", refused)
	}
}

// TestBrowserFirefox has Firefox hear a note in a room in which the microphone hears the loudspeaker, measure the delay
// and go through a take.
func TestBrowserFirefox(t *testing.T) {
	if !inRoom(t, "firefox-esr", "xvfb-run", "paplay") {
		return
	}
	f, err := newFirefox(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	b := otherTab{t, f}
	b.hears(served(t))
	b.press("measure")
	delay := b.words("delay")
	var ms float64
	if _, err := fmt.Sscanf(delay, "Your sound takes %f ms", &ms); err != nil || ms <= 0 || ms > 600 {
		t.Errorf("the page says %q, want a delay between 0 and 600 ms", delay)
	}
	b.press("go-on")
	b.takes()
}

// TestBrowserWebKit has a WebKit, the engine of Safari, hear a note in the same room. It is GTK's build: its page, scripts
// and Web Audio are Safari's, its sound and picture are not. A take is not asked for: where the processor draws, its sound stops
// when the computer is busy.
func TestBrowserWebKit(t *testing.T) {
	if !inRoom(t, "WebKitWebDriver", "xvfb-run", "paplay") {
		return
	}
	w, err := newWebKit()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.Close() })
	b := otherTab{t, w}
	b.hears(served(t))
	b.clean()
}

// hears goes from the first screen to the measuring, with 4 blow of a C harp sounding in the room.
func (b otherTab) hears(address string) {
	b.Helper()
	file := filepath.Join(b.TempDir(), "note.wav")
	const rate, seconds = 48000, 60
	c5 := 440 * math.Exp2(3./12) // ISO 16 and equal temperament
	sound := synth.Render(rate, seconds, []synth.Note{{End: seconds, Hz: []synth.Point{{Value: c5}}, Level: -20}}, 1)
	b.want(os.WriteFile(file, wav.Bytes(rate, sound), 0o666))
	b.start(address)
	b.press("start")
	b.press("out-speaker")
	b.press("mic")
	note := exec.Command("paplay", file)
	b.want(note.Start())
	b.until("heard", `document.getElementById("item-heard")?.textContent.includes("4 blow")`)
	b.want(note.Process.Kill())
	note.Wait() // says only that it was killed
	b.press("go-on")
}

// takes goes through a take whose microphone is muted from the count-in on, so that not even the click is heard in it,
// and wants that to be said. What marks a page gives is compared in Chromium: a busy computer that draws by its
// processor breaks up this sound. A take in which it stands still is stopped by the page, with the reason, and played again.
func (b otherTab) takes() {
	b.Helper()
	b.press("level-" + practised)
	for range 5 {
		b.want(exec.Command("pactl", "set-source-mute", "@DEFAULT_SOURCE@", "0").Run())
		b.press("play")
		b.until("counted in", `document.getElementById("item-count")?.textContent.startsWith("Count-in")`)
		b.want(exec.Command("pactl", "set-source-mute", "@DEFAULT_SOURCE@", "1").Run())
		b.until("at the result or stopped", `document.getElementById("item-again") || document.getElementById("item-play")`)
		var text string
		b.want(b.ask(`return document.getElementById("content").innerText`, &text))
		if strings.Contains(text, "The sound stood still for more than a second") {
			b.Log("the computer was too busy for a take")
			continue
		}
		if !strings.Contains(text, "not be judged") {
			b.Errorf("after a take without a player the page says:\n%s", text)
		}
		b.clean()
		return
	}
	b.Error("in none of five takes did the sound go on")
}

// firefox is driven by Marionette, its own remote control: on a socket, messages of a length, a
// colon and JSON: [0, number, command, parameters], answered by [1, number, error, result].
type firefox struct {
	process *exec.Cmd
	socket  net.Conn
	lines   *bufio.Reader
	number  int
}

// newFirefox starts one with a profile in dir whose microphone is allowed. It draws on a display
// that nobody sees: without any it has no WebGL.
func newFirefox(dir string) (*firefox, error) {
	const preferences = `
user_pref("marionette.port", 0);
user_pref("media.navigator.permission.disabled", true);
user_pref("permissions.default.microphone", 1);
user_pref("media.autoplay.default", 0);
user_pref("webgl.force-enabled", true);
user_pref("security.sandbox.content.level", 0);
user_pref("datareporting.policy.dataSubmissionEnabled", false);
user_pref("browser.shell.checkDefaultBrowser", false);
user_pref("app.update.enabled", false);
`
	if err := os.WriteFile(filepath.Join(dir, "user.js"), []byte(preferences), 0o666); err != nil {
		return nil, err
	}
	f := &firefox{process: exec.Command("xvfb-run", "-a", "-s", "-screen 0 1280x1024x24",
		"firefox-esr", "--marionette", "--no-remote", "--profile", dir, "--width", "420", "--height", "900", "about:blank")}
	f.process.Env = append(os.Environ(), "LIBGL_ALWAYS_SOFTWARE=1", oneThread)
	f.process.SysProcAttr = family()
	if err := f.process.Start(); err != nil {
		return nil, err
	}
	for range 300 {
		time.Sleep(100 * time.Millisecond)
		port, err := os.ReadFile(filepath.Join(dir, "MarionetteActivePort"))
		if err != nil || len(port) == 0 {
			continue
		}
		if f.socket, err = net.Dial("tcp", net.JoinHostPort("127.0.0.1", strings.TrimSpace(string(port)))); err != nil {
			continue
		}
		f.lines = bufio.NewReader(f.socket)
		_, err = f.read() // it says what it is
		if err == nil {
			err = f.do("WebDriver:NewSession", map[string]any{}, nil)
		}
		if err != nil {
			f.Close()
			return nil, err
		}
		return f, nil
	}
	f.Close()
	return nil, errors.New("Firefox did not open its remote control in 30 seconds")
}

func (f *firefox) read() ([]byte, error) {
	if err := f.socket.SetReadDeadline(time.Now().Add(answers)); err != nil {
		return nil, err
	}
	length, err := f.lines.ReadString(':')
	if err != nil {
		return nil, err
	}
	n, err := strconv.Atoi(strings.TrimSuffix(length, ":"))
	if err != nil {
		return nil, err
	}
	message := make([]byte, n)
	_, err = io.ReadFull(f.lines, message)
	return message, err
}

func (f *firefox) do(command string, parameters, result any) error {
	f.number++
	data, err := json.Marshal([]any{0, f.number, command, parameters})
	if err != nil {
		return err
	}
	if _, err := fmt.Fprintf(f.socket, "%d:%s", len(data), data); err != nil {
		return err
	}
	if data, err = f.read(); err != nil {
		return err
	}
	var answer [4]json.RawMessage
	if err := json.Unmarshal(data, &answer); err != nil {
		return err
	}
	if string(answer[2]) != "null" {
		return fmt.Errorf("Firefox, %s: %s", command, answer[2])
	}
	if result == nil {
		return nil
	}
	return json.Unmarshal(answer[3], result)
}

func (f *firefox) open(address string) error {
	return f.do("WebDriver:Navigate", map[string]any{"url": address}, nil)
}

func (f *firefox) ask(body string, result any) error {
	value := struct{ Value any }{result}
	return f.do("WebDriver:ExecuteScript", map[string]any{"script": body, "args": []any{}, "sandbox": nil}, &value)
}

func (f *firefox) click(selector string) error {
	var found struct{ Value map[string]string }
	if err := f.do("WebDriver:FindElement", map[string]any{"using": "css selector", "value": selector}, &found); err != nil {
		return err
	}
	for _, id := range found.Value {
		return f.do("WebDriver:ElementClick", map[string]any{"id": id}, nil)
	}
	return fmt.Errorf("no element is %s", selector)
}

func (f *firefox) Close() error {
	if f.socket != nil {
		f.socket.Close()
	}
	return end(f.process)
}

// webKit is driven by WebDriver, the W3C's standard: JSON over HTTP.
type webKit struct {
	process *exec.Cmd
	session string
}

// newWebKit starts the small browser that comes with the engine.
func newWebKit() (*webKit, error) {
	browsers, err := filepath.Glob("/usr/lib/*/webkit2gtk-4.*/MiniBrowser")
	if err != nil || len(browsers) == 0 {
		return nil, errors.New("WebKit's MiniBrowser is not where Debian puts it")
	}
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	address := free.Addr().String()
	free.Close()
	_, port, _ := net.SplitHostPort(address)
	w := &webKit{process: exec.Command("xvfb-run", "-a", "-s", "-screen 0 1280x1024x24", "WebKitWebDriver", "--port="+port)}
	w.process.Env = append(os.Environ(), oneThread)
	w.process.SysProcAttr = family()
	if err := w.process.Start(); err != nil {
		return nil, err
	}
	w.session = "http://" + address + "/session"
	capabilities := map[string]any{"capabilities": map[string]any{"alwaysMatch": map[string]any{"webkitgtk:browserOptions": map[string]any{
		"binary": browsers[0],
		"args":   []string{"--automation", "--enable-media-stream=true", "--enable-webgl=true"},
	}}}}
	for range 100 {
		time.Sleep(100 * time.Millisecond)
		c, err := net.Dial("tcp", address)
		if err != nil {
			continue
		}
		c.Close()
		var got struct{ SessionID string }
		if err := w.do("", capabilities, &got); err != nil {
			w.Close()
			return nil, err
		}
		w.session += "/" + got.SessionID
		return w, nil
	}
	w.Close()
	return nil, errors.New("WebKit's driver did not answer in 10 seconds")
}

func (w *webKit) do(path string, parameters, result any) error {
	data, err := json.Marshal(parameters)
	if err != nil {
		return err
	}
	client := http.Client{Timeout: answers}
	r, err := client.Post(w.session+path, "application/json", bytes.NewReader(data))
	if err != nil {
		return err
	}
	defer r.Body.Close()
	var answer struct{ Value json.RawMessage }
	if err := json.NewDecoder(r.Body).Decode(&answer); err != nil {
		return err
	}
	if r.StatusCode != http.StatusOK {
		return fmt.Errorf("WebKit, %s: %s", path, answer.Value)
	}
	if result == nil {
		return nil
	}
	return json.Unmarshal(answer.Value, result)
}

func (w *webKit) open(address string) error {
	return w.do("/url", map[string]any{"url": address}, nil)
}

func (w *webKit) ask(body string, result any) error {
	return w.do("/execute/sync", map[string]any{"script": body, "args": []any{}}, result)
}

func (w *webKit) click(selector string) error {
	var found map[string]string
	if err := w.do("/element", map[string]any{"using": "css selector", "value": selector}, &found); err != nil {
		return err
	}
	for _, id := range found {
		return w.do("/element/"+id+"/click", map[string]any{}, nil)
	}
	return fmt.Errorf("no element is %s", selector)
}

func (w *webKit) Close() error { return end(w.process) }

// family puts a process and all it starts into a group of their own, so that end ends them all.
func family() *syscall.SysProcAttr { return &syscall.SysProcAttr{Setpgid: true} }

func end(c *exec.Cmd) error {
	if err := syscall.Kill(-c.Process.Pid, syscall.SIGKILL); err != nil {
		return err
	}
	c.Wait() // says only that it was killed
	return nil
}
