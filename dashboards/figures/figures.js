"use strict";
// What a page shows of a view: its words, and its figures. A panel is built once from a bare one, afterwards only its data change; what
// a reader does in it is told to the server, which answers with another figure.
(() => {
  const LAYOUT_ROOM = "minmax(0, 1fr)";
  const kept = new Map(); // name of a panel → { plot, place }
  let bare = null;
  let shown = null; // the model through which the server speaks, and is told
  let nTold = 0;
  const words = {}; // part of the page → its HTML as it was given

  function tell(panel, what) {
    if (shown !== null) shown.touched = JSON.stringify({ panel, n: (nTold += 1), ...what });
  }

  function listen(doc, plot) {
    doc.on_event("tap", (_, event) => {
      const frame = window.Bokeh.index.find_one(plot)?.frame.bbox;
      tell(plot.name, { event: "tap", x: event.x, y: event.y, width: frame?.width ?? 1, height: frame?.height ?? 1 });
    });
    doc.on_event("doubletap", () => tell(plot.name, { event: "doubletap" }));
    doc.on_event("rangesupdate", (_, event) => {
      for (const other of kept.values()) if (other.kind === "on_time") other.plot.x_range.setv({ start: event.x0, end: event.x1 });
      tell(plot.name, { event: "rangesupdate", x0: event.x0, x1: event.x1 });
    });
  }

  function build(panel) {
    const doc = window.Bokeh.require("document").Document.from_json(bare[panel.kind]);
    const [plot] = doc.roots();
    const place = document.createElement("div");
    const own = { kind: panel.kind, doc, plot, place, isDrawn: false };
    listen(doc, plot);
    kept.set(panel.plot.name, own);
    return own;
  }

  function fillAxis(axis, ticks) {
    axis.ticker.ticks = ticks.map(([at]) => at);
    axis.major_label_overrides = new Map(ticks);
  }

  function fill({ plot }, panel) {
    plot.setv(panel.plot);
    if (plot.title.text !== panel.title) plot.title.text = panel.title;
    plot.x_range.setv({ start: panel.x[0], end: panel.x[1] });
    plot.y_range.setv({ start: panel.y[0], end: panel.y[1] });
    fillAxis(plot.below[0], panel.xTicks);
    fillAxis(plot.left[0], panel.yTicks);
    fillAxis(plot.right[0], panel.beside);
    plot.below[0].visible = panel.xTicks.length > 0;
    plot.right[0].visible = panel.beside.length > 0;
    empty(plot, panel.layers);
  }

  // Every layer gets what is drawn in it now; those of which nothing is said are emptied.
  function empty(plot, layers = {}) {
    for (const renderer of plot.renderers) {
      const source = renderer.data_source;
      const data = layers[renderer.name] ?? Object.fromEntries([...source.columns()].map((name) => [name, []]));
      if (renderer.name in layers || source.get_length() > 0) source.data = data;
    }
  }

  function draw({ width, panels }) {
    const root = document.getElementById("panels");
    if (root === null) return;
    root.style.gridTemplateColumns = width === null ? LAYOUT_ROOM : `repeat(auto-fit, minmax(min(${width}px, 100%), 1fr))`;
    const names = new Set(panels.map((panel) => panel.plot.name));
    for (const [name, own] of kept) {
      if (!names.has(name) && !own.place.hidden) { own.place.hidden = true; empty(own.plot); }
    }
    panels.forEach((panel) => {
      const own = kept.get(panel.plot.name) ?? build(panel);
      own.place.hidden = false;
      own.place.className = panel.isWide ? "wide" : "";
      fill(own, panel);
      if (!own.isDrawn) {
        root.append(own.place);
        own.isDrawn = true;
        document.dispatchEvent(new Event("figure-built"));
        window.Bokeh.embed.add_document_standalone(own.doc, own.place);
      }
    });
    const wanted = panels.map((panel) => kept.get(panel.plot.name).place);
    const now = [...root.children].filter((place) => !place.hidden);
    if (wanted.some((place, i) => place !== now[i])) root.append(...wanted);
  }

  function show(text) {
    if (text === "") return;
    const page = JSON.parse(text);
    for (const part of ["title", "side", "key", "numbers"]) {
      if (part in page && page[part] !== words[part]) document.getElementById(part).innerHTML = words[part] = page[part];
    }
    if (page.figure) draw(page.figure);
    document.dispatchEvent(new Event("page-shown"));
  }

  function begin() {
    bare = JSON.parse(document.getElementById("bare-panels").textContent);
    show(document.getElementById("at-hand").textContent);
    const waiting = setInterval(() => {
      shown = window.Bokeh.documents.map((doc) => doc.get_model_by_name("shown")).find((model) => model !== null) ?? null;
      if (shown === null) return;
      clearInterval(waiting);
      for (const name of ["notice", "asked"]) {
        const say = () => { document.getElementById(name).innerHTML = shown[name]; };
        shown.properties[name].change.connect(say);
        say();
      }
      shown.properties.page.change.connect(() => show(shown.page));
      show(shown.page);
    }, 10);
  }
  begin();
})();
