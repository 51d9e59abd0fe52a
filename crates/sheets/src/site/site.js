// The page round the log: what is shown is worked out from the entries each time, so that two tabs show the same.
const PARTS = ["marks", "clips", "boards", "lists", "steps", "kept"];
// A bar farther than this from its mark is asked about once; farther than that the plan would not take it, mm.
const ODD_MM = 30;
const MOST_MM = 500;
const here = { wall: 0, mark: 0, joist: 0, layer: 0 };
const noted = log.noted("at");
const within = (at, count) => Math.max(0, Math.min(Math.floor(at) || 0, count - 1));
Object.keys(here).forEach((key) => { if (noted && typeof noted[key] === "number") here[key] = noted[key]; });
// The place may be one of an earlier page of this layout, with other walls or marks.
here.wall = within(here.wall, facts.walls.length);
here.mark = facts.walls.length ? within(here.mark, facts.walls[here.wall].marks.length) : 0;
let state = log.counted([]);

const wall = () => facts.walls[here.wall];
const mark = () => wall().marks[here.mark];
const nameOf = (one) => `${one.joist ? "joist" : "wall"} ${one.wall}`;
const hook = (one) => (one.joist
  ? `measure along the joist from wall ${one.from}`
  : `hook the tape at corner ${one.from}${one.face ? ", at the face of the lining" : ""}`);
const say = (words) => { $("said").textContent = words; };
const lastOf = (place) => {
  const list = state.places[place];
  return list ? list[list.length - 1] : null;
};
const offWords = (off) => (Math.abs(off) < lengths.near ? "on its mark" : `${lengths.words(Math.round(Math.abs(off) * 10) / 10)} ${off > 0 ? "past" : "short of"} its mark`);

// Where a bar was read at a wall: the mean of its tapes; none where it was not.
function fixedAt(bar, name) {
  const list = state.places[`bar|${bar}|${name}`];
  return list ? list.reduce((sum, one) => sum + one.at_mm, 0) / list.length : null;
}

function add(entry, words) {
  const stays = log.add(entry);
  show();
  say(stays ? words : "This phone does not keep it. Save the readings as a file now.");
}

function showMark() {
  if (!facts.walls.length) {
    $("figure").textContent = "\u2013";
    $("what").textContent = "No ceiling is set out in this plan.";
    ["wall", "back", "next", "bar"].forEach((id) => { $(id).hidden = true; });
    return;
  }
  const one = mark();
  const at = one.bar ? fixedAt(one.bar, wall().wall) : null;
  $("wall").value = String(here.wall);
  $("figure").textContent = lengths.figure(one.at_mm);
  $("figure").className = at === null ? "" : "kept";
  $("what").textContent = local(one.what);
  const before = wall().marks[here.mark - 1];
  if (at !== null) $("gap").textContent = `fixed at ${lengths.words(Math.round(at * 10) / 10)}: ${offWords(at - one.at_mm)}`;
  else if (before) $("gap").textContent = `${lengths.words(one.at_mm - before.at_mm)} from the mark before`;
  else $("gap").textContent = hook(wall());
  $("back").disabled = here.wall === 0 && here.mark === 0;
  $("bar").hidden = !one.bar;
  $("on-mark").hidden = at !== null;
  $("type").textContent = at === null ? "type where it was fixed" : "correct it";
  $("again").hidden = at === null;
  const end = one.bar ? otherEnd(one.bar) : null;
  $("other").hidden = !end || at === null;
  if (end) $("other").textContent = `its other end: wall ${end.wall.wall}, ${lengths.words(end.wall.marks[end.at].at_mm)}`;
  tape();
}

// The first mark of a bar on another wall that was not read yet.
function otherEnd(bar) {
  let found = null;
  facts.walls.forEach((one, w) => one.marks.forEach((m, at) => {
    if (!found && w !== here.wall && m.bar === bar && fixedAt(bar, one.wall) === null) found = { w, at, wall: one };
  }));
  return found;
}

