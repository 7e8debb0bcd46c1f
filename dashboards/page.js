"use strict";
// Light and dark, for the page and for the canvases: a figure's parts carry the tag "ink" or "rule", and are painted here, in the
// browser alone, whenever the ground changes or a new figure arrives. The choices go along when the reader changes the view, and
// come back when the reader goes back.
(() => {
  const root = document.documentElement;
  const night = window.matchMedia("(prefers-color-scheme: dark)");
  const kept = () => { try { return localStorage.getItem("ground"); } catch { return null; } };
  let isOnPaper = false;
  const isDark = () => !isOnPaper && (root.dataset.ground ?? (night.matches ? "dark" : "light")) === "dark";
  const inks = { ink: { light: "#1e1f1b", dark: "#ecebe4" }, rule: { light: "#1e1f1b", dark: "#ecebe4" } };
  if (kept()) root.dataset.ground = kept();

  const colourNames = {
    ink: ["text_color", "major_label_text_color", "axis_label_text_color", "line_color", "fill_color"],
    rule: ["grid_line_color"],
  };
  // A finger that moves over a figure scrolls the page; whoever has no mouse chooses the days in the sentence.
  const isFinger = window.matchMedia("(pointer: coarse)").matches;
  function paintModel(model, ground) {
    if (isFinger && model.type === "Toolbar" && model.active_drag !== null) model.setv({ active_drag: null }, { sync: false });
    if (isFinger && model.type === "BoxZoomTool" && model.active) model.active = false;
    const tag = (model.tags ?? []).find((each) => each in inks);
    if (tag === undefined) return;
    const colour = inks[tag][ground];
    const wanted = {};
    for (const name of colourNames[tag]) {
      const property = model.properties[name];
      if (property === undefined || (name === "fill_color" && model.type === "Span")) continue;
      const now = model[name];
      const value = now?.value !== undefined ? now.value : now;
      if (value !== null && value !== colour && now?.field === undefined) wanted[name] = name in model && now?.value !== undefined ? { value: colour } : colour;
    }
    if (Object.keys(wanted).length > 0) model.setv(wanted, { sync: false });
  }
  let isPainting = false;
  function paint() {
    if (isPainting || window.Bokeh === undefined) return;
    isPainting = true;
    const ground = isDark() ? "dark" : "light";
    try {
      for (const doc of window.Bokeh.documents) for (const model of doc._all_models.values()) paintModel(model, ground);
    } finally {
      isPainting = false;
    }
  }
  function paintAtOnce() {
    paint();
    const views = [...(window.Bokeh?.index.query(() => true) ?? [])];
    for (const view of views) if (view.all_indices) view.glyph.set_visuals(view.model.data_source, view.all_indices);
    for (const view of views) view.repaint?.();
  }
  let isDue = false;
  function paintSoon() {
    if (isDue) return;
    isDue = true;
    queueMicrotask(() => { isDue = false; paint(); });
  }
  // Readers who listen: what changed is said in one line.
  function sayReading() {
    const text = ["#notice p", "#title h1", "#side p.reading"].map((place) => document.querySelector(place)?.textContent.trim() ?? "").filter(Boolean).join(". ");
    const said = document.getElementById("said");
    if (said.textContent !== text) said.textContent = text;
  }
  // The readings behind a mark that was just picked come into sight, wherever on the page they stand; not those of an address.
  let picked = new URLSearchParams(window.location.search).has("pick") ? null : "";
  function showPicked() {
    const found = document.querySelector("#side .picked");
    const text = found?.textContent ?? "";
    if (picked !== null && text !== picked && found !== null) found.scrollIntoView({ block: "nearest" });
    picked = text;
  }
  // A canvas does nothing by key (its choices stand in the sentence, its numbers in the table): Tab goes past it.
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Tab") return;
    for (const view of window.Bokeh?.index.query((each) => each.events_el !== undefined) ?? []) view.events_el.tabIndex = -1;
  }, true);
  let isToBeSaid = 0;
  const saySoon = () => { clearTimeout(isToBeSaid); isToBeSaid = setTimeout(() => { sayReading(); showPicked(); }, 400); };
  // A lost connection: the reader is told at once. Bokeh tries a few times to go on with the same session, which is right where the
  // same server answers. A server that was started anew knows nothing of the session: the page is loaded anew, with the choices in
  // its address.
  const standing = () => fetch("standing", { cache: "no-store" }).then((answer) => (answer.ok ? answer.text() : null), () => null);
  let openedBy = null;
  let lostSince = null;
  async function goOn() {
    if (lostSince === null) return;
    const answering = await standing();
    if (lostSince !== null && answering !== null && (answering !== openedBy || Date.now() - lostSince > 5000)) window.location.reload();
    else setTimeout(goOn, 1500);
  }
  async function reconnected() {
    if ((await standing()) === openedBy) setLost(false);
    else window.location.reload();
  }
  function setLost(isLost) {
    document.getElementById("lost").hidden = !isLost;
    if (isLost && lostSince === null) { lostSince = Date.now(); setTimeout(goOn, 1500); }
    if (!isLost) lostSince = null;
  }
  const watched = new WeakSet();
  function watch() {
    for (const doc of window.Bokeh?.documents ?? []) {
      if (watched.has(doc)) continue;
      watched.add(doc);
      doc.on_event("connection_lost", () => setLost(true));
      doc.on_event("client_reconnected", reconnected);
      doc.on_change(() => { if (!isPainting) { paintSoon(); saySoon(); } });
      paintSoon();
    }
  }
  document.addEventListener("figure-built", watch);
  document.addEventListener("page-shown", saySoon);
  window.addEventListener("popstate", () => window.location.reload());
  document.addEventListener("DOMContentLoaded", () => {
    const button = document.getElementById("ground");
    const say = () => { button.textContent = isDark() ? "Light" : "Dark"; };
    say();
    button.addEventListener("click", () => {
      root.dataset.ground = isDark() ? "light" : "dark";
      try { localStorage.setItem("ground", root.dataset.ground); } catch { /* a private window keeps nothing */ }
      say();
      paint();
    });
    night.addEventListener("change", () => { say(); paint(); });
    // On paper nothing can be unfolded: the numbers stand open there. A figure keeps its layout and shrinks to the paper's width; the
    // paper does not wait for the next frame, so it is painted in the paper's inks at once.
    let folded = [];
    const figure = document.querySelector(".figure"), paperWidth = 670;
    window.addEventListener("beforeprint", () => {
      isOnPaper = true;
      paintAtOnce();
      const width = figure.offsetWidth;
      if (width > paperWidth) Object.assign(figure.style, { width: `${width}px`, zoom: paperWidth / width });
      folded = [...document.querySelectorAll("details.numbers:not([open])")];
      for (const each of folded) each.open = true;
    });
    window.addEventListener("afterprint", () => {
      isOnPaper = false;
      paint();
      Object.assign(figure.style, { width: "", zoom: "" });
      for (const each of folded) each.open = false;
    });
    document.querySelector(".skip").addEventListener("click", (event) => { // a new place in the address would load the page anew
      event.preventDefault();
      document.getElementById("page").focus();
    });
    for (const link of document.querySelectorAll("nav a")) link.addEventListener("click", () => { link.search = window.location.search; });
    standing().then((word) => { openedBy = word; });
    // Where nothing comes of the page, the dashboard is gone; one that answers is slow, and is waited for.
    const waiting = setInterval(watch, 50);
    async function lookAfter() {
      if (window.Bokeh?.documents.some((doc) => doc.get_model_by_name("shown") !== null)) { clearInterval(waiting); return; }
      const answering = await standing();
      if (answering !== null && answering === (openedBy ?? answering)) setTimeout(lookAfter, 15000);
      else setLost(true);
    }
    setTimeout(lookAfter, 15000);
  }, { once: true });
})();
