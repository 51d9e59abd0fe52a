// Saves a full load after every change, lights up what belongs together, and lets bars, corners and layers be dragged.
// Everything it does can be done without it: each form has its button, each drag its fields.
"use strict";

const $ = (selector, within = document) => within.querySelector(selector);
const $$ = (selector, within = document) => [...within.querySelectorAll(selector)];
const parts = ["strip", "register", "sheet", "foot"];
let asked = 0;
// Edits whose answer is still to come.
let unanswered = 0;
// While a page is put in the place of another, fields lose the focus that nobody left.
let taking = false;

// A page from the server takes the place of this one, part by part; what had the focus keeps it.
function take(text, address, sent = []) {
  const page = new DOMParser().parseFromString(text, "text/html");
  if (!page.getElementById("sheet")) {
    tell(page.body.textContent.trim());
    return;
  }
  const active = document.activeElement;
  const focused = placeOf(active);
  // Who has gone on typing in the next field keeps what was typed.
  const typed = active && active.matches("input[name]") && active.value !== active.defaultValue
    ? { value: active.value, at: active.selectionStart, was: active.defaultValue } : null;
  // What is marked stays marked: who has come by the tabulator types over the whole of a field.
  const marked = active && active.matches("input, textarea") && active.selectionStart !== null
    ? { from: active.selectionStart, to: active.selectionEnd, all: active.selectionEnd - active.selectionStart === active.value.length }
    : null;
  const other = address && new URL(address, location).pathname !== location.pathname;
  // A field that was refused stays as it is until it is put right, whatever is drawn meanwhile.
  const refused = other ? [] : $$("#sheet input[aria-invalid], #sheet select[aria-invalid]")
    .filter((field) => !sent.includes(field.name))
    .map((field) => ({ id: field.id, value: field.value, sentence: field.nextElementSibling }));
  taking = true;
  for (const id of parts) {
    const [old, fresh] = [document.getElementById(id), page.getElementById(id)];
    const left = $$(".drawn, .verdicts", old).map((one) => one.scrollLeft);
    old.replaceChildren(...fresh.childNodes);
    $$(".drawn, .verdicts", old).forEach((one, at) => { one.scrollLeft = left[at] || 0; });
  }
  taking = false;
  Object.assign(document.body.dataset, page.body.dataset);
  if (!page.body.dataset.busy) delete document.body.dataset.busy;
  document.title = page.title;
  if (address) history.replaceState(null, "", address);
  shownAt = here();
  if (other) $("#sheet").scrollTop = 0;
  // What is dragged can take the focus only once it was made ready.
  ready();
  if (focused) {
    const again = inPlace(focused);
    if (again) again.focus({ preventScroll: true });
    if (again && typed && again.defaultValue === typed.was && !again.hasAttribute("aria-invalid")) {
      again.value = typed.value;
      again.setSelectionRange(typed.at, typed.at);
    } else if (again && marked && again.matches("input, textarea") && again.selectionStart !== null) {
      if (marked.all) again.select();
      else again.setSelectionRange(marked.from, marked.to);
    }
  }
  const wrong = $("#sheet [aria-invalid]");
  if (wrong && !typed && sent.includes(wrong.name)) wrong.focus();
  for (const old of refused) {
    const field = document.getElementById(old.id);
    if (!field || field.hasAttribute("aria-invalid")) continue;
    field.value = old.value;
    field.dataset.sent = old.value;
    field.setAttribute("aria-invalid", "true");
    if (old.sentence) {
      field.setAttribute("aria-describedby", old.sentence.id);
      field.after(old.sentence);
    }
  }
  showAnswer();
}

// Where what has the focus is found again: by its name, or by its place among the others of its part that are called the same.
let follow = null;
const called = (one) => one.getAttribute("aria-label") || one.textContent;
const others = (part) => $$("a, button, input, select, textarea, summary", document.getElementById(part));

function placeOf(active) {
  const went = follow;
  follow = null;
  if (went) return { id: went };
  if (!active || active === document.body) return null;
  if (active.id) return { id: active.id };
  const part = parts.find((id) => document.getElementById(id).contains(active));
  return part ? { part, at: others(part).indexOf(active), called: called(active) } : null;
}

function inPlace(place) {
  if (place.id) return document.getElementById(place.id);
  const one = others(place.part)[place.at];
  return one && called(one) === place.called ? one : null;
}

function tell(sentence) {
  const note = document.createElement("p");
  note.className = "notice wrong";
  note.setAttribute("role", "alert");
  note.textContent = sentence;
  $("#sheet").prepend(note);
}

