// Without a script the pages are whole pages, links and forms. This script fetches the same pages and swaps what has
// changed, so that focus, scroll and what is being typed stay; and it adds what pages cannot do alone: saves of other
// windows, progress of work, dragging in the drawing, and a look at the sheet while it is typed.
"use strict";
(() => {
  const own = url => new URL(url, location.href).origin === location.origin;
  let chain = Promise.resolve(); // one request after the other, in the order of the clicks
  let waiting = 0;

  // dirty says that somebody is typing in a form: it is left as it is, old values included.
  const dirty = form => [...form.elements].some(e =>
    (e.matches("input[type=text],input:not([type]),textarea") && e.value !== e.defaultValue));
  // What was refused, and why, stays through a refresh that nobody asked for.
  const refused = form => !!form.querySelector("[aria-invalid=true]");
  const message = node => node.nodeType === 1 && node.matches(".said,.wrong");

  // looking notes what a person looks at: the drawing while a value is tried, else what stands in the middle of the window. Called after the
  // swap, it scrolls so that it stands there again.
  function looking(next) {
    const seen = [];
    if (document.getElementById("trying")) seen.push(document.querySelector("#views .handle"));
    for (const share of [0.5, 0.35, 0.65, 0.2, 0.8]) {
      const at = document.elementFromPoint(innerWidth / 2, innerHeight * share);
      if (at) seen.push(at.closest("main [id]"));
    }
    const known = seen.find(e => e && !e.closest("#trying") && next.getElementById(e.id) && e.getBoundingClientRect().bottom > 0 && e.getBoundingClientRect().top < innerHeight);
    const top = known && known.getBoundingClientRect().top;
    return () => {
      const now = known && document.getElementById(known.id);
      if (now) scrollBy(0, now.getBoundingClientRect().top - top);
    };
  }

  function show(text, address, push, began, unasked) {
    const next = new DOMParser().parseFromString(text, "text/html");
    document.title = next.title;
    const stays = looking(next);
    const sent = new Set(began ? [began] : []);
    Idiomorph.morph(document.body, next.body, {
      morphStyle: "outerHTML", ignoreActiveValue: false, restoreFocus: true,
      callbacks: {
        beforeNodeMorphed: (was, is) => {
          if (was.nodeName === "FORM" && !sent.has(was) && (dirty(was) || unasked && refused(was))) return false;
          if (was.nodeName === "DETAILS" && is.nodeName === "DETAILS" && was.open) is.setAttribute("open", "");
          if (was.nodeName === "IFRAME" && was.getAttribute("src") === is.getAttribute("src")) return false;
          return true;
        },
        beforeNodeRemoved: node => !(unasked && message(node)),
      },
    });
    stays();
    if (push === "push" && address !== location.href) history.pushState(null, "", address);
    if (push === "replace") history.replaceState(null, "", address);
    after();
  }

  function swap(url, options, push, form, unasked) {
    waiting++;
    document.documentElement.dataset.busy = "yes";
    const began = performance.now();
    chain = chain.then(async () => {
      try {
        const answer = await fetch(url, { credentials: "same-origin", ...options });
        const text = await answer.text();
        const tried = push === "replace" && !answer.ok; // a value that cannot be is no reason to leave the page
        if (answer.status >= 500 || answer.status === 413 || tried) {
          const lead = new DOMParser().parseFromString(text, "text/html").querySelector(".lead");
          say((lead ? lead.textContent : "That could not be done.") + (tried ? "" : " What you typed is still here."));
          return;
        }
        const get = !options || options.method !== "POST";
        show(text, answer.url, get ? push : (answer.redirected ? "replace" : null), form, unasked);
        document.documentElement.dataset.took = String(performance.now() - began);
      } catch (e) {
        say("The server does not answer. Is shakedown serve still running? What you typed is still here.");
      } finally {
        if (--waiting === 0) { delete document.documentElement.dataset.busy; catchUp(); }
      }
    });
    return chain;
  }

  // again fetches the page that is shown, because something has changed behind it.
  const again = () => swap(location.href, null, null, null, true);

  function say(text) {
    const box = document.getElementById("said");
    box.replaceChildren();
    const p = document.createElement("div");
    p.className = "said bad";
    p.textContent = text;
    box.append(p);
  }

  document.addEventListener("submit", event => {
    const form = event.target;
    if (!form.matches("form[data-swap]")) return;
    const button = event.submitter;
    const action = (button && button.getAttribute("formaction")) || form.getAttribute("action") || location.pathname;
    if (!own(action)) return;
    event.preventDefault();
    const filled = new FormData(form, button);
    const fields = form.enctype === "multipart/form-data" ? filled : new URLSearchParams(filled);
    if ((form.getAttribute("method") || "get").toLowerCase() === "get") {
      const url = new URL(action, location.href);
      url.search = fields;
      swap(url.href, null, "push", form);
    } else {
      swap(new URL(action, location.href).href, { method: "POST", body: fields }, null, form);
    }
  });

  document.addEventListener("change", event => {
    if (event.target.matches("[data-send]") && event.target.form) event.target.form.requestSubmit();
  });

  document.addEventListener("click", event => {
    const link = event.target.closest("a[data-swap]");
    if (link && !event.ctrlKey && !event.metaKey && !event.shiftKey && event.button === 0 && own(link.href)) {
      event.preventDefault();
      swap(link.href, null, "push");
      return;
    }
    const line = event.target.closest("a[data-line]");
    if (line) { event.preventDefault(); goToLine(Number(line.dataset.line)); }
  });

  addEventListener("popstate", () => swap(location.href, null, null));

  // Saves of other windows, and progress of work.
  let stream, streamOf = "", newest = 0, refresh;
  function connect() {
    const url = document.body.dataset.events || "";
    if (url === streamOf && stream && stream.readyState !== EventSource.CLOSED) return;
    if (stream) stream.close();
    stream = null;
    streamOf = url;
    if (!url) return;
    stream = new EventSource(url);
    stream.addEventListener("revision", e => { newest = Number(e.data); catchUp(); });
    stream.addEventListener("failed", e => {
      const left = document.getElementById("left"), progress = document.getElementById("progress");
      if (progress) progress.remove();
      if (left) left.textContent = e.data;
    });
    stream.addEventListener("work", e => {
      const left = document.getElementById("left");
      if (left && e.data !== "ended") left.textContent = e.data;
      if (e.data === "ended") { stream.close(); clearTimeout(refresh); refresh = null; again().then(() => { streamOf = ""; connect(); }); return; }
      if (!refresh && document.querySelector("[data-grows]")) refresh = setTimeout(() => { refresh = null; again(); }, 400);
    });
  }
  function catchUp() {
    if (waiting === 0 && !held && newest > Number(document.body.dataset.revision || 0)) again();
  }

  // The sheet's text: numbers of its lines, and a look at it while it is typed.
  let look;
  function sheet() {
    const text = document.getElementById("text"), numbers = document.getElementById("numbers");
    if (!text || !numbers) return;
    const bad = new Set([...document.querySelectorAll("#faults a[data-line]")].map(a => Number(a.dataset.line)));
    const count = text.value.split("\n").length;
    const parts = [];
    for (let i = 1; i <= count; i++) {
      if (bad.has(i)) { const b = document.createElement("b"); b.textContent = i; parts.push(b, "\n"); } else parts.push(i + "\n");
    }
    numbers.replaceChildren(...parts);
    numbers.scrollTop = text.scrollTop;
  }
  document.addEventListener("scroll", e => { if (e.target.id === "text") document.getElementById("numbers").scrollTop = e.target.scrollTop; }, true);
  document.addEventListener("input", event => {
    if (event.target.id === "find") return find();
    if (event.target.id !== "text") return;
    sheet();
    clearTimeout(look);
    look = setTimeout(async () => {
      const form = document.getElementById("sheet-form");
      const answer = await fetch(form.dataset.look, { method: "POST", body: new URLSearchParams(new FormData(form)) }).catch(() => null);
      if (answer && !answer.ok) return say("This text could not be kept; save it as a file elsewhere before you close the page.");
      if (!answer) return say("The server does not answer. Is shakedown serve still running? What you typed is still here.");
      const faults = document.getElementById("faults");
      if (faults) faults.replaceChildren(...new DOMParser().parseFromString(await answer.text(), "text/html").body.childNodes);
      document.documentElement.dataset.looked = String(Number(document.documentElement.dataset.looked || 0) + 1);
      sheet();
    }, 350);
  });
  function goToLine(n) {
    const text = document.getElementById("text");
    if (!text) return;
    const lines = text.value.split("\n");
    const from = lines.slice(0, n - 1).join("\n").length + (n > 1 ? 1 : 0);
    text.focus();
    text.setSelectionRange(from, from + (lines[n - 1] || "").length);
    text.scrollTop = Math.max(0, (n - 8) * parseFloat(getComputedStyle(text).lineHeight));
    sheet();
  }

  // Finding inputs on the Machine page.
  function find() {
    const box = document.getElementById("find");
    if (!box) return;
    const words = box.value.toLowerCase().split(/\s+/).filter(Boolean);
    for (const group of document.querySelectorAll("[data-group]")) {
      let any = false;
      for (const field of group.querySelectorAll(".field")) {
        const label = field.querySelector("label").textContent.toLowerCase();
        field.hidden = !words.every(w => label.includes(w));
        any = any || !field.hidden;
      }
      if (words.length) for (const d of group.querySelectorAll("details")) d.open = [...d.querySelectorAll(".field")].some(f => !f.hidden);
      group.hidden = !any;
    }
  }

  // Dragging in the drawing: what is tried is an address, so Keep and Put it back are the page's own.
  let held = null, next = null, flying = false;
  const unit = "mm";
  function tryAt(address) {
    next = address;
    if (flying) return;
    flying = true;
    (async () => {
      while (next) {
        const to = next;
        next = null;
        if (to !== location.href) await swap(to, null, "replace");
      }
      flying = false;
      catchUp();
    })();
  }
  const trying = (address, path, metres) => {
    const url = new URL(address);
    url.searchParams.set("try", path);
    url.searchParams.set("value", (metres * 1000).toFixed(0) + " " + unit);
    return url.href;
  };
  const limited = (v, h) => Math.min(Number(h.getAttribute("aria-valuemax")), Math.max(Number(h.getAttribute("aria-valuemin")), v));
  const least = 3; // [px] a hand that only touched moves no further
  document.addEventListener("pointerdown", event => {
    const handle = event.target.closest && event.target.closest(".handle");
    if (!handle || held) return;
    event.preventDefault();
    const svg = handle.ownerSVGElement;
    held = { id: handle.id, pointer: event.pointerId, from: event.clientX, value: Number(handle.getAttribute("aria-valuenow")), path: handle.dataset.path, factor: Number(handle.dataset.factor),
      metre: Number(svg.dataset.scale) * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width, at: location.href, moved: false };
    handle.classList.add("held");
    handle.focus({ preventScroll: true });
  });
  document.addEventListener("pointermove", event => {
    if (!held || event.pointerId !== held.pointer) return;
    const handle = document.getElementById(held.id), by = event.clientX - held.from;
    if (!handle) return;
    held.moved = held.moved || Math.abs(by) >= least;
    if (!held.moved) return;
    const value = limited(held.value + held.factor * by / held.metre, handle);
    tryAt(Math.abs(value - held.value) < 0.0005 ? held.at : trying(held.at, held.path, value));
  });
  const drop = event => { if (held && event.pointerId === held.pointer) { const h = document.getElementById(held.id); if (h) h.classList.remove("held"); held = null; catchUp(); } };
  document.addEventListener("pointerup", drop);
  document.addEventListener("pointercancel", drop);
  document.addEventListener("keydown", event => {
    const handle = event.target.closest && event.target.closest(".handle");
    if (!handle) return;
    const step = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 10, PageDown: -10 }[event.key];
    if (!step) return;
    event.preventDefault();
    tryAt(trying(location.href, handle.dataset.path, limited(Number(handle.getAttribute("aria-valuenow")) + step * 0.005, handle)));
  });

  // The waves in the pipes, running: the page brings the pressures, this draws them at one crank angle after the other.
  let running = null;
  function stopWaves() {
    clearInterval(running);
    running = null;
    const play = document.getElementById("play");
    if (play) play.textContent = "Play";
  }
  function drawWaves() {
    const box = document.getElementById("moving");
    const m = box.waves, i = Number(document.getElementById("crank").value);
    const split = 40 + 820 * m.share, y = p => 196 - (p - m.low) / Math.max(1, m.high - m.low) * 180;
    const line = (list, from, to) => list.map((p, k) => (from + (k + 0.5) / list.length * (to - from)).toFixed(1) + "," + y(p).toFixed(1)).join(" ");
    const [intake, exhaust] = box.querySelectorAll("polyline");
    intake.setAttribute("points", line(m.intake[i], 40, split - 3));
    exhaust.setAttribute("points", line(m.exhaust[i], split + 3, 860));
    const air = box.querySelector(".grid");
    air.setAttribute("y1", y(m.ambient));
    air.setAttribute("y2", y(m.ambient));
    const valve = (id, x, lift) => { // a shut valve is a whole wall
      const l = document.getElementById(id);
      l.setAttribute("x1", x); l.setAttribute("x2", x); l.setAttribute("y1", 16 + 180 * lift); l.setAttribute("y2", 196);
    };
    valve("valve-in", split - 3, m.liftIn[i]);
    valve("valve-out", split + 3, m.liftOut[i]);
    document.getElementById("high").textContent = (m.high / 1000).toFixed(2) + " bar";
    document.getElementById("low").textContent = (m.low / 1000).toFixed(2);
    const still = document.getElementById("still");
    still.setAttribute("y", y(m.ambient) + 4);
    still.textContent = "air";
    document.getElementById("now").textContent = m.angle[i] + "°, cylinder " + (m.cylinder[i] / 1000).toFixed(2) + " bar";
  }
  function waves() {
    const box = document.getElementById("moving");
    if (!box) return stopWaves();
    if (box.read !== box.dataset.waves) {
      stopWaves();
      box.read = box.dataset.waves;
      box.waves = JSON.parse(box.read);
    }
    box.hidden = false; // a page that was swapped in knows nothing of what is drawn
    document.getElementById("crank").max = box.waves.angle.length - 1;
    if (running) document.getElementById("play").textContent = "Stop";
    drawWaves();
  }
  document.addEventListener("input", event => { if (event.target.id === "crank") { stopWaves(); drawWaves(); } });
  document.addEventListener("click", event => {
    if (event.target.id !== "play") return;
    if (running) return stopWaves();
    event.target.textContent = "Stop";
    running = setInterval(() => {
      const crank = document.getElementById("crank");
      if (!crank) return stopWaves();
      crank.value = (Number(crank.value) + 1) % (Number(crank.max) + 1);
      drawWaves();
    }, 40);
  });

  function after() {
    connect();
    sheet();
    find();
    waves();
  }
  after();
  const asked = new URLSearchParams(location.search).get("line");
  if (asked && document.getElementById("text")) goToLine(Number(asked));
  // A link to an input among those that are folded away opens them.
  function unfold() {
    const at = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (!at) return;
    for (let d = at.closest("details"); d; d = d.parentElement.closest("details")) d.open = true;
    at.scrollIntoView({ block: "center" });
    const input = at.querySelector("input:not([type=hidden]),select");
    if (input) input.focus();
  }
  addEventListener("hashchange", unfold);
  unfold();
  document.documentElement.dataset.ready = "yes";
})();
