"use strict";
// Receiving files: a file is sent when it is dropped or chosen, one after the other; what the server makes of it is asked for until it
// is done, and put into the page. Every choice and step is an ordinary form, drop-down or button.
document.addEventListener("DOMContentLoaded", () => {
  const root = document.getElementById("receive");
  const said = document.getElementById("receive-said");
  const progress = document.getElementById("receive-progress");
  const waitingFor = document.getElementById("receive-waiting");
  const place = document.getElementById("item");
  const most = Number(root.dataset.most) * 1e6;
  const waiting = [];
  let item = null;
  let since = 0;
  let version = 0;

  // How far a step is changes many times: it is shown and not read out.
  const say = (text, isShown = true, howFar = "") => {
    progress.textContent = howFar;
    said.className = isShown ? "" : "unseen"; // what stands in the page as well is said to those who listen, and not shown twice
    if (said.textContent !== text) said.textContent = text;
  };
  const seconds = (ms) => `${Math.round(ms / 1000)} s`;
  const later = (ms) => new Promise((done) => setTimeout(done, ms));
  const escaped = (text) => { const element = document.createElement("p"); element.textContent = text; return element.innerHTML; };

  async function ask(path, options = {}) {
    const headers = { "X-Receive-Token": root.dataset.token, ...options.headers };
    const answer = await fetch(`receive${path}`, { ...options, headers });
    const told = await answer.json();
    if (!answer.ok) throw Object.assign(new Error(told.error ?? "This cannot be done."), { isTold: true, status: answer.status });
    return told;
  }

  function showWaiting() {
    waitingFor.textContent = waiting.length === 0 ? "" : `Next: ${waiting.map((file) => file.name).join(", ")}`;
  }

  function show(html) {
    const wasOpen = new Set([...place.querySelectorAll("details[open][data-part]")].map((each) => each.dataset.part));
    place.innerHTML = html;
    for (const each of place.querySelectorAll("details[data-part]")) if (wasOpen.has(each.dataset.part)) each.open = true;
    for (const each of place.querySelectorAll("details[open][data-part]")) fill(each, 0);
  }

  function warn(text, ways = "") {
    if (item !== null) item.isHeld = false;
    place.innerHTML = `<h3 tabindex="-1">${escaped(item?.name ?? "")}</h3><p class="alert" role="alert">${escaped(text)}</p>${ways}`;
    say("");
  }

  // A file that is on its way: its bytes as they are, with their progress in words.
  function send(file) {
    item = { name: file.name, id: null, isHeld: true };
    place.innerHTML = "";
    if (file.size > most) {
      const words = `Load ${file.name} at the command line: tautleaf load FILE. It has ${Math.round(file.size / 1e6)} MB, and a page takes files up to ${root.dataset.most} MB.`;
      warn(words, '<p class="ways"><button type="button" data-do="leave">Put it away</button></p>');
      return;
    }
    const request = new XMLHttpRequest();
    request.open("POST", "receive");
    request.setRequestHeader("X-Receive-Token", root.dataset.token);
    request.setRequestHeader("X-File-Name", encodeURIComponent(file.name));
    request.setRequestHeader("Content-Type", "application/octet-stream");
    request.responseType = "json";
    say(`${file.name} is on its way.`);
    request.upload.addEventListener("progress", (event) => {
      if (event.total > 2e6) say(`${file.name}: ${Math.round(event.loaded / 1e6)} of ${Math.round(event.total / 1e6)} MB are on their way.`);
    });
    const again = '<p class="ways"><button type="button" class="main" data-do="again">Send it again</button><button type="button" data-do="leave">Put it away</button></p>';
    item.file = file;
    request.addEventListener("error", () => warn(`The connection was lost while ${file.name} was on its way, or the file could not be read (a folder cannot). Nothing of it was stored.`, again));
    request.addEventListener("load", () => {
      if (request.status === 200 && request.response) follow(request.response);
      else warn(request.response?.error ?? "The dashboard did not take the file. Nothing of it was stored.", again);
    });
    request.send(file);
  }

  // What is being done is asked for until it is done; a lost connection is told, and tried again.
  async function follow(told) {
    const own = item;
    own.id = told.id;
    own.file = null;
    since = performance.now();
    while (item === own && told.doing) {
      version = told.version;
      own.doing = told.doing;
      say(`${told.doing} …`, true, told.progress);
      try {
        told = await ask(`/${own.id}/?version=${version}`);
      } catch (error) {
        if (error.isTold) { warn(error.message, '<p class="ways"><button type="button" data-do="leave">Put it away</button></p>'); return; }
        say("The connection to the dashboard is lost; trying again. A file that you have not accepted is stored nowhere.");
        await later(2000);
      }
    }
    if (item !== own) return;
    own.doing = "";
    own.isHeld = ["asked", "checked"].includes(told.state);
    own.state = told.state;
    show(told.html);
    say(told.said, false);
    place.querySelector("h3")?.focus({ preventScroll: true });
    place.scrollIntoView({ block: "nearest" });
    if (told.state === "loaded" || told.state === "withdrawn") fillInUse("");
  }

  // Lets go of the file in work, and goes on to the one that waits.
  function next() {
    if (item?.id) ask(`/${item.id}/leave`, { method: "POST", body: new URLSearchParams() }).catch(() => {});
    item = null;
    place.innerHTML = "";
    say("");
    const file = waiting.shift();
    showWaiting();
    if (file) send(file);
  }

  function take(files) {
    for (const file of files) waiting.push(file);
    if (!item?.isHeld) next();
    else showWaiting();
  }

  async function step(path, body) {
    for (const each of place.querySelectorAll("button")) each.disabled = true;
    try {
      await follow(await ask(path, { method: "POST", body }));
    } catch (error) {
      for (const each of place.querySelectorAll("button")) each.disabled = false;
      say(error.isTold ? error.message : "The connection to the dashboard is lost. Nothing was changed by this; try it again.");
    }
  }

  // Fills a part of the page with what a path answers; of two questions for one part only the later comes into it, whichever answers last.
  const asked = new WeakMap();
  async function put(part, path, way) {
    const own = {};
    asked.set(part, own);
    let html;
    try {
      html = (await ask(path)).html;
    } catch (error) {
      html = `<p class="alert">${escaped(error.isTold ? error.message : `The connection to the dashboard is lost. ${way}`)}</p>`;
    }
    if (asked.get(part) !== own) return;
    part.innerHTML = html;
    part.querySelector("[tabindex].reading")?.focus();
  }

  function fill(details, start) {
    const of = new URLSearchParams({ start: String(start), status: details.querySelector("[data-status]")?.value ?? "", upload: details.dataset.upload ?? "" });
    return put(details.querySelector(".part"), `/${item.id}/${details.dataset.part}?${of}`, "Close this and open it again.");
  }

  const withdrawing = document.getElementById("withdrawing");
  function fillInUse(upload) {
    return put(withdrawing.querySelector("div"), `/in-use?${new URLSearchParams({ upload })}`, "Reload the page.");
  }

  root.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    if (button.dataset.start !== undefined) fill(button.closest("details"), Number(button.dataset.start));
    const todo = button.dataset.do;
    if (todo === "accept") step(`/${item.id}/accept`, new URLSearchParams({ replaces: button.dataset.replaces ?? "", adds: button.dataset.adds ?? "" }));
    if (todo === "leave") next();
    if (todo === "again") send(item.file);
    if (todo === "keep") fillInUse("");
    if (todo === "withdraw") {
      if (item?.isHeld) { say("Finish with the file above, or put it away, before you withdraw another."); return; }
      item = { name: "", isHeld: true };
      step("/in-use", new URLSearchParams({ upload: button.dataset.upload }));
    }
  });
  root.addEventListener("submit", (event) => {
    event.preventDefault();
    const form = event.target;
    if (form.dataset.do === "check") step(`/${item.id}/check`, new URLSearchParams(new FormData(form)));
    if (form.dataset.do === "ask-withdraw") fillInUse(new FormData(form).get("upload"));
  });
  root.addEventListener("change", (event) => {
    if (event.target.matches("[data-status]")) fill(event.target.closest("details"), 0);
  });
  root.addEventListener("toggle", (event) => {
    if (!event.target.open) return;
    if (event.target === withdrawing) fillInUse("");
    else if (event.target.dataset.part && event.target.dataset.part !== "notes" && event.target.querySelector(".part").innerHTML === "") fill(event.target, 0);
  }, true);

  const chooser = document.getElementById("files");
  chooser.addEventListener("change", () => { take([...chooser.files]); chooser.value = ""; });
  const drop = root.querySelector(".drop");
  const isFiles = (event) => [...(event.dataTransfer?.types ?? [])].includes("Files");
  window.addEventListener("dragover", (event) => { if (isFiles(event)) { event.preventDefault(); drop.classList.add("over"); } });
  window.addEventListener("dragleave", (event) => { if (event.relatedTarget === null) drop.classList.remove("over"); });
  window.addEventListener("drop", (event) => {
    if (!isFiles(event)) return;
    event.preventDefault();
    drop.classList.remove("over");
    take([...event.dataTransfer.files]);
  });
  window.addEventListener("beforeunload", (event) => {
    if (item?.isHeld) event.preventDefault();
  });
  setInterval(() => {
    if (item?.doing && performance.now() - since > 3000) root.dataset.since = seconds(performance.now() - since);
    else delete root.dataset.since;
  }, 1000);
}, { once: true });