// Edits go one after the other, each made on the page the one before left; a question waits for them.
let line = Promise.resolve();

function send(address, fields) {
  if (!fields) return line.then(() => answered(address));
  unanswered += 1;
  line = line
    .then(() => answered(address, fields instanceof FormData ? fields
      : fields.map(([name, value]) => [name, name === "version" ? document.body.dataset.version : value])))
    .finally(() => { unanswered -= 1; });
  return line;
}

async function answered(address, fields, unasked = false) {
  const mine = ++asked;
  const began = performance.now();
  try {
    const answer = await fetch(address, {
      method: fields ? "POST" : "GET",
      body: fields instanceof FormData ? fields : fields ? new URLSearchParams(fields) : undefined,
      credentials: "same-origin",
    });
    const text = await answer.text();
    if (address === asking.address) asking = {};
    // A later question overtook this one; the answer to an edit is always taken. What nobody asked for gives way to an edit.
    if (!fields && (mine !== asked || (unasked && unanswered))) return;
    const shown = answer.redirected || !fields ? new URL(answer.url) : null;
    take(text, shown && shown.pathname + shown.search, fields ? [...fields].map(([name]) => name) : []);
    document.body.dataset.took = Math.round(performance.now() - began);
  } catch {
    tell(fields ? document.body.dataset.lost : document.body.dataset.gone);
    // The sheet that is shown stays the one of the address.
    if (!fields && shownAt !== here()) history.replaceState(null, "", shownAt);
  }
}

function carried(form) {
  return [["version", document.body.dataset.version], ["page", form.elements.page ? form.elements.page.value : here()]];
}

const here = () => location.pathname + location.search;
// The address of the sheet that is shown.
let shownAt = here();

// A field is written when it is changed or left: one that was drawn again while somebody typed in it tells no change of its own.
function write(event) {
  const field = event.target;
  const form = field.closest && field.closest("form.fields");
  if (taking || !form || !field.name.includes(":") || field.dataset.sent === field.value) return;
  if (event.type === "focusout" && (!field.matches("input") || field.value === field.defaultValue || !field.isConnected)) return;
  field.dataset.sent = field.value;
  send(form.action, [...carried(form), [field.name, field.value]]);
}
document.addEventListener("change", write);
document.addEventListener("focusout", write);

document.addEventListener("submit", (event) => {
  const form = event.target;
  const button = event.submitter;
  event.preventDefault();
  if (form.matches(".drop")) {
    const name = tooLarge(form);
    if (name) {
      tell(form.dataset.large.replace("{}", name));
      return;
    }
    const lacking = lacks(form);
    if (lacking) {
      const said = document.getElementById(lacking.getAttribute("aria-describedby"));
      said.textContent = lacking.dataset.need;
      said.className = "wrong";
      said.setAttribute("role", "alert");
      lacking.setAttribute("aria-invalid", "true");
      lacking.focus();
      return;
    }
    const label = $("button[type=submit]", form);
    label.disabled = true;
    send(form.action, new FormData(form)).then(() => { label.disabled = false; });
    return;
  }
  const fields = [...new FormData(form)].filter(([name]) => name !== "version" && name !== "page");
  if (button && button.name) fields.push([button.name, button.value]);
  const address = button && button.hasAttribute("formaction") ? button.formAction : form.action;
  if (form.method === "get") {
    wanted = true;
    send(`${new URL(address).pathname}?${new URLSearchParams(fields)}`);
  } else {
    // An arrow in the table of layers carries no fields: they are written as they change.
    const own = address.includes("/layer?") ? fields.filter(([name]) => name === "list") : fields;
    send(address, [...carried(form), ...own]);
  }
});

document.addEventListener("click", (event) => {
  const link = event.target.closest && event.target.closest("a[href]");
  if (event.target.id === "paper") turnPaper();
  if (event.target.dataset && event.target.dataset.line) goToLine(Number(event.target.dataset.line), event);
  if (!link || link.hasAttribute("download") || link.dataset.plain !== undefined || event.defaultPrevented) return;
  if (event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return;
  const address = link.getAttribute("href");
  if (address.startsWith("#")) {
    const drawn = document.getElementById(address.slice(1));
    if (drawn && drawn.closest(".drawn")) {
      event.preventDefault();
      drawn.scrollIntoView({ block: "center", inline: "center" });
      drawn.focus({ preventScroll: true });
      light(drawn.id);
    }
  } else if (address.startsWith("/")) {
    event.preventDefault();
    history.pushState(null, "", address);
    const place = address.split("#")[1];
    send(address).then(() => {
      const there = place && document.getElementById(place);
      if (there) there.scrollIntoView({ block: "start" });
    });
  }
});

window.addEventListener("popstate", () => send(here()));

document.addEventListener("keydown", (event) => {
  const typing = event.target.closest && event.target.closest("input, textarea");
  if ((event.ctrlKey || event.metaKey) && !typing && event.key.toLowerCase() === "z") {
    event.preventDefault();
    send(event.shiftKey ? "/redo" : "/undo", [["version", document.body.dataset.version], ["page", here()]]);
  }
  const raw = event.target.closest && event.target.closest("#raw");
  if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "s" && raw) {
    event.preventDefault();
    raw.requestSubmit();
  }
  const grip = event.target.closest && event.target.closest("g.grip");
  if (grip) nudge(grip, event);
});

