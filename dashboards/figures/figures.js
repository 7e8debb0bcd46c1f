"use strict";
// What a page shows of a view: its words, and its figures. A panel is built once from a bare one, afterwards only its data change; what
// a reader does in it is told to the server, which answers with another figure.
(() => {
  const TITLE_ROOM = 16; // px that a title keeps free beside it
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

  // From the back of a room twelve pixels are too small.
  const isProjected = window.matchMedia("(min-width: 1800px)").matches;
  function enlarge(plot) {
    plot.title.text_font_size = "18px";
    for (const axis of [plot.below[0], plot.left[0], plot.right[0]]) axis.major_label_text_font_size = "15px";
  }

  function build(panel, room) {
    const doc = window.Bokeh.require("document").Document.from_json(bare[panel.kind]);
    const [plot] = doc.roots();
    if (isProjected) enlarge(plot);
    const place = room ?? document.createElement("div");
    const own = { kind: panel.kind, doc, plot, place, isDrawn: false, words: {} };
    for (const side of ["below", "left", "right"]) {
      own.words[side] = new Map();
      plot[side][0].formatter.doFormat = (ticks) => [...ticks].map((at) => own.words[side].get(at) ?? "");
    }
    listen(doc, plot);
    kept.set(panel.plot.name, own);
    return own;
  }

  // Ticks get their words as they are drawn: as properties of an axis each change would lay out its panel anew. Where words at the same
  // places may be wider than before, it has to.
  function fillAxis(own, side, ticks) {
    const axis = own.plot[side][0], places = ticks.map(([at]) => at), before = own.words[side];
    own.words[side] = new Map(ticks);
    if (JSON.stringify(places) !== JSON.stringify(axis.ticker.ticks)) axis.ticker.ticks = places;
    else if (side !== "below" && ticks.some(([at, word]) => before.get(at) !== word)) axis.change.emit();
  }

  // A title that is wider than its panel goes on in the next line, as any text does; a canvas would cut it.
  const pen = document.createElement("canvas").getContext("2d");
  function broken(text, title, width) {
    pen.font = `${title.text_font_style} ${title.text_font_size} ${title.text_font.value ?? title.text_font}`;
    const lines = [""];
    for (const word of text.split(" ")) {
      const longer = `${lines.at(-1)} ${word}`.trim();
      if (lines.at(-1) === "" || pen.measureText(longer).width <= width) lines[lines.length - 1] = longer;
      else lines.push(word);
    }
    return lines.join("\n");
  }

  function fill(own, panel, width) {
    const { plot } = own;
    plot.setv(panel.plot);
    const title = broken(panel.title, plot.title, width - panel.plot.min_border_left - TITLE_ROOM);
    if (plot.title.text !== title) plot.title.text = title;
    plot.x_range.setv({ start: panel.x[0], end: panel.x[1] });
    plot.y_range.setv({ start: panel.y[0], end: panel.y[1] });
    fillAxis(own, "below", panel.xTicks);
    fillAxis(own, "left", panel.yTicks);
    fillAxis(own, "right", panel.beside);
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

  function draw({ columns, panels }) {
    const root = document.getElementById("panels");
    if (root === null) return;
    const rooms = kept.size === 0 ? [...root.children] : []; // the server's, where the view came with the page
    const widths = panels.map((panel, i) => (kept.get(panel.plot.name)?.place ?? rooms[i])?.clientWidth || root.clientWidth); // asked before anything is changed
    root.style.gridTemplateColumns = columns;
    const names = new Set(panels.map((panel) => panel.plot.name));
    for (const [name, own] of kept) {
      if (!names.has(name) && !own.place.hidden) { own.place.hidden = true; empty(own.plot); }
    }
    panels.forEach((panel, i) => {
      const own = kept.get(panel.plot.name) ?? build(panel, rooms[i]);
      own.place.hidden = false;
      own.place.className = panel.isWide ? "wide" : "";
      own.place.style.minHeight = `${panel.plot.height}px`;
      fill(own, panel, widths[i]);
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

  function say(part, html) {
    if (html !== undefined && html !== words[part]) document.getElementById(part).innerHTML = words[part] = html;
  }

  // The figure first, its words with the next frame: changed before it, they would have the whole page styled anew while it is laid out.
  // On a page that waited for its first view all appears at once, or the words would push the figure down.
  let said = "";
  function show(text) {
    if (text === "" || text === said) return;
    said = text;
    const page = JSON.parse(text), place = document.getElementById("page");
    const tell = () => {
      if (said !== text) return;
      for (const part of ["title", "side", "key", "numbers"]) say(part, page[part]);
      document.dispatchEvent(new Event("page-shown"));
    };
    if (place.classList.contains("waiting")) tell();
    else requestAnimationFrame(tell);
    place.classList.remove("waiting");
    if (page.figure) draw(page.figure);
  }

  // What stood in the places of drop-downs and buttons goes once these are made.
  function leave(doc) {
    const go = () => { for (const each of document.querySelectorAll(".standing")) each.remove(); };
    if (doc.is_idle) go();
    else doc.idle.connect(go);
  }

  // Every line, letter and fill that Bokeh draws is first looked for in the page's style sheets, as a variable --bk-…; none of ours says
  // any, and each look has the browser work out its styles: a third of a redraw.
  window.Bokeh.require("core/visuals/visual").VisualProperties.prototype._get_css_value = () => "";

  function begin() {
    bare = JSON.parse(document.getElementById("bare-panels").textContent);
    show(document.getElementById("at-hand").textContent);
    const waiting = setInterval(() => {
      shown = window.Bokeh.documents.map((doc) => doc.get_model_by_name("shown")).find((model) => model !== null) ?? null;
      if (shown === null) return;
      clearInterval(waiting);
      leave(shown.document);
      for (const name of ["notice", "asked"]) {
        shown.properties[name].change.connect(() => say(name, shown[name]));
        say(name, shown[name]);
      }
      shown.properties.page.change.connect(() => show(shown.page));
      show(shown.page);
    }, 10);
  }
  begin();
})();
