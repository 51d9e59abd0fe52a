"use strict";
// The log: every entry is written once under a key of its own and never written again, so that two tabs cannot overwrite each other
// and a full store loses nothing that stands in it. What the store refuses is held here and in the name of the window, which a reload
// leaves alone. Words of 2015 only: the phone may be old.
const facts = JSON.parse(document.getElementById("facts").textContent);
const $ = (id) => document.getElementById(id);
const each = (selector, what) => Array.prototype.forEach.call(document.querySelectorAll(selector), what);

const log = (() => {
  const FIRST = "stillroom|";
  const HELD = "stillroom-held:";
  const LETTERS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ";
  const stamp = facts.stamp || "";
  const prefix = `${FIRST}${facts.room}|${stamp}|`;
  let tab = "";
  for (let i = 0; i < 6; i += 1) tab += LETTERS.charAt(Math.floor(Math.random() * LETTERS.length));
  let count = 0;
  let held = [];

  const isEntry = (one) => Boolean(one) && typeof one === "object" && typeof one.read === "string" && typeof one.kind === "string";
  const parsed = (text) => {
    try {
      return JSON.parse(text);
    } catch (error) {
      return null;
    }
  };
  const own = (one) => one.room === facts.room && one.stamp === stamp;

  if (window.name.indexOf(HELD) === 0) {
    const found = parsed(window.name.slice(HELD.length));
    if (Array.isArray(found)) held = found.filter(isEntry);
  }

  function keys() {
    const found = [];
    try {
      for (let i = 0; i < localStorage.length; i += 1) found.push(localStorage.key(i));
    } catch (error) {
      return [];
    }
    return found;
  }

  function item(key) {
    try {
      return localStorage.getItem(key);
    } catch (error) {
      return null;
    }
  }

  // Readings as pages before this one kept them: one key a room, without a stamp.
  function older(key) {
    const found = parsed(item(key));
    if (!found || !Array.isArray(found.readings)) return [];
    const room = key.slice("stillroom ".length).replace(/ \d+$/, "");
    const area = (/\d+$/.exec(key) || ["0"])[0];
    return found.readings.filter(Boolean).map((one, at) => ({
      read: `OLD-${area}-${at + 1}`, n: at + 1, t: 0, kind: "bar", room, stamp: "", bar: one.bar, wall: one.wall, at_mm: one.at_mm, again: false,
    }));
  }

  function everything() {
    const known = {};
    const found = [];
    const add = (one) => {
      const name = `${one.room}|${one.stamp}|${one.read}`;
      if (known[name]) return;
      known[name] = true;
      found.push(one);
    };
    keys().forEach((key) => {
      if (key.indexOf(FIRST) === 0) {
        const one = parsed(item(key));
        if (isEntry(one)) add(one);
      } else if (key.indexOf("stillroom ") === 0) {
        older(key).forEach(add);
      }
    });
    held.forEach(add);
    const order = (a, b) => (a < b ? -1 : a > b ? 1 : 0);
    return found.sort((a, b) => order(a.n, b.n) || order(a.t, b.t) || order(a.read, b.read));
  }

  function saved(one) {
    const key = `${FIRST}${one.room}|${one.stamp}|${one.read}`;
    const text = JSON.stringify(one);
    try {
      localStorage.setItem(key, text);
      return localStorage.getItem(key) === text;
    } catch (error) {
      return false;
    }
  }

  function flush() {
    held = held.filter((one) => !saved(one));
    try {
      if (held.length) window.name = HELD + JSON.stringify(held);
      else if (window.name.indexOf(HELD) === 0) window.name = "";
    } catch (error) {
      // The entries stay in memory, and the page says so.
    }
    return held.length === 0;
  }

  // Adds an entry; whether the phone keeps it.
  function add(words) {
    const entries = everything().filter(own);
    count += 1;
    const one = { read: `${tab}-${count}`, n: entries.length ? entries[entries.length - 1].n + 1 : 1, t: Date.now(), room: facts.room, stamp };
    if (facts.revision) one.revision = facts.revision;
    Object.keys(words).forEach((key) => { one[key] = words[key]; });
    held.push(one);
    return flush();
  }

  const placeOf = (one) => `${one.kind}|${one.kind === "bar" ? `${one.bar}|${one.wall}` : one.clip || one.piece || one.step}`;

  // What counts: an entry taken back does not, of several of one place the last one does, second tapes with the one they repeat.
  function counted(entries) {
    const back = {};
    entries.forEach((one) => { if (one.kind === "withdrawn") back[one.of] = true; });
    const state = {};
    const places = {};
    entries.forEach((one) => {
      if (one.kind === "withdrawn") return;
      if (back[one.read]) {
        state[one.read] = "taken back";
        return;
      }
      const place = placeOf(one);
      if (one.kind === "bar" && one.again && places[place]) {
        places[place].push(one);
      } else {
        (places[place] || []).forEach((old) => { state[old.read] = "replaced"; });
        places[place] = [one];
      }
      state[one.read] = "counts";
    });
    return { state, places };
  }

  // The file of entries that `stillroom take-in` reads.
  function file(entries) {
    const first = entries[0] || { room: facts.room, stamp, revision: facts.revision };
    const { state } = counted(entries);
    const text = (words) => JSON.stringify(String(words).replace(/\u007f/g, ""));
    const line = (key, value) => (value === undefined || value === null || value === "" ? "" : `${key} = ${typeof value === "string" ? text(value) : value}\n`);
    const two = (part) => (part < 10 ? `0${part}` : String(part));
    const when = (t) => {
      const d = new Date(t);
      return t ? `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())} ${two(d.getHours())}:${two(d.getMinutes())}, ` : "";
    };
    const head = `# Readings of the site page.\nformat = 2\n${line("room", first.room)}${line("revision", first.revision)}${line("stamp", first.stamp)}`;
    return head + entries.map((one) => {
      if (one.kind === "withdrawn") return `\n# ${when(one.t)}taken back\n[[as_built.withdrawn]]\n${line("read", one.of)}`;
      let body = "";
      if (one.kind === "bar") body = line("bar", one.bar) + line("wall", one.wall) + line("at_mm", one.at_mm) + (one.again ? "again = true\n" : "");
      if (one.kind === "clip") body = line("clip", one.clip) + (one.how === "skipped" ? "skipped = true\n" : line("along_mm", one.along_mm)) + line("why", one.why);
      if (one.kind === "board") body = line("piece", one.piece) + line("off_along_mm", one.off_along_mm) + line("off_across_mm", one.off_across_mm);
      if (one.kind === "step") body = line("step", one.step) + line("done", one.done);
      if (one.kind === "hold") body = line("step", one.step) + line("measured", one.measured) + line("within", one.within);
      return body && `\n# ${when(one.t)}${state[one.read]}\n[[as_built.${one.kind}]]\n${body}${line("read", one.read)}`;
    }).join("");
  }

  // Entries of other rooms and other layouts on this phone, a list each.
  function others() {
    const groups = {};
    everything().filter((one) => !own(one)).forEach((one) => {
      const name = `${one.room}|${one.stamp}`;
      groups[name] = groups[name] || [];
      groups[name].push(one);
    });
    return Object.keys(groups).sort().map((name) => groups[name]);
  }

  const note = (key, value) => {
    try {
      localStorage.setItem(`stillroom-${key}|${prefix}`, JSON.stringify(value));
    } catch (error) {
      // Where one was on the page may be forgotten.
    }
  };
  const noted = (key) => parsed(item(`stillroom-${key}|${prefix}`));

  return { add, flush, counted, file, others, note, noted, entries: () => everything().filter(own), heldCount: () => held.length };
})();