function tape() {
  const x = (at) => 4 + 92 * at / wall().length_mm;
  const line = (at, from, to, width, ink) => `<line x1="${at}" x2="${at}" y1="${from}" y2="${to}" stroke="var(--paper-${ink})" stroke-width="${width}"/>`;
  const word = (at, name) => `<text x="${at}" y="13.2" font-size="4.4" text-anchor="middle" fill="var(--paper-ink)">${name.replace(/[<&]/g, "")}</text>`;
  const other = wall().joist ? "" : wall().wall.split("-").filter((end) => end !== wall().from)[0] || "";
  $("tape").innerHTML = `<line x1="4" x2="96" y1="7" y2="7" stroke="var(--paper-ink)" stroke-width="0.8"/>${
    wall().marks.map((one, at) => {
      const now = at === here.mark;
      const read = one.bar && fixedAt(one.bar, wall().wall) !== null;
      return line(x(one.at_mm), now ? 1 : read ? 3.4 : 5, 8.5, now ? 0.9 : read ? 0.7 : 0.35, now ? "red" : read ? "ink" : "grey");
    }).join("")
  }<circle cx="4" cy="7" r="1.6" fill="var(--paper-paper)" stroke="var(--paper-ink)" stroke-width="0.6"/>${word(wall().joist ? 7 : 4, wall().from)}${word(96, other)}`;
}

function go(w, m) {
  here.wall = w;
  here.mark = m;
  log.note("at", here);
  show();
}

function step(way) {
  say("");
  let w = here.wall;
  let m = here.mark + way;
  if (m < 0) {
    w -= 1;
    m = w >= 0 ? facts.walls[w].marks.length - 1 : 0;
  }
  if (w < 0) return;
  if (m >= facts.walls[w].marks.length) {
    if (w + 1 >= facts.walls.length) {
      say("That was the last mark.");
      return;
    }
    w += 1;
    m = 0;
    say(`Now ${nameOf(facts.walls[w])}: ${hook(facts.walls[w])}.`);
  }
  go(w, m);
}

function readBar(again) {
  const one = mark();
  const name = wall().wall;
  const check = (at) => {
    const off = Math.round(Math.abs(at - one.at_mm) * 10) / 10;
    if (at > wall().length_mm) return { never: true, words: `The wall is only ${lengths.words(wall().length_mm)} long. Measure again.` };
    if (off > MOST_MM) return { never: true, words: `That is ${lengths.words(off)} from its mark: look whether it is another bar, and measure again.` };
    return off > ODD_MM ? { words: `That is ${lengths.words(off)} from its mark.` } : null;
  };
  const title = `bar ${one.bar}, wall ${name}: its middle from corner ${wall().from}${again ? ", second tape" : ""}`;
  asks.figure(title, null, check, (at) => {
    add({ kind: "bar", bar: one.bar, wall: name, at_mm: at, again: Boolean(again) }, `Kept: ${lengths.words(at)}, ${offWords(at - one.at_mm)}.`);
  });
}

const clipOf = (number) => facts.clips.filter((one) => one.clip === number)[0];

function clipWords(one) {
  if (!one) return "";
  if (one.how === "skipped") return `skipped: ${one.why}`;
  const planned = clipOf(one.clip);
  if (one.how === "fixed" || !planned) return "fixed on its mark";
  const off = one.along_mm - planned.along_mm;
  return `fixed, ${lengths.words(Math.round(Math.abs(off) * 10) / 10)} towards ${off < 0 ? planned.before : planned.after}`;
}

function readClip(number, how) {
  const planned = clipOf(number);
  if (how === "fixed") add({ kind: "clip", clip: number, how }, "");
  if (how === "skipped") {
    asks.choice(`clip ${number} skipped, because`, ["no timber behind it", "a pipe or cable is in the way", "the timber split", "the clip broke", "another reason"],
      (why) => add({ kind: "clip", clip: number, how, why }, ""));
  }
  if (how === "moved") {
    const check = (off) => {
      const at = planned.along_mm + off;
      if (at < 0 || at > planned.bar_mm) return { never: true, words: "That is beyond the end of its bar. Measure again." };
      if (Math.abs(off) > MOST_MM) return { never: true, words: "That is too far to be this clip. Measure again." };
      return Math.abs(off) > ODD_MM ? { words: `That is ${lengths.words(Math.abs(off))} along the bar.` } : null;
    };
    asks.figure(`clip ${number}: how far along the bar from its mark`, [`towards ${planned.before}`, `towards ${planned.after}`], check, (off) => {
      add({ kind: "clip", clip: number, how, along_mm: Math.round((planned.along_mm + off) * 10) / 10 }, "");
    });
  }
}