// ---- what one points at lights up, in the drawing and in its table
function light(name) {
  for (const one of $$(".lit")) one.classList.remove("lit");
  if (!name) return;
  for (const part of name.split(" ")) {
    const drawn = document.getElementById(part);
    if (drawn) drawn.classList.add("lit");
  }
  for (const row of $$("[data-for]")) {
    if (row.dataset.for.split(" ").some((part) => name.split(" ").includes(part))) row.classList.add("lit");
  }
}

function pointedAt(target) {
  const row = target.closest && target.closest("[data-for]");
  const drawn = target.closest && target.closest(".drawn g[id]");
  return row ? row.dataset.for : drawn ? drawn.id : null;
}

document.addEventListener("pointerover", (event) => {
  if (!held && event.pointerType !== "touch") light(pointedAt(event.target));
});
document.addEventListener("focusin", (event) => light(pointedAt(event.target)));

// ---- dragging
let held = null;

function prepare(figure) {
  const kind = figure.dataset.drag;
  for (const group of $$("g[id]", figure)) {
    widen(group);
    if (kind && group.id.startsWith(`${kind}-`)) {
      group.classList.add("grip");
      group.setAttribute("tabindex", "0");
      group.setAttribute("role", "button");
      const title = $("title", group);
      group.setAttribute("aria-label", `${title ? title.textContent : group.id.replace("-", " ")}, ${document.body.dataset.arrows}`);
    } else if ($$("[data-for]").some((row) => row.dataset.for.split(" ").includes(group.id))) {
      // What a row beside the drawing speaks of can be reached by the keyboard, and lights up with its row.
      const title = $("title", group);
      group.setAttribute("tabindex", "0");
      group.setAttribute("role", "img");
      group.setAttribute("aria-label", title ? title.textContent : group.id.replace("-", " "));
    }
  }
}

// Thin lines are hard to hit: each gets a wide invisible one, a layer its whole rectangle.
function widen(group) {
  // A clip lies on its bar, and it is the bar that is dragged.
  if (group.id.startsWith("clip-")) return;
  if (group.id.startsWith("layer-") || group.id.startsWith("corner-")) {
    const layer = group.id.startsWith("layer-");
    const box = layer ? roomOf(group) : group.getBBox();
    const more = layer ? 0 : 1.5;
    const hit = document.createElementNS("http://www.w3.org/2000/svg", "rect");
    for (const [key, value] of [["x", box.x - more], ["y", box.y - more], ["width", box.width + 2 * more],
      ["height", box.height + 2 * more], ["class", "hit"]]) hit.setAttribute(key, value);
    group.append(hit);
  } else {
    for (const path of $$(":scope > path", group)) {
      const hit = path.cloneNode();
      hit.setAttribute("class", "hit");
      hit.setAttribute("stroke-width", "3");
      group.append(hit);
    }
  }
}

// Air is drawn as nothing, and a foil as a line: air gets what lies between its neighbours, a foil a little on either side.
function roomOf(group) {
  const box = group.getBBox();
  if (box.width && box.height) return box;
  if (box.width || box.height) {
    return { x: box.x - (box.width ? 0 : 0.6), y: box.y - (box.height ? 0 : 0.6), width: box.width || 1.2, height: box.height || 1.2 };
  }
  const all = $$("g[id^=layer-]", group.closest("svg"));
  const at = all.indexOf(group);
  const [before, after] = [all[at - 1], all[at + 1]].map((one) => one && [...one.children].find((part) => !part.matches("title, .hit")) && one.getBBox());
  if (!before || !after) return box;
  return after.y > before.y + 0.01
    ? { x: before.x, y: before.y + before.height, width: before.width, height: Math.max(after.y - before.y - before.height, 0) }
    : { x: before.x + before.width, y: before.y, width: Math.max(after.x - before.x - before.width, 0), height: before.height };
}

