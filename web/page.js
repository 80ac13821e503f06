// The page around the program: checks and loading, the real controls over the picture, storage,
// files, links. The program (WebAssembly) sees it as globalThis.page and answers through one
// callback, send(kind, text, bytes):
//
//   "act"   text: an action as JSON; bytes: of a file, else null
//   "view"  text: {width, height, scroll, dark, still, hidden} in CSS pixels
//   "link"  text: the fragment of a link that was opened, without the #
//   "fetched"  text: {file, problem}; bytes: of a lesson's file that was asked for, else null
//   "left"  text: the head of a take that an earlier page left, bytes: its sound; null where there is none
//   "poll"  now and then while the page can not be seen and nothing is drawn
//
// send is never called from inside a call of the program, so neither waits for the other.
"use strict";
(() => {
  const byId = (id) => document.getElementById(id);
  const script = byId("page-script");
  const view = byId("view");
  const content = byId("content");

  let send = () => {};

  // ---- Before the program runs ----

  function cover(text, progress) {
    byId("cover-text").textContent = text;
    byId("cover-progress").hidden = progress === undefined;
    if (progress !== undefined) byId("cover-progress").value = progress;
  }

  // framed and refused by the page around it, a microphone may still be had in a tab of its own.
  function offerTab() {
    if (window.top === window) return;
    const link = byId("cover-link");
    link.href = location.href;
    link.hidden = false;
  }

  function webgl2() {
    try {
      const context = document.createElement("canvas").getContext("webgl2");
      if (context) context.getExtension("WEBGL_lose_context")?.loseContext();
      return context !== null;
    } catch {
      return false;
    }
  }

  // lacking says what this browser lacks, empty for nothing.
  function lacking() {
    if (typeof WebAssembly !== "object") {
      return "This browser does not run WebAssembly, or it is switched off (some browsers call that a lockdown or strict mode). Allow it for this page or open the page in another browser.";
    }
    if (!window.isSecureContext) {
      return "Browsers give a microphone only to pages served over https or from this computer. Open this page at its https address.";
    }
    if (!webgl2()) {
      return "This browser can not draw with WebGL 2. Turn on hardware acceleration in its settings, bring the browser up to date, or open the page in another browser.";
    }
    if (typeof AudioWorkletNode !== "function") {
      return "This browser has no AudioWorklet, which the exact timing of the sound needs. Bring the browser up to date or open the page in another one.";
    }
    return "";
  }

  async function fetched(name, how) {
    const answer = await fetch(name, how);
    if (!answer.ok) throw new Error("the server answered " + answer.status + " for " + name);
    return answer;
  }

  // program is the answer as it came: only for that do browsers keep the compiled code until the next visit. A host that
  // does not know what WebAssembly is gives it another type.
  function program(answer) {
    const type = "application/wasm";
    return answer.headers.get("Content-Type") === type ? answer : new Response(answer.body, { headers: { "Content-Type": type } });
  }

  // progress is told from a copy of the answer while the bytes come in, until it is ended. The size is that of the program itself:
  // what the server says is the size of the compressed one.
  function progress(copy, size, ended) {
    let had = 0;
    return copy.body.pipeTo(new WritableStream({
      write(chunk) {
        had += chunk.length;
        if (size > 0) cover("Loading.", Math.min(1, had / size));
      },
    }), { signal: ended });
  }

  async function load() {
    const missing = lacking();
    if (missing) {
      cover(missing);
      offerTab();
      return;
    }
    const end = new AbortController();
    try {
      cover("Loading.", 0);
      // The worklet is asked for when the microphone is turned on, and by then the network may be
      // gone: it is brought up to date now and comes from the browser's cache then.
      const worklet = fetched("duplex.js", { cache: "no-cache" }).then((answer) => answer.arrayBuffer());
      const go = new Go();
      const answer = await fetched(script.dataset.program);
      const copy = answer.clone();
      const [{ instance }] = await Promise.all([
        WebAssembly.instantiateStreaming(program(answer), go.importObject),
        progress(copy, Number(script.dataset.bytes), end.signal),
        worklet,
      ]);
      cover("Starting.", 1);
      go.run(instance).then(() => stopped());
      keep();
    } catch (e) {
      end.abort();
      cover("The program could not be loaded. Check the connection, then load the page again.\n(" + e.message + ")");
    }
  }

  function stopped() {
    byId("cover").hidden = false;
    cover("The program has stopped because of a fault of its own. Load the page again; what was saved is still there.");
  }

  // ---- Without a network ----

  let newer = null; // a version that is ready and waits
  let offered = false;

  // keep has the service worker keep the page for when there is no network. Where the browser has
  // none, as in some private windows, the page works as long as there is one.
  async function keep() {
    if (!navigator.serviceWorker) return;
    const keeper = navigator.serviceWorker.controller;
    const had = keeper !== null;
    // As a part of a lesson's site the page is kept with it.
    if (had && keeper.scriptURL !== new URL("offline.js", location.href).href) return;
    try {
      const registration = await navigator.serviceWorker.register("offline.js", { updateViaCache: "none" });
      const ready = (worker) => {
        if (!had || worker.state !== "installed") return;
        newer = worker;
        offer();
      };
      if (registration.waiting) ready(registration.waiting);
      registration.addEventListener("updatefound", () => {
        const worker = registration.installing;
        worker.addEventListener("statechange", () => ready(worker));
      });
    } catch { /* as without one */ }
  }

  // offer tells of a newer version, not in the middle of a take.
  function offer() {
    if (!newer || offered || (last && (last.name === "take" || last.name === "record"))) return;
    offered = true;
    notice("A newer version of Reedwell is ready. It is used from the next time you load the page; your progress stays.", { reload: true });
  }

  // reload loads the page again, in the newer version where one waits.
  function reload() {
    if (!newer) {
      location.reload();
      return;
    }
    navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
    newer.postMessage("take over");
  }

  // ---- Notices of the page itself ----

  function notice(text, { link = "", reload = false, tab = false } = {}) {
    byId("notice-text").textContent = text;
    byId("notice-link").hidden = link === "";
    byId("notice-link").value = link;
    byId("notice-reload").hidden = !reload;
    byId("notice-tab").hidden = !tab;
    byId("notice-tab").href = location.href;
    byId("notice").hidden = false;
    byId("alert").textContent = text;
    if (link) {
      byId("notice-link").focus();
      byId("notice-link").select();
    }
  }
  byId("notice-close").addEventListener("click", () => {
    const held = byId("notice").contains(document.activeElement);
    byId("notice").hidden = true;
    if (held) view.focus();
  });
  byId("notice-reload").addEventListener("click", reload);

  // ---- The canvas is only a picture ----

  function tameCanvas() {
    const canvas = document.querySelector("body > canvas");
    if (!canvas || canvas.tabIndex === -1) return;
    canvas.tabIndex = -1;
    canvas.setAttribute("aria-hidden", "true");
    if (document.activeElement === canvas) canvas.blur();
    document.body.style.background = "";
    for (const meta of [...document.querySelectorAll('meta[name="viewport"]')].slice(1)) meta.remove();
  }
  new MutationObserver(tameCanvas).observe(document.body, { childList: true });

  // Should the canvas get the keyboard all the same: Tab and the browser's own keys stay the browser's.
  for (const kind of ["keydown", "keyup"]) {
    window.addEventListener(kind, (e) => {
      if (e.target instanceof HTMLCanvasElement) e.stopImmediatePropagation();
    }, true);
  }
  // A gesture of the system ends a touch without touchend; the picture's library only knows that one.
  window.addEventListener("touchcancel", (e) => {
    if (e.target instanceof HTMLCanvasElement) e.target.dispatchEvent(new TouchEvent("touchend", { changedTouches: [...e.changedTouches] }));
  }, true);
  // The library would load the page again and lose the take. Sound and controls go on.
  window.addEventListener("webglcontextlost", (e) => {
    e.preventDefault();
    e.stopImmediatePropagation();
    document.documentElement.classList.add("plain");
    notice("The system took the picture away. Everything goes on without it; when your take is finished, load the page again.", { reload: true });
  }, true);

  // ---- What the program wants to know ----

  const dark = matchMedia("(prefers-color-scheme: dark)");
  const still = matchMedia("(prefers-reduced-motion: reduce)");

  function tell() {
    send("view", JSON.stringify({
      // The height is the window's: the view ends where the foot begins.
      width: view.clientWidth, height: document.body.clientHeight, scroll: view.scrollTop,
      dark: dark.matches, still: still.matches, hidden: document.hidden,
    }), null);
  }
  dark.addEventListener("change", tell);
  still.addEventListener("change", tell);
  window.addEventListener("resize", tell);
  view.addEventListener("scroll", tell, { passive: true });
  let unseen = 0;
  document.addEventListener("visibilitychange", () => {
    tell();
    clearInterval(unseen);
    if (document.hidden) unseen = setInterval(() => send("poll", "", null), 250);
  });
  window.addEventListener("hashchange", () => {
    hand();
    send("link", location.hash.slice(1), null);
  });

  // The picture's library reads the pixel ratio once.
  function watchRatio() {
    matchMedia("(resolution: " + devicePixelRatio + "dppx)").addEventListener("change", () => {
      notice("The zoom has changed and the picture is less sharp now. Load the page again when no take is running.", { reload: true });
      watchRatio();
    }, { once: true });
  }
  watchRatio();

  // ---- The controls ----

  // shown maps an item's ID to {item, role, el: placed element, input: what has value and focus}.
  const shown = new Map();
  const groups = new Map(); // name of a set of choices -> its element
  let last = null; // the screen shown

  function act(action, bytes = null) {
    hand(); // what was typed comes before what was pressed after it
    send("act", JSON.stringify(action), bytes);
    // A control the player has moved and the program has not goes back.
    setTimeout(() => { if (last) for (const it of last.items) update(shown.get(it.id), it, it); }, 200);
  }

  // ---- The field in which a lesson is written ----

  let typing = null; // {id, e, timer}: typed and not handed on yet
  // typingPause is how long nothing is typed before the text is read, in milliseconds: not in
  // the middle of a word.
  const typingPause = 350;

  function typed(id, e) {
    if (typing) clearTimeout(typing.timer);
    typing = { id, e, timer: setTimeout(hand, typingPause) };
  }

  // hand hands on what was typed.
  function hand() {
    if (!typing) return;
    const { id, e, timer } = typing;
    typing = null;
    clearTimeout(timer);
    send("act", JSON.stringify({ ID: id, Value: e.value }), null);
  }
  window.addEventListener("pagehide", hand);

  // offset is where a line and a column, in characters, both from 1, lie in a text.
  function offset(text, line, column) {
    let at = 0;
    for (let n = 1; n < line; n++) {
      const end = text.indexOf("\n", at);
      if (end < 0) return text.length;
      at = end + 1;
    }
    for (const c of text.slice(at).split("\n", 1)[0]) {
      if (--column < 1) break;
      at += c.length;
    }
    return at;
  }

  // point puts the cursor at a place and brings it into sight.
  function point(e, line, column) {
    const from = offset(e.value, line, column);
    const word = /^[^\s|]+/.exec(e.value.slice(from));
    e.focus({ preventScroll: true });
    e.setSelectionRange(from, from + (word ? word[0].length : 0));
    // How far down that is, with broken lines, only laid out text tells.
    const like = getComputedStyle(e), ghost = document.createElement("div");
    for (const name of ["font", "padding", "letterSpacing", "tabSize"]) ghost.style[name] = like[name];
    Object.assign(ghost.style, { position: "absolute", visibility: "hidden", boxSizing: "border-box", whiteSpace: "pre-wrap",
      overflowWrap: "break-word", width: e.clientWidth + "px" });
    ghost.textContent = e.value.slice(0, from) + ".";
    document.body.append(ghost);
    e.scrollTop = Math.max(0, ghost.offsetHeight - e.clientHeight / 2);
    ghost.remove();
    e.scrollIntoView({ block: "nearest" });
  }

  function boxed(el, input) {
    el.className = "box";
    el.append(input);
    return { el, input };
  }

  function input(type, id) {
    const e = document.createElement("input");
    e.type = type;
    e.id = id;
    return e;
  }

  // made builds the elements for an item; what is in it comes by update.
  function made(item) {
    const id = "item-" + item.id;
    const make = (tag) => document.createElement(tag);
    switch (item.role) {
      case "heading": case "text": case "plot": { // a plot is words with a drawing under them
        const el = make(item.role !== "heading" ? "p" : item.style === 1 ? "h1" : "h2");
        el.id = id;
        el.className = "words";
        if (item.role === "heading") el.tabIndex = -1;
        return { el, input: el };
      }
      case "button": {
        const el = make("button");
        el.type = "button";
        el.id = id;
        el.addEventListener("click", () => act({ ID: item.id }));
        return { el, input: el };
      }
      case "radio": {
        const e = input("radio", id);
        e.name = item.group || "";
        e.addEventListener("change", () => act({ ID: item.id, On: true }));
        return boxed(make("div"), e);
      }
      case "checkbox": {
        const e = input("checkbox", id);
        e.addEventListener("change", () => act({ ID: item.id, On: e.checked }));
        return boxed(make("div"), e);
      }
      case "slider": {
        const e = input("range", id);
        e.addEventListener("input", () => act({ ID: item.id, Now: Number(e.value) }));
        return boxed(make("div"), e);
      }
      case "combobox": {
        const e = make("select");
        e.id = id;
        e.addEventListener("change", () => act({ ID: item.id, Value: e.value }));
        return boxed(make("div"), e);
      }
      case "textbox": {
        const e = input("text", id);
        e.className = "typed";
        e.autocomplete = "off";
        e.spellcheck = false;
        e.addEventListener("input", () => act({ ID: item.id, Value: e.value }));
        return boxed(make("div"), e);
      }
      case "area": {
        const e = make("textarea");
        e.id = id;
        e.className = "typed";
        e.autocapitalize = "off";
        e.autocomplete = "off";
        e.spellcheck = false;
        e.wrap = "soft";
        e.addEventListener("input", () => typed(item.id, e));
        e.addEventListener("blur", hand);
        return boxed(make("div"), e);
      }
      case "img": {
        const el = make("img");
        el.id = id;
        el.className = "paper";
        return { el, input: el };
      }
      case "file": {
        const e = input("file", id);
        e.multiple = Boolean(item.many);
        e.addEventListener("change", () => chosen(item.id, e));
        return boxed(make("div"), e);
      }
      case "meter": {
        const e = make("meter");
        e.id = id;
        return boxed(make("div"), e);
      }
      default: { // comb, chart, columns: pictures
        const el = make("div");
        el.id = id;
        el.setAttribute("role", "img");
        return { el, input: el };
      }
    }
  }

  // largestFile is more than any take or progress file needs, and read without harm.
  const largestFile = 50e6;

  // chosen reads the files that were chosen, one after the other.
  async function chosen(id, e) {
    const files = [...e.files];
    e.value = ""; // so that the same file can be chosen again
    for (const file of files) {
      if (file.size > largestFile) {
        notice(file.name + " is larger than 50 MB and was not read.");
        continue;
      }
      try {
        act({ ID: id, Name: file.name }, new Uint8Array(await file.arrayBuffer()));
      } catch {
        notice(file.name + " could not be read. Choose it again.");
      }
    }
  }

  function set(e, name, value) {
    if (value === null || value === "") e.removeAttribute(name);
    else if (e.getAttribute(name) !== value) e.setAttribute(name, value);
  }

  function text(e, value) {
    if (e.textContent !== value) e.textContent = value;
  }

  // update brings the elements up to item; before is the item they showed, null for new ones.
  function update(entry, item, before) {
    if (!entry) return;
    const { el, input: e } = entry;
    entry.item = item;
    const r = item.rect;
    for (const [name, value] of [["left", r.X], ["top", r.Y], ["width", r.W], ["height", r.H], ["paddingTop", item.box]]) {
      const px = value ? value + "px" : "";
      if (el.style[name] !== px) el.style[name] = px;
    }
    set(el, "data-item", item.id);
    set(el, "data-style", String(item.style));
    el.classList.toggle("foot", Boolean(item.foot));
    const words = item.label + (item.detail ? "\n" + item.detail : "");
    if (item.role === "heading" || item.role === "text" || item.role === "plot" || item.role === "button") {
      text(el, words);
      if (item.role === "button") e.disabled = item.disabled;
      return;
    }
    const name = item.detail ? item.label + ". " + item.detail : item.label;
    set(e, "aria-label", name);
    if (item.role === "comb" || item.role === "chart" || item.role === "columns") return;
    if (item.role === "img") {
      e.alt = name;
      e.removeAttribute("aria-label");
      if (item.svg) {
        if (e.src) URL.revokeObjectURL(e.src);
        e.src = URL.createObjectURL(new Blob([item.svg], { type: "image/svg+xml" }));
        delete item.svg; // large, and not needed again
      }
      return;
    }
    if (!el.querySelector(".name")) {
      const shownName = document.createElement("span");
      shownName.className = "name";
      shownName.setAttribute("aria-hidden", "true"); // the control itself says it
      el.append(shownName);
    }
    text(el.querySelector(".name"), words);
    e.disabled = item.disabled;
    switch (item.role) {
      case "radio": case "checkbox":
        if (e.checked !== item.on) e.checked = item.on;
        break;
      case "slider": case "meter":
        e.min = item.min;
        e.max = item.max;
        if (item.role === "slider") e.step = item.step || "any";
        if (Number(e.value) !== item.now) e.value = item.now;
        set(e, "aria-valuetext", item.unit ? +item.now.toFixed(2) + " " + item.unit : "");
        break;
      case "combobox": {
        const options = [...e.options];
        if (options.length !== item.options.length || options.some((o, i) => o.value !== item.options[i])) {
          e.replaceChildren(...item.options.map((o) => new Option(o, o)));
        }
        if (e.value !== item.value) e.value = item.value;
        break;
      }
      case "area": {
        e.readOnly = Boolean(item.fixed);
        if (!before || before.version !== item.version) {
          typing = null;
          if (e.value !== item.value) e.value = item.value;
        }
        // A field that is new goes to no place: it was sent there for an earlier one.
        if (before && before.sent !== item.sent) setTimeout(() => point(e, item.line, item.column), 0);
        break;
      }
      case "textbox":
        // What is being typed is not taken away unless the program has another text.
        if (document.activeElement !== e || !before || before.value !== item.value) {
          if (e.value !== item.value) e.value = item.value;
        }
        break;
    }
  }

  // place puts el at position i of parent without touching those that are right already:
  // a moved element would lose the keyboard.
  function place(parent, el, i) {
    const there = parent.children[i];
    if (there !== el) parent.insertBefore(el, there || null);
  }

  function show(textOfScreen) {
    const s = JSON.parse(textOfScreen);
    const held = document.activeElement;
    const another = last === null || last.name !== s.name;
    if (last === null) byId("cover").hidden = true;

    const wanted = new Set(s.items.map((i) => i.id));
    for (const [id, entry] of shown) {
      const item = wanted.has(id) ? s.items.find((i) => i.id === id) : null;
      if (item === null || item.role !== entry.role || (item.role === "heading" && (item.style === 1) !== (entry.item.style === 1))) {
        if (entry.role === "img") URL.revokeObjectURL(entry.el.src);
        entry.el.remove();
        shown.delete(id);
      }
    }
    let at = 0;
    let group = null, inGroup = 0; // the set of choices being filled
    const used = new Set();
    for (const item of s.items) {
      let entry = shown.get(item.id);
      const before = entry ? entry.item : null;
      if (!entry) {
        entry = made(item);
        entry.role = item.role;
        shown.set(item.id, entry);
      }
      if (item.role === "radio" && item.group) {
        if (!group || group.dataset.group !== item.group) {
          group = groups.get(item.group);
          if (!group) {
            group = document.createElement("div");
            group.setAttribute("role", "radiogroup");
            group.setAttribute("aria-label", item.group);
            group.dataset.group = item.group;
            groups.set(item.group, group);
          }
          used.add(item.group);
          place(content, group, at++);
          inGroup = 0;
        }
        place(group, entry.el, inGroup++);
      } else {
        group = null;
        place(content, entry.el, at++);
      }
      update(entry, item, before);
    }
    for (const [name, el] of groups) {
      if (!used.has(name)) {
        el.remove();
        groups.delete(name);
      }
    }
    const height = s.height + "px";
    if (content.style.height !== height) content.style.height = height;
    document.documentElement.style.setProperty("--foot", s.foot + "px");

    if (document.title !== s.title) document.title = s.title;
    text(byId("status"), s.live);
    text(byId("alert"), s.alert);
    set(document.documentElement, "data-look", "chosen");
    document.documentElement.toggleAttribute("data-dark", s.dark);
    document.documentElement.style.fontSize = s.large ? "125%" : "";

    const first = last === null;
    last = s;
    if (another) {
      view.scrollTop = 0;
      offer();
    }
    if (another && s.name === "fault-refused" && window.top !== window) {
      notice("The page around this frame may not let it use the microphone.", { tab: true });
    }
    // The first screen takes the keyboard only where that takes it from nobody: not from the page
    // around a frame.
    const lost = held && held !== document.body && !held.isConnected;
    if (another ? !first || window.top === window : lost) focusOn(s.focus);
    else if (held instanceof HTMLElement && held !== document.activeElement && held.isConnected && content.contains(held)) {
      held.focus({ preventScroll: true });
    }
  }

  // focusOn gives the keyboard to an item, or to the heading where that item lies out of sight:
  // a new screen is read from its top.
  function focusOn(id) {
    const heading = [...shown.values()].find((e) => e.role === "heading");
    let entry = shown.get(id);
    if (!entry || !entry.item.foot && entry.item.rect.Y + entry.item.rect.H > view.scrollTop + view.clientHeight) entry = heading || entry;
    (entry ? entry.input : view).focus({ preventScroll: true });
  }

  // ---- Storage ----

  const prefix = "reedwell/";
  const memory = new Map(); // where the browser keeps nothing
  let told = false;

  function encoded(bytes) {
    let s = "";
    for (let i = 0; i < bytes.length; i += 0x8000) s += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
    return btoa(s);
  }

  // loaded is a Uint8Array, or null for what was never saved.
  function loaded(name) {
    let s = null;
    try {
      s = localStorage.getItem(prefix + name);
    } catch { /* the browser keeps nothing here; memory may */ }
    if (s === null) return memory.get(name) || null;
    try {
      return Uint8Array.from(atob(s), (c) => c.charCodeAt(0));
    } catch {
      return new TextEncoder().encode(s); // not ours or damaged: for the program to say
    }
  }

  // saved answers why it was not, empty when it was. Where the browser keeps nothing the
  // bytes stay in memory and the player is told once.
  function saved(name, bytes) {
    try {
      localStorage.setItem(prefix + name, encoded(bytes));
      memory.delete(name);
      return "";
    } catch (e) {
      if (e.name === "QuotaExceededError") return "The browser's storage for this page is full. Export your progress as a file.";
      memory.set(name, bytes.slice());
      if (!told) {
        told = true;
        notice("The browser keeps nothing for this page here: your progress lasts until the page is closed. Export it as a file, or open the page in a tab of its own.");
      }
      return "";
    }
  }

  // ---- The take that goes on ----

  // It is kept in the browser's database, piece by piece: [name of the page, number] -> bytes, the
  // head at 0 with the time. A page holds a lock by its name for as long as it lives, so that
  // another can tell whether a take was left. Where anything of this fails, nothing is kept.
  const own = Date.now() + "-" + Math.random();
  const lockOf = (name) => "reedwell-take-" + name;
  const keptMost = 60e6; // bytes: ten minutes at 48 kHz
  let takes = null; // the database, when it is open
  let pieces = 0, keptBytes = 0; // of the own take; no pieces: nothing is kept
  let leftBy = []; // names of pages that have died

  const answered = (request) => new Promise((yes, no) => {
    request.onsuccess = () => yes(request.result);
    request.onerror = () => no(request.error);
  });
  const all = (name) => IDBKeyRange.bound([name], [name, []]);

  async function findLeft() {
    try {
      navigator.locks.request(lockOf(own), () => new Promise(() => {}));
      const opening = indexedDB.open("reedwell", 1);
      opening.onupgradeneeded = () => opening.result.createObjectStore("takes");
      const base = await answered(opening);
      const alive = new Set((await navigator.locks.query()).held.map((lock) => lock.name));
      const store = base.transaction("takes", "readonly").objectStore("takes");
      const names = [...new Set((await answered(store.getAllKeys())).map((key) => key[0]))];
      const dead = names.filter((name) => name !== own && !alive.has(lockOf(name)));
      let newest = null;
      for (const name of dead) {
        const parts = await answered(base.transaction("takes", "readonly").objectStore("takes").getAll(all(name)));
        if (parts[0]?.head && (!newest || parts[0].at > newest[0].at)) newest = parts;
      }
      takes = base;
      leftBy = dead;
      if (newest) {
        send("left", newest[0].head, new Uint8Array(await new Blob(newest.slice(1)).arrayBuffer()));
        return;
      }
    } catch { /* nothing was left that can be had */ }
    send("left", "", null);
  }

  // change does something with what is kept.
  function change(f) {
    try {
      const doing = takes.transaction("takes", "readwrite");
      doing.onabort = () => { pieces = 0; }; // full, most likely: the take goes on without
      f(doing.objectStore("takes"));
    } catch {
      pieces = 0;
    }
  }

  function keepTake(head) {
    if (!takes) return;
    pieces = 1;
    keptBytes = 0;
    change((store) => {
      for (const name of [own, ...leftBy]) store.delete(all(name));
      store.put({ head, at: Date.now() }, [own, 0]);
    });
  }

  function addTake(bytes) {
    keptBytes += bytes.length;
    if (pieces === 0 || keptBytes > keptMost) return;
    const n = pieces++;
    change((store) => store.put(bytes, [own, n]));
  }

  function dropTake() {
    pieces = 0;
    if (takes) change((store) => { for (const name of [own, ...leftBy]) store.delete(all(name)); });
  }

  // ---- Files and links ----

  function download(name, bytes) {
    const types = { wav: "audio/wav", json: "application/json", txt: "text/plain", svg: "image/svg+xml", zip: "application/zip",
      mid: "audio/midi", musicxml: "application/vnd.recordare.musicxml+xml", abc: "text/vnd.abc" };
    const type = types[name.split(".").pop()] || "application/octet-stream";
    const url = URL.createObjectURL(new Blob([bytes], { type }));
    const a = document.createElement("a");
    a.href = url;
    a.download = name;
    a.click();
    setTimeout(() => URL.revokeObjectURL(url), 60000);
  }

  function copyLink(fragment) {
    const link = location.href.split("#")[0] + "#" + fragment;
    const byHand = () => notice("Copy this link:", { link });
    try {
      navigator.clipboard.writeText(link).then(() => { byId("status").textContent = "Link copied."; }, byHand);
    } catch {
      byHand();
    }
  }

  const address = () => location.href.split("#")[0];

  function copyText(value) {
    const byHand = () => notice("Copy this:", { link: value });
    try {
      navigator.clipboard.writeText(value).then(() => { byId("status").textContent = "Copied."; }, byHand);
    } catch {
      byHand();
    }
  }

  // largestLesson is a little more than the program reads of a lesson, in bytes; it says so itself.
  const largestLesson = 70000;

  // fetchText gets a lesson from a file beside the page, and from nowhere else.
  async function fetchText(file) {
    const answer = (problem, bytes = null) => send("fetched", JSON.stringify({ File: file, Problem: problem }), bytes);
    try {
      const url = new URL(file, location.href);
      if (url.origin !== location.origin || url.search || url.hash || !url.pathname.startsWith(new URL(".", location.href).pathname)) {
        throw new Error("it does not lie beside this page");
      }
      const got = await fetch(url, { redirect: "error", credentials: "same-origin", signal: AbortSignal.timeout(20000) });
      if (!got.ok) throw new Error("the server answered " + got.status);
      const reader = got.body.getReader();
      const parts = [];
      let size = 0;
      for (;;) {
        const { done, value } = await reader.read();
        if (done) break;
        parts.push(value);
        size += value.length;
        if (size > largestLesson) {
          reader.cancel();
          break;
        }
      }
      answer("", new Uint8Array(await new Blob(parts).arrayBuffer()));
    } catch (e) {
      answer("it can not be loaded (" + e.message + ")");
    }
  }

  // print prints the pages of paper that are on the screen, and nothing else.
  function print() {
    const paper = byId("paper");
    paper.replaceChildren(...[...content.querySelectorAll("img.paper")].map((shownPage) => {
      const page = document.createElement("img");
      page.src = shownPage.src;
      page.alt = shownPage.alt;
      return page;
    }));
    Promise.all([...paper.children].map((page) => page.decode())).then(
      () => window.print(),
      () => notice("The pages could not be printed. Save the sheet and print that."));
  }
  window.addEventListener("afterprint", () => byId("paper").replaceChildren());

  function today() {
    const d = new Date();
    const two = (n) => String(n).padStart(2, "0");
    return d.getFullYear() + "-" + two(d.getMonth() + 1) + "-" + two(d.getDate());
  }

  globalThis.page = Object.freeze({
    // start gives the program's callback; the first view follows later, as every event does.
    start(callback) {
      send = callback;
      setTimeout(tell, 0);
      setTimeout(findLeft, 0);
    },
    link: () => location.hash.slice(1),
    show, loaded, saved, download, copyLink, copyText, address, fetchText, print, today,
    keepTake, addTake, dropTake,
  });

  load();
})();
