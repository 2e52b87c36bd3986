package proofs

import (
	"bufio"
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"testing"
	"time"

	"garner/testdata/testneed"
)

// browser is one Chromium that is driven through its DevTools protocol over two
// pipes (file descriptors 3 and 4, messages ended by a zero byte).
type browser struct {
	t        *testing.T
	to       *os.File
	from     *bufio.Reader
	session  string
	id       int
	requests []string // addresses that were asked for
	blocked  []string // what the page's policy kept from running, and faults
}

type message struct {
	ID     int             `json:"id"`
	Method string          `json:"method"`
	Params json.RawMessage `json:"params"`
	Result json.RawMessage `json:"result"`
	Error  *struct {
		Message string `json:"message"`
	} `json:"error"`
}

func open(t *testing.T) *browser {
	t.Helper()
	path := testneed.Tool(t, "chromium")
	theirs, to, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	from, ours, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(path, "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--remote-debugging-pipe", "--hide-scrollbars",
		"--no-first-run", "--disable-extensions", "--disable-background-networking", "--disable-component-update", "--user-data-dir="+t.TempDir(), "about:blank")
	cmd.ExtraFiles = []*os.File{theirs, ours}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	theirs.Close()
	ours.Close()
	b := &browser{t: t, to: to, from: bufio.NewReaderSize(from, 1<<20)}
	t.Cleanup(func() {
		b.session = ""
		b.call("Browser.close", nil, nil)
		to.Close()
		from.Close()
		end := time.AfterFunc(10*time.Second, func() { cmd.Process.Kill() })
		defer end.Stop()
		_ = cmd.Wait() // what it says at its end is its own affair
	})
	stop := time.AfterFunc(90*time.Second, func() { cmd.Process.Kill() })
	t.Cleanup(func() { stop.Stop() })

	var target struct{ TargetID string }
	b.call("Target.createTarget", map[string]any{"url": "about:blank"}, &target)
	var attached struct{ SessionID string }
	b.call("Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &attached)
	b.session = attached.SessionID
	for _, domain := range []string{"Page", "Network", "Log", "Runtime"} {
		b.call(domain+".enable", nil, nil)
	}
	return b
}

// call sends a command and waits for what comes of it.
func (b *browser) call(method string, params any, result any) {
	b.t.Helper()
	b.id++
	m := map[string]any{"id": b.id, "method": method}
	if params != nil {
		m["params"] = params
	}
	if b.session != "" {
		m["sessionId"] = b.session
	}
	out, err := json.Marshal(m)
	if err != nil {
		b.t.Fatal(err)
	}
	if _, err := b.to.Write(append(out, 0)); err != nil {
		b.t.Fatalf("%s: %v", method, err)
	}
	for {
		in, ok := b.next()
		if !ok && method == "Browser.close" {
			return
		}
		if !ok {
			b.t.Fatalf("%s: the browser is gone", method)
		}
		if in.ID != b.id {
			continue
		}
		if in.Error != nil {
			b.t.Fatalf("%s: %s", method, in.Error.Message)
		}
		if result != nil {
			if err := json.Unmarshal(in.Result, result); err != nil {
				b.t.Fatal(err)
			}
		}
		return
	}
}

// next is the next message; what it tells of requests and faults is kept.
func (b *browser) next() (message, bool) {
	line, err := b.from.ReadBytes(0)
	if err != nil {
		return message{}, false
	}
	var m message
	if err := json.Unmarshal(bytes.TrimSuffix(line, []byte{0}), &m); err != nil {
		b.t.Fatal(err)
	}
	switch m.Method {
	case "Network.requestWillBeSent":
		var p struct{ Request struct{ URL string } }
		if err := json.Unmarshal(m.Params, &p); err != nil {
			b.t.Fatal(err)
		}
		b.requests = append(b.requests, p.Request.URL)
	case "Log.entryAdded", "Runtime.exceptionThrown", "Network.loadingFailed":
		b.blocked = append(b.blocked, string(m.Params))
	}
	return m, true
}

// visit opens an address and waits until it is loaded.
func (b *browser) visit(url string) {
	b.t.Helper()
	b.call("Page.navigate", map[string]any{"url": url}, nil)
	b.until(`document.readyState === "complete" && location.href.startsWith("file:")`)
}

// eval runs JavaScript, which the page's policy does not concern, and decodes its value.
func (b *browser) eval(script string, value any) {
	b.t.Helper()
	var r struct {
		Result           struct{ Value json.RawMessage }
		ExceptionDetails *struct {
			Exception struct{ Description string }
		}
	}
	b.call("Runtime.evaluate", map[string]any{"expression": script, "returnByValue": true, "awaitPromise": true}, &r)
	if r.ExceptionDetails != nil {
		b.t.Fatalf("%.200s: %s", script, r.ExceptionDetails.Exception.Description)
	}
	if value != nil {
		if err := json.Unmarshal(r.Result.Value, value); err != nil {
			b.t.Fatalf("%.200s: %s: %v", script, r.Result.Value, err)
		}
	}
}

// until waits until an expression is true.
func (b *browser) until(script string) {
	b.t.Helper()
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(10 * time.Millisecond) {
		var ok bool
		if b.eval(script, &ok); ok {
			return
		}
		if time.Now().After(end) {
			b.t.Fatalf("never true: %s", script)
		}
	}
}

// window sets the width and height in CSS pixels, and dark or light.
func (b *browser) window(w, h int, dark bool) {
	b.t.Helper()
	b.call("Emulation.setDeviceMetricsOverride", map[string]any{"width": w, "height": h, "deviceScaleFactor": 1, "mobile": w < 600}, nil)
	scheme := map[bool]string{true: "dark", false: "light"}[dark]
	b.call("Emulation.setEmulatedMedia", map[string]any{"features": []any{map[string]string{"name": "prefers-color-scheme", "value": scheme}}}, nil)
}

// press types a key.
func (b *browser) press(key string, code int) {
	b.t.Helper()
	down := map[string]any{"type": "keyDown", "key": key, "code": key, "windowsVirtualKeyCode": code}
	if key == "Enter" {
		down["text"] = "\r"
	}
	b.call("Input.dispatchKeyEvent", down, nil)
	b.call("Input.dispatchKeyEvent", map[string]any{"type": "keyUp", "key": key, "code": key, "windowsVirtualKeyCode": code}, nil)
}

func (b *browser) tab()   { b.press("Tab", 9) }
func (b *browser) enter() { b.press("Enter", 13) }

// shot is a PNG of what is to be seen.
func (b *browser) shot() []byte {
	b.t.Helper()
	return b.data("Page.captureScreenshot", map[string]any{"format": "png"})
}

// print is the page on paper, as PDF.
func (b *browser) print() []byte {
	b.t.Helper()
	return b.data("Page.printToPDF", map[string]any{"preferCSSPageSize": true})
}

func (b *browser) data(method string, params any) []byte {
	b.t.Helper()
	var r struct{ Data []byte } // base64
	b.call(method, params, &r)
	return r.Data
}
