"use strict";
// One mark at a time; readings are kept at once and never changed, only added to.
const facts = JSON.parse(document.getElementById("facts").textContent);
const $ = (id) => document.getElementById(id);
const kept = load();
let typed = "";

function load() {
  const empty = { wall: 0, mark: 0, done: [], readings: [], taken: 0 };
  try {
    const found = JSON.parse(localStorage.getItem(facts.keeps));
    return found && Array.isArray(found.readings) ? { ...empty, ...found } : empty;
  } catch {
    return empty;
  }
}

function keep() {
  try {
    localStorage.setItem(facts.keeps, JSON.stringify(kept));
    return true;
  } catch {
    say("This phone keeps nothing for this page: take the file of readings before you close it.");
    return false;
  }
}

const say = (words) => { $("said").textContent = words; };
const wall = () => facts.walls[Math.min(kept.wall, facts.walls.length - 1)];
const mark = () => wall().marks[Math.min(kept.mark, wall().marks.length - 1)];
const spaced = (mm) => String(mm).replace(/\B(?=(\d{3})+$)/g, "\u202f");
const readingOf = (one) => kept.readings.findLast((r) => r.bar === one.bar && r.wall === wall().wall);

function show() {
  if (!facts.walls.length) {
    $("figure").textContent = "\u2013";
    $("what").textContent = "No ceiling is set out in this plan.";
    return;
  }
  const [here, one] = [wall(), mark()];
  const read = one.bar ? readingOf(one) : null;
  $("wall").value = String(kept.wall);
  $("figure").textContent = spaced(one.at_mm);
  $("figure").className = read ? "kept" : "";
  $("what").textContent = one.what;
  const before = here.marks[kept.mark - 1];
  $("gap").textContent = read ? `fixed at ${spaced(read.at_mm)}\u00a0mm`
    : before ? `${spaced(one.at_mm - before.at_mm)}\u00a0mm from the mark before` : `hook the tape at corner ${here.from}`;
  $("back").disabled = kept.wall === 0 && kept.mark === 0;
  $("type").hidden = !one.bar;
  if (!one.bar) $("keys").hidden = true;
  tape(here);
  list();
}

function tape(here) {
  const x = (mm) => 4 + 92 * mm / here.length_mm;
  const line = (at, from, to, width, ink) =>
    `<line x1="${at}" x2="${at}" y1="${from}" y2="${to}" stroke="var(--paper-${ink})" stroke-width="${width}"/>`;
  const ends = here.wall.split("-");
  const other = ends.find((end) => end !== here.from) || "";
  const word = (at, name) => `<text x="${at}" y="13" font-size="3.6" text-anchor="middle" fill="var(--paper-ink)"></text>`.replace("></", `>${name.replace(/[<&]/g, "")}</`);
  $("tape").innerHTML = `<line x1="4" x2="96" y1="7" y2="7" stroke="var(--paper-ink)" stroke-width="0.8"/>`
    + here.marks.map((one, at) => line(x(one.at_mm), at === kept.mark ? 1 : 5, 8.5, at === kept.mark ? 0.9 : 0.35, at === kept.mark ? "red" : "grey")).join("")
    + `<circle cx="4" cy="7" r="1.6" fill="var(--paper-paper)" stroke="var(--paper-ink)" stroke-width="0.6"/>` + word(4, here.from) + word(96, other);
}

function step(way) {
  say("");
  typed = "";
  $("keys").hidden = true;
  let [w, m] = [kept.wall, kept.mark + way];
  if (m < 0) {
    w -= 1;
    m = w >= 0 ? facts.walls[w].marks.length - 1 : 0;
  }
  if (w >= 0 && m >= facts.walls[w].marks.length) {
    if (w + 1 >= facts.walls.length) {
      say("That was the last mark.");
      return;
    }
    w += 1;
    m = 0;
    say(`Wall ${facts.walls[w].wall}: hook the tape at corner ${facts.walls[w].from}.`);
  }
  [kept.wall, kept.mark] = [Math.max(0, w), m];
  keep();
  show();
}