function boardWords(one) {
  if (!one) return "";
  const [along, across] = [one.off_along_mm || 0, one.off_across_mm || 0];
  if (!along && !across) return "up, in its place";
  return `up, off by ${lengths.words(along)} along, ${lengths.words(across)} across`.replace(/-/g, "\u2212");
}

function readBoard(piece, how) {
  if (how === "up") {
    add({ kind: "board", piece, off_along_mm: 0, off_across_mm: 0 }, "");
    return;
  }
  const ways = [`towards corner ${facts.corner}`, `away from ${facts.corner}`];
  const check = (off) => (Math.abs(off) > MOST_MM ? { never: true, words: "No board hangs that far off. Measure again." }
    : Math.abs(off) > ODD_MM ? { words: `That is ${lengths.words(Math.abs(off))} off.` } : null);
  asks.figure(`piece ${piece}: how far off along the bars (0 if none)`, ways, check, (along) => {
    asks.figure(`piece ${piece}: how far off across the bars (0 if none)`, ways, check, (across) => {
      add({ kind: "board", piece, off_along_mm: along, off_across_mm: across }, "");
    });
  });
}

// Rows of one kind: their words, which button is pressed, how many are left.
function rows(selector, key, words, pressed, left, name) {
  let open = 0;
  each(selector, (row) => {
    const id = row.getAttribute(`data-${key}`);
    const one = lastOf(`${key === "piece" ? "board" : "clip"}|${id}`);
    row.querySelector(".state").textContent = words(one);
    row.className = one ? (one.how === "skipped" ? "read skipped" : "read") : "";
    if (!one) open += 1;
    Array.prototype.forEach.call(row.querySelectorAll("button"), (button) => {
      button.setAttribute("aria-pressed", String(Boolean(one) && pressed(one) === button.getAttribute("data-do")));
    });
  });
  if ($(left)) $(left).textContent = open ? `${open} ${name} not read yet` : `all ${name} read`;
}

function showSteps() {
  each("[data-step]", (row) => {
    const title = row.getAttribute("data-step");
    const done = lastOf(`step|${title}`);
    const held = lastOf(`hold|${title}`);
    row.querySelector("input[type=checkbox]").checked = Boolean(done && done.done);
    const out = Boolean(held) && !held.within;
    // What is out stays in sight, ticked or not.
    row.className = [done && done.done ? "done" : "", out ? "out" : ""].filter(Boolean).join(" ");
    const said = row.querySelector(".state");
    if (said) {
      said.textContent = [held ? heldWords(held) : "", waiting(row, title)].filter(Boolean).join(" ");
      Array.prototype.forEach.call(row.querySelectorAll("[data-hold]"), (button) => {
        button.setAttribute("aria-pressed", String(Boolean(held) && held.within === (button.getAttribute("data-hold") === "in")));
      });
    }
  });
}

const holdOf = (title) => facts.holds.filter((one) => one.step === title)[0];
const holdPlace = (title) => `hold|${title}`;
const sortOf = (limit) => (limit.unit === "mm" ? lengths : plain(limit.unit));
const mayBe = (limit) => (limit.most === null ? `at least ${sortOf(limit).words(limit.least)}` : `at most ${sortOf(limit).words(limit.most)}`);
const keeps = (limit, value) => (limit.least === null || value >= limit.least - limit.slack) && (limit.most === null || value <= limit.most + limit.slack);
const measuredWords = (one) => (typeof one.value === "number" ? (one.unit === "mm" ? lengths : plain(one.unit)).words(one.value) : one.measured);

