// Figures of a unit that is no length: how one is shown and how it is typed.
const plain = (unit) => ({
  words: (value) => local(`${value}\u00a0${unit}`),
  keys: ["1", "2", "3", "4", "5", "6", "7", "8", "9", "\u2190", "0", "."],
  takes: /^[0-9.]$/,
  once: ".",
  longest: 7,
  shown: (typed) => local(`${typed}\u00a0${unit}`),
  typed: (value) => String(value),
  ask: `Type the figure in ${unit} first.`,
  read: (typed) => Number(typed),
});

// What was typed and not kept yet stays on the phone at every key, by the place it belongs to, and stands there again.
const drafts = {
  of: (place) => log.noted(`typed|${place}`) || "",
  put: (place, typed) => { if (place) log.note(`typed|${place}`, typed || ""); },
};

// The keypad and the short questions. One is open at a time, and nothing counts before "keep it".
const asks = (() => {
  let open = null;
  let typed = "";
  let way = 0;
  let from = null;

  function show() {
    $("typed").textContent = typed ? open.sort.shown(typed) : "\u00a0";
    each("#ways button", (button) => button.setAttribute("aria-pressed", String(Number(button.value) === way)));
  }

  function button(words, press) {
    const one = document.createElement("button");
    one.type = "button";
    one.textContent = words;
    one.addEventListener("click", press);
    return one;
  }

  function begin(title, sort) {
    $("ask").className = sort;
    from = document.activeElement;
    $("asked").textContent = title;
    $("ask-said").textContent = "";
    $("ways").textContent = "";
    $("choices").textContent = "";
    $("cover").hidden = false;
    $("ask").hidden = false;
    $("asked").focus();
  }

  function end() {
    open = null;
    $("cover").hidden = true;
    $("ask").hidden = true;
    if (from && from.focus) from.focus();
  }

  // Asks for a figure; `check` may say once what looks wrong, and the second "keep it" keeps it.
  function figure(title, ways, check, done, place, sort) {
    begin(title, "figure");
    open = { check, done, place, sort: sort || lengths, warned: "" };
    typed = place ? drafts.of(place) : "";
    pad();
    way = ways ? 1 : 0;
    ["pad", "typed", "keep"].forEach((id) => { $(id).hidden = false; });
    (ways || []).forEach((words, at) => {
      const one = button(words, () => { way = at ? 1 : -1; show(); });
      one.value = String(at ? 1 : -1);
      $("ways").appendChild(one);
    });
    $("ways").hidden = !ways;
    show();
  }

  // Asks for one of some answers.
  function choice(title, answers, done) {
    begin(title, "choice");
    ["pad", "typed", "keep", "ways"].forEach((id) => { $(id).hidden = true; });
    answers.forEach((words) => $("choices").appendChild(button(words, () => { end(); done(words); })));
  }

  function pad() {
    $("pad").textContent = "";
    open.sort.keys.forEach((key) => {
      const one = button(key === "." ? decimal : key, () => press(key));
      if (key === "\u2190") one.setAttribute("aria-label", "take the last figure back");
      $("pad").appendChild(one);
    });
  }

  // Left on purpose, what was typed is dropped.
  function leave() {
    if (open) drafts.put(open.place, "");
    end();
    refresh();
  }

  function press(key) {
    const sign = key === "space" ? " " : key;
    if (key === "\u2190") typed = typed.slice(0, -1);
    else if (open.sort.once.indexOf(sign) < 0 || typed.indexOf(sign) < 0) typed = (typed + sign).slice(0, open.sort.longest);
    drafts.put(open.place, typed);
    $("ask-said").textContent = "";
    show();
  }

  function keep() {
    if (!open) return;
    const value = open.sort.read(typed);
    if (!typed || !isFinite(value)) {
      $("ask-said").textContent = open.sort.ask;
      return;
    }
    const signed = way < 0 ? -value : value;
    const wrong = open.check ? open.check(signed) : null;
    if (wrong && (wrong.never || open.warned !== typed)) {
      open.warned = typed;
      $("ask-said").textContent = wrong.words + (wrong.never ? "" : " Press \u201ckeep it\u201d again if it is so.");
      return;
    }
    const done = open.done;
    drafts.put(open.place, "");
    end();
    done(signed);
  }

  $("keep").addEventListener("click", keep);
  $("leave").addEventListener("click", leave);
  $("cover").addEventListener("click", end);
  document.addEventListener("keydown", (event) => {
    if ($("ask").hidden) return;
    if (event.key === "Escape") end();
    else if (!$("pad").hidden && open.sort.takes.test(event.key)) {
      // A space would press the button that has the focus, and a slash search the page.
      event.preventDefault();
      press(event.key);
    }
    else if (!$("pad").hidden && event.key === ",") press(".");
    else if (!$("pad").hidden && event.key === "Backspace") press("\u2190");
    else if (event.key === "Tab") {
      // The focus stays within what is asked.
      const all = Array.prototype.filter.call($("ask").querySelectorAll("button"), (one) => one.offsetParent !== null);
      const last = all[all.length - 1];
      if (event.shiftKey && document.activeElement === all[0]) { last.focus(); event.preventDefault(); }
      else if (!event.shiftKey && document.activeElement === last) { all[0].focus(); event.preventDefault(); }
    }
  });
  return { figure, choice };
})();