function press(key) {
  if (key === "keep") {
    const at = Number(typed.replace(",", "."));
    const one = mark();
    if (!typed || !Number.isFinite(at)) {
      say("Type where the middle of the bar is, in mm.");
      return;
    }
    if (at > wall().length_mm) {
      say(`The wall is only ${spaced(wall().length_mm)} mm long. Measure again.`);
      return;
    }
    kept.readings.push({ bar: one.bar, wall: wall().wall, at_mm: at });
    typed = "";
    const stays = keep();
    $("keys").hidden = true;
    show();
    const off = at - one.at_mm;
    if (stays) say(`Kept. ${off === 0 ? "On its mark." : `${Math.abs(off)} mm ${off > 0 ? "past" : "short of"} its mark.`}`);
    return;
  }
  typed = key === "\u2190" ? typed.slice(0, -1) : (typed + key).slice(0, 7);
  $("read").textContent = typed || "\u00a0";
}

// The file a project takes in: only added to, one reading a table.
function file() {
  const text = (words) => JSON.stringify(String(words));
  return `# Readings of ${text(facts.room)}${facts.revision ? `, revision ${text(facts.revision)}` : ""}\nformat = 1\n`
    + kept.readings.map((r) => `\n[[as_built.bar]]\nbar = ${r.bar}\nwall = ${text(r.wall)}\nat_mm = ${r.at_mm}\n`).join("");
}

function list() {
  $("list").replaceChildren(...kept.readings.map((r) => {
    const row = document.createElement("li");
    row.append(`bar ${r.bar}, wall ${r.wall}`, Object.assign(document.createElement("b"), { textContent: `${spaced(r.at_mm)}\u00a0mm` }));
    return row;
  }));
  $("file").href = `data:text/plain;charset=utf-8,${encodeURIComponent(file())}`;
}

for (const key of ["1", "2", "3", "4", "5", "6", "7", "8", "9", "\u2190", "0", ".", "keep"]) {
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = key === "keep" ? "keep it" : key;
  if (key === "keep") button.style.gridColumn = "1 / -1";
  if (key === "\u2190") button.setAttribute("aria-label", "take the last figure back");
  button.addEventListener("click", () => press(key));
  $("pad").append(button);
}
facts.walls.forEach((one, at) => {
  const option = document.createElement("option");
  option.value = String(at);
  option.textContent = `wall ${one.wall}, tape from ${one.from}`;
  $("wall").append(option);
});
$("wall").addEventListener("change", () => { [kept.wall, kept.mark] = [Number($("wall").value), 0]; keep(); show(); });
$("next").addEventListener("click", () => step(1));
$("back").addEventListener("click", () => step(-1));
$("type").addEventListener("click", () => { $("keys").hidden = !$("keys").hidden; typed = ""; $("read").textContent = "\u00a0"; });
$("file").addEventListener("click", () => { kept.taken = kept.readings.length; keep(); });
$("clear").addEventListener("click", () => {
  if (kept.taken < kept.readings.length) {
    say("");
    alert("Some readings were not taken home yet: get the file first.");
    return;
  }
  if (kept.readings.length && confirm("Clear the readings on this phone? The file you took home keeps them.")) {
    kept.readings = [];
    kept.taken = 0;
    keep();
    show();
  }
});
for (const box of document.querySelectorAll("[data-step]")) {
  box.checked = kept.done.includes(box.dataset.step);
  box.closest("li").classList.toggle("done", box.checked);
  box.addEventListener("change", () => {
    kept.done = kept.done.filter((n) => n !== box.dataset.step).concat(box.checked ? [box.dataset.step] : []);
    box.closest("li").classList.toggle("done", box.checked);
    keep();
  });
}
show();