function heldWords(one) {
  const limit = holdOf(one.step);
  const words = `${measuredWords(one)}: ${one.within ? "within" : "out"}`;
  if (one.within || !limit || typeof one.value !== "number") return `${words}.`;
  return keeps(limit, one.value) ? `${words}, though the figure is within.` : `${words}, it may be ${mayBe(limit)}.`;
}

// What is typed at a hold point and does not count yet.
function waiting(row, title) {
  const typed = drafts.of(holdPlace(title));
  if (!typed) return "";
  const limit = holdOf(title);
  return limit ? `Typed and not finished: ${sortOf(limit).shown(typed)}.` : "Say whether that is within or out.";
}

// The figure decides: beyond what it may be it is out, and nobody can say otherwise. Within it, where something is to be seen as well, the
// person says whether that is so.
function readHold(title, asked) {
  const limit = holdOf(title);
  const place = holdPlace(title);
  const entry = (value, within) => ({ kind: "hold", step: title, measured: `${value} ${limit.unit}`, value, unit: limit.unit, within });
  asks.figure(`${limit.figure}: it may be ${mayBe(limit)}`, null, null, (value) => {
    if (limit.alone || !keeps(limit, value)) {
      add(entry(value, keeps(limit, value)), "");
      return;
    }
    // Until the rest is answered, the figure is only typed.
    drafts.put(place, sortOf(limit).typed(value));
    asks.choice(`${sortOf(limit).words(value)} is within. And all the rest: ${asked}?`, ["all of it is so", "something of it is not"], (answer) => {
      drafts.put(place, "");
      add(entry(value, answer === "all of it is so"), "");
    });
    show();
  }, place, sortOf(limit));
}

const entryWords = (one) => {
  if (one.kind === "bar") return `bar ${one.bar}, wall ${one.wall}: ${lengths.words(one.at_mm)}${one.again ? ", second tape" : ""}`;
  if (one.kind === "clip") return `clip ${one.clip}: ${clipWords(one)}`;
  if (one.kind === "board") return `piece ${one.piece}: ${boardWords(one)}`;
  if (one.kind === "step") return `${one.step}: ${one.done ? "done" : "not done"}`;
  return `hold point, ${one.step}: ${measuredWords(one)}, ${one.within ? "within" : "out"}`;
};

function element(tag, words, name) {
  const one = document.createElement(tag);
  one.textContent = words;
  if (name) one.className = name;
  return one;
}

const href = (text) => `data:text/plain;charset=utf-8,${encodeURIComponent(text)}`;