const round = (value) => Math.round(value);

function moved(figure, dx, dy) {
  const mm = Number(figure.dataset.mm);
  if (figure.dataset.drag === "bar") {
    const [x, y] = figure.dataset.across.split(" ").map(Number);
    const off = dx * x + dy * y;
    return { show: [off * x, off * y], off: round(off * mm) };
  }
  return { show: [dx, dy], right: round(dx * mm), up: round(-dy * mm) };
}

// What a drag or a key asked last and was not answered: the next key goes on from there.
let asking = {};
// Whether an answer is to be brought into sight.
let wanted = false;

function ask(figure, name, to) {
  const label = name.slice(name.indexOf("-") + 1);
  const address = figure.dataset.drag === "bar" ? `/ceiling?bar=${label}&off=${to.off}`
    : `/room?corner=${encodeURIComponent(label)}&right=${to.right}&up=${to.up}`;
  asking = { label, to, address };
  wanted = true;
  send(address);
}

// The answer to a drag stands beside the drawing, or below it on a narrow screen.
function showAnswer() {
  const answer = wanted && $("#tried [role=status], #tried [role=alert]");
  wanted = false;
  if (answer) answer.scrollIntoView({ block: "nearest" });
}

document.addEventListener("pointerdown", (event) => {
  const group = event.target.closest && event.target.closest("g.grip");
  if (!group || event.button !== 0) return;
  const figure = group.closest(".drawn");
  const svg = $("svg", figure);
  held = { group, figure, scale: svg.viewBox.baseVal.width / svg.getBoundingClientRect().width, x: event.clientX, y: event.clientY };
  group.setPointerCapture(event.pointerId);
  group.classList.add("held");
  light(group.id);
  event.preventDefault();
});

// A finger on a bar or corner drags it, and does not scroll.
document.addEventListener("touchstart", (event) => {
  if (event.target.closest && event.target.closest("g.grip:not([id^=layer])")) event.preventDefault();
}, { passive: false });

document.addEventListener("pointermove", (event) => {
  if (!held) return;
  const [dx, dy] = [(event.clientX - held.x) * held.scale, (event.clientY - held.y) * held.scale];
  if (held.figure.dataset.drag === "layer") {
    held.group.setAttribute("transform", `translate(${dx} ${dy})`);
  } else {
    held.to = moved(held.figure, dx, dy);
    held.group.setAttribute("transform", `translate(${held.to.show[0]} ${held.to.show[1]})`);
  }
});

document.addEventListener("pointerup", (event) => {
  if (!held) return;
  const { group, figure, to, x, y } = held;
  held = null;
  group.classList.remove("held");
  if (Math.hypot(event.clientX - x, event.clientY - y) < 3) {
    group.removeAttribute("transform");
    group.focus();
    return;
  }
  if (figure.dataset.drag === "layer") {
    group.setAttribute("pointer-events", "none");
    const under = document.elementsFromPoint(event.clientX, event.clientY)
      .map((one) => one.closest("g.grip")).find((one) => one && one !== group);
    group.removeAttribute("pointer-events");
    group.removeAttribute("transform");
    if (under) moveLayer(figure, layerOf(group), layerOf(under));
  } else if (to) {
    group.focus({ preventScroll: true });
    ask(figure, group.id, to);
  }
});
document.addEventListener("pointercancel", () => {
  if (held) held.group.removeAttribute("transform");
  held = null;
});

// A layer may be drawn in parts, layer-2 and layer-2-1.
const layerOf = (group) => Number.parseInt(group.id.slice(6), 10);

function moveLayer(figure, from, to) {
  follow = `layer-${to}`;
  send("/layer", [["version", document.body.dataset.version], ["page", here()], ["list", figure.dataset.list],
    ["layer", from], ["do", "to"], ["to", to]]);
}

// Arrow keys: a bar or corner by 5 mm, with Shift by 25; a layer by one place.
function nudge(group, event) {
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
  if (!way) return;
  event.preventDefault();
  const figure = group.closest(".drawn");
  if (figure.dataset.drag === "layer") {
    const at = layerOf(group);
    const to = at + way[0] + way[1];
    // One place after the other: until the sheet is drawn again the numbers are those of before.
    if (!unanswered && to >= 0 && document.getElementById(`layer-${to}`)) moveLayer(figure, at, to);
    return;
  }
  const step = (event.shiftKey ? 25 : 5) / Number(figure.dataset.mm);
  const query = new URLSearchParams(location.search);
  const label = group.id.slice(group.id.indexOf("-") + 1);
  const to = moved(figure, way[0] * step, way[1] * step);
  const same = query.get("bar") === label || query.get("corner") === label;
  const from = asking.label === label ? asking.to : same ? Object.fromEntries(query) : {};
  for (const key of ["off", "right", "up"]) if (key in to) to[key] += Number(from[key]) || 0;
  ask(figure, group.id, to);
}