function showKept() {
  const entries = log.entries();
  const list = $("list");
  list.textContent = "";
  entries.filter((one) => one.kind !== "withdrawn").reverse().forEach((one) => {
    const row = element("li", "", state.state[one.read] === "counts" ? "" : "past");
    row.appendChild(element("span", entryWords(one)));
    row.appendChild(element("em", state.state[one.read] === "counts" ? "" : state.state[one.read]));
    if (state.state[one.read] !== "taken back") {
      const back = element("button", "take back");
      back.type = "button";
      back.setAttribute("aria-label", `take back ${entryWords(one)}`);
      back.addEventListener("click", () => add({ kind: "withdrawn", of: one.read }, ""));
      row.appendChild(back);
    }
    list.appendChild(row);
  });
  let typed = 0;
  each("[data-step]", (row) => {
    const title = row.getAttribute("data-step");
    const words = drafts.of(holdPlace(title));
    if (!words) return;
    typed += 1;
    const limit = holdOf(title);
    const line = element("li", "");
    line.appendChild(element("span", `hold point, ${title}: ${limit ? sortOf(limit).shown(words) : words}`));
    line.appendChild(element("em", "not finished"));
    list.insertBefore(line, list.firstChild);
  });
  const taken = log.noted("taken") || 0;
  const fresh = entries.filter((one) => one.n > taken).length;
  $("how-many").textContent = entries.length
    ? `${entries.length} ${entries.length === 1 ? "entry" : "entries"} on this phone, ${fresh ? `${fresh} since the last file` : "all of them saved as a file"}.`
    : "Nothing is read yet.";
  if (typed) $("how-many").textContent += ` ${typed} hold ${typed === 1 ? "point is" : "points are"} typed and not finished: they go into no file yet. See \u201csteps\u201d.`;
  let outs = 0;
  each("[data-step]", (row) => {
    const held = lastOf(holdPlace(row.getAttribute("data-step")));
    if (held && !held.within) outs += 1;
  });
  if (outs) $("how-many").textContent += ` ${outs} hold ${outs === 1 ? "point is" : "points are"} out. See \u201csteps\u201d.`;
  $("text").value = log.file(entries);
  $("file").href = href(log.file(entries));
  const others = $("others");
  others.textContent = "";
  let earlier = 0;
  log.others().forEach((group) => {
    const own = group[0].room === facts.room;
    if (own) earlier += group.length;
    const words = `${group.length} ${group.length === 1 ? "entry" : "entries"} of ${own ? "another layout of this room" : `the room ${group[0].room}`}, ${group[0].stamp ? `stamp ${group[0].stamp}` : "without a stamp"}`;
    const box = element("div", "", "other");
    box.appendChild(element("p", `This phone also keeps ${words}. They do not count for this layout.`));
    const link = element("a", "save them as a file", "button");
    link.href = href(log.file(group));
    link.setAttribute("download", `readings-${group[0].stamp || "older"}.toml`);
    box.appendChild(link);
    others.appendChild(box);
  });
  $("notice").hidden = !earlier;
  $("notice").textContent = `${earlier} ${earlier === 1 ? "entry" : "entries"} of another layout of this room ${earlier === 1 ? "is" : "are"} kept here too: see \u201ckept\u201d.`;
}

function alarm() {
  const count = log.heldCount();
  $("alarm").hidden = !count;
  if (count) $("alarm-words").textContent = `${count} ${count === 1 ? "entry is" : "entries are"} not kept by this phone: its storage is full or switched off. Go to \u201ckept\u201d and save the file before you close this page.`;
}

function group(selector, key) {
  let most = -1;
  each(selector, () => { most += 1; });
  here[key] = Math.max(0, Math.min(here[key], most));
  each(selector, (one) => { one.hidden = Number(one.getAttribute(`data-${key}`)) !== here[key]; });
  if ($(key)) $(key).value = String(here[key]);
  return most;
}

function show() {
  state = log.counted(log.entries());
  showMark();
  const joists = group("[data-joist]", "joist");
  if ($("joist-back")) {
    $("joist-back").disabled = here.joist <= 0;
    $("joist-next").disabled = here.joist >= joists;
  }
  group("[data-layer]", "layer");
  rows("[data-clip]", "clip", clipWords, (one) => one.how, "clips-left", "clips");
  rows("[data-piece]", "piece", boardWords, (one) => (one.off_along_mm || one.off_across_mm ? "off" : "up"), "boards-left", "pieces");
  showSteps();
  showKept();
  alarm();
}

function part() {
  const wanted = location.hash.slice(2);
  const name = PARTS.indexOf(wanted) < 0 ? PARTS[0] : wanted;
  PARTS.forEach((one) => { $(one).hidden = one !== name; });
  each("nav a", (link) => {
    if (link.getAttribute("href") === `#/${name}`) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  });
  window.scrollTo(0, 0);
}

function copied(way) {
  $("copied").textContent = way ? "Copied: paste them into a message or a note to yourself." : "This browser does not copy: press long on the text below and copy it by hand.";
  if (!way) $("text").parentNode.open = true;
}

function copyByHand() {
  const text = $("text");
  const details = text.parentNode;
  const was = details.open;
  details.open = true;
  text.focus();
  text.select();
  text.setSelectionRange(0, text.value.length);
  let done = false;
  try {
    done = document.execCommand("copy");
  } catch (error) {
    done = false;
  }
  if (done) details.open = was;
  copied(done);
}