// ---- the raw file: what is typed and not saved stays with this window while one looks at another sheet
const UNSAVED = "stillroom-unsaved";

function unsaved() {
  try { return JSON.parse(sessionStorage.getItem(UNSAVED)); } catch { return null; }
}

function keepUnsaved(text) {
  try {
    if (!text || (text.value === text.defaultValue && !$("#raw [role=alert]"))) sessionStorage.removeItem(UNSAVED);
    else sessionStorage.setItem(UNSAVED, JSON.stringify({ text: text.value, was: (unsaved() || {}).was || text.defaultValue }));
  } catch { /* a window that keeps nothing still asks before it is closed */ }
}

function bringBack(text) {
  const kept = unsaved();
  // A text that was refused stands in its field, and is not saved either.
  if (!kept || $("#raw [role=alert]")) return;
  if (kept.text === text.defaultValue) {
    keepUnsaved(null);
    return;
  }
  text.value = kept.text;
  const note = $("#unsaved");
  note.hidden = false;
  $("p", note).textContent = kept.was === text.defaultValue ? note.dataset.same : note.dataset.changed;
  $("button", note).addEventListener("click", () => {
    text.value = text.defaultValue;
    keepUnsaved(null);
    note.hidden = true;
    text.focus();
  });
}

window.addEventListener("beforeunload", (event) => {
  if (unsaved()) event.preventDefault();
});

// ---- the raw file: numbers beside the lines
function goToLine(line, event) {
  const text = $("#raw textarea");
  if (!text) return;
  event.preventDefault();
  const lines = text.value.split("\n");
  const start = lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
  text.focus();
  text.setSelectionRange(start, start + (lines[line - 1] || "").length);
  text.scrollTop = Math.max(0, (line - 8) * parseFloat(getComputedStyle(text).lineHeight));
}

function turnPaper() {
  const root = document.documentElement;
  const dark = root.dataset.paper ? root.dataset.paper === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
  root.dataset.paper = dark ? "light" : "dark";
  try { localStorage.setItem("paper", root.dataset.paper); } catch { /* a browser that keeps nothing asks again next time */ }
}

// ---- is there something newer?
async function look() {
  const busy = document.body.dataset.busy === "yes";
  try {
    if (!document.hidden) {
      const now = await (await fetch("/state", { credentials: "same-origin" })).json();
      const told = $("#under-way");
      if (told && now.choosing) {
        told.textContent = now.choosing.words;
        $("#how-far").value = now.choosing.stage;
      }
      const typing = document.activeElement && document.activeElement.closest("textarea");
      // The answer to an edit is not drawn over.
      const still = !held && !typing && !unanswered;
      if (String(now.drawn) !== document.body.dataset.drawn && still) await answered(here(), null, true);
    }
  } catch { /* the next edit says that nobody answers */ }
  setTimeout(look, busy ? 150 : 1500);
}

function ready() {
  document.documentElement.classList.add("live");
  // Days as the reader's own browser writes them; the file and the paper keep theirs.
  for (const day of $$("time[datetime]")) {
    const at = new Date(`${day.dateTime}T12:00`);
    if (!Number.isNaN(at.getTime())) day.textContent = at.toLocaleDateString(undefined, { dateStyle: "medium" });
  }
  for (const figure of $$(".drawn")) prepare(figure);
  const text = $("#raw textarea");
  if (text) {
    text.addEventListener("scroll", () => { $(".lines").scrollTop = text.scrollTop; });
    text.addEventListener("input", () => keepUnsaved(text));
    bringBack(text);
  }
  // On a phone the register is wider than the screen: the sheet one is on is to be seen.
  const [list, own] = [$("#register ol"), $("#register [aria-current]")];
  if (own && list.scrollWidth > list.clientWidth) list.scrollLeft = own.offsetLeft - (list.clientWidth - own.offsetWidth) / 2;
  document.dispatchEvent(new Event("stillroom-drawn"));
}

try {
  const paper = localStorage.getItem("paper");
  if (paper) document.documentElement.dataset.paper = paper;
} catch { /* no storage: the paper follows the system */ }
ready();
setTimeout(look, 300);