facts.walls.forEach((one, at) => {
  const option = element("option", `${nameOf(one)}, tape from ${one.joist ? "wall " : ""}${one.from}`);
  option.value = String(at);
  $("wall").appendChild(option);
});
$("wall").addEventListener("change", () => { say(""); go(Number($("wall").value), 0); });
$("next").addEventListener("click", () => step(1));
$("back").addEventListener("click", () => step(-1));
$("type").addEventListener("click", () => readBar(false));
$("again").addEventListener("click", () => readBar(true));
$("on-mark").addEventListener("click", () => {
  add({ kind: "bar", bar: mark().bar, wall: wall().wall, at_mm: mark().at_mm, again: false }, "Kept: on its mark.");
});
$("other").addEventListener("click", () => {
  const end = otherEnd(mark().bar);
  if (!end) return;
  say(`Wall ${end.wall.wall}: hook the tape at corner ${end.wall.from}.`);
  go(end.w, end.at);
});
["joist", "layer"].forEach((key) => {
  if ($(key)) $(key).addEventListener("change", () => { here[key] = Number($(key).value); log.note("at", here); show(); });
});
[["joist-back", -1], ["joist-next", 1]].forEach((pair) => {
  if ($(pair[0])) $(pair[0]).addEventListener("click", () => { here.joist += pair[1]; log.note("at", here); show(); window.scrollTo(0, 0); });
});
each("[data-clip] button", (button) => button.addEventListener("click", () => {
  readClip(Number(button.parentNode.parentNode.getAttribute("data-clip")), button.getAttribute("data-do"));
}));
each("[data-piece] button", (button) => button.addEventListener("click", () => {
  readBoard(button.parentNode.parentNode.getAttribute("data-piece"), button.getAttribute("data-do"));
}));
each("[data-step]", (row) => {
  const title = row.getAttribute("data-step");
  const box = row.querySelector("input[type=checkbox]");
  box.addEventListener("change", () => add({ kind: "step", step: title, done: box.checked }, ""));
  const field = row.querySelector("[data-measured]");
  const figure = row.querySelector("[data-figure]");
  if (field) {
    field.value = drafts.of(holdPlace(title));
    field.addEventListener("input", () => {
      drafts.put(holdPlace(title), field.value.trim() ? field.value : "");
      show();
    });
  }
  if (figure) figure.addEventListener("click", () => readHold(title, row.querySelector(".within").textContent));
  Array.prototype.forEach.call(row.querySelectorAll("[data-hold]"), (button) => button.addEventListener("click", () => {
    const within = button.getAttribute("data-hold") === "in";
    const held = lastOf(holdPlace(title));
    const measured = field ? field.value.trim() || (held ? held.measured : "") : held ? held.measured : "";
    if (!measured) {
      row.querySelector(".state").textContent = field ? "Write what was measured first." : "Type what was measured first.";
      (field || figure).focus();
      return;
    }
    const entry = { kind: "hold", step: title, measured, within };
    if (!field && typeof held.value === "number") {
      entry.value = held.value;
      entry.unit = held.unit;
    }
    if (field) field.value = "";
    drafts.put(holdPlace(title), "");
    add(entry, "");
  }));
});
$("file").addEventListener("click", () => {
  const entries = log.entries();
  log.note("taken", entries.length ? entries[entries.length - 1].n : 0);
  setTimeout(show, 0);
});
$("copy").addEventListener("click", () => {
  if (navigator.clipboard && navigator.clipboard.writeText) navigator.clipboard.writeText($("text").value).then(() => copied(true), copyByHand);
  else copyByHand();
});
if (navigator.share) {
  $("send").hidden = false;
  $("send").addEventListener("click", () => {
    navigator.share({ title: `Readings of ${facts.room}`, text: $("text").value }).catch(() => { $("copied").textContent = "Nothing was sent."; });
  });
}
window.addEventListener("hashchange", part);
const refresh = () => { log.flush(); show(); };
window.addEventListener("storage", refresh);
window.addEventListener("focus", refresh);
window.addEventListener("beforeunload", (event) => {
  if (log.flush()) return undefined;
  event.preventDefault();
  event.returnValue = "";
  return "";
});
document.body.classList.add("live");
log.flush();
localWords(document.querySelector("main"));
part();
show();
