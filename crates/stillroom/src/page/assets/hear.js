// Every version of a sound is decoded, all are started together, and one of them is let through: switching only fades.
"use strict";

const FADE_S = 0.06;
const hearing = { context: null, sounds: null, voices: [], chosen: null, playing: false, making: false, began: 0, place: null, version: null };

const hearPart = (name) => document.querySelector(`#hear [data-part=${name}]`);

function knowsVolume() {
  try { return localStorage.getItem("volume") === "set"; } catch { return false; }
}

async function decoded(sound) {
  const answer = await fetch(sound.address, { credentials: "same-origin" });
  if (!answer.ok) throw new Error(await answer.text());
  return hearing.context.decodeAudioData(await answer.arrayBuffer());
}

// Asks until they are made, or until somebody stops it; each answer says how far they have come.
const ASKED_EVERY_MS = 250;

async function soundsMade() {
  let answer = await fetch("/sounds", { method: "POST", credentials: "same-origin" });
  for (;;) {
    if (!answer.ok) throw new Error(await answer.text());
    const sounds = await answer.json();
    if (!sounds.state) return sounds;
    if (sounds.state === "none") return null;
    // Another sheet may have taken the place of the one it was asked on.
    if (hearPart("making")) {
      hearPart("making").hidden = false;
      hearPart("start").hidden = true;
      hearPart("far").textContent = sounds.words;
      hearPart("bar").max = sounds.of || 1;
      hearPart("bar").value = sounds.done;
    }
    await new Promise((later) => setTimeout(later, ASKED_EVERY_MS));
    answer = await fetch("/sounds", { credentials: "same-origin" });
  }
}

async function makeSounds() {
  if (hearing.making) return;
  hearing.making = true;
  hearPart("start").disabled = true;
  hearPart("say").textContent = document.getElementById("hear").dataset.making;
  const version = document.body.dataset.version;
  let made = null;
  let failed = false;
  try {
    made = await soundsMade();
  } catch {
    failed = true;
  }
  hearing.making = false;
  const box = document.getElementById("hear");
  if (!box) return;
  hearPart("making").hidden = true;
  hearPart("start").hidden = false;
  hearPart("start").disabled = false;
  hearPart("say").textContent = failed ? box.dataset.failed : "";
  if (!made) {
    if (hearPart("start")) hearPart("start").focus();
    return;
  }
  try {
    hearing.sounds = made;
    hearing.version = version;
    hearing.place = hearing.sounds.places.find((one) => one.receiver === box.dataset.receiver) || hearing.sounds.places[0];
    if (!hearing.place) {
      hearPart("say").textContent = box.dataset.nobody;
      return;
    }
    hearing.context = hearing.context || new AudioContext();
    box.dataset.state = "loading";
    const buffers = await Promise.all(hearing.place.sounds.map(decoded));
    hearing.voices = hearing.place.sounds.map((sound, at) => ({ sound, buffer: buffers[at], gain: null, source: null }));
    // Not every place has every version.
    if (!hearing.voices.some((voice) => voice.sound.id === hearing.chosen)) hearing.chosen = "planned";
    showHearing();
  } catch {
    hearPart("say").textContent = box.dataset.failed;
  }
}

// All begin at the same moment and go round together.
function play() {
  stopHearing();
  const context = hearing.context;
  context.resume();
  hearing.began = context.currentTime + 0.05;
  for (const voice of hearing.voices) {
    voice.gain = new GainNode(context, { gain: voice.sound.id === hearing.chosen ? 1 : 0 });
    voice.source = new AudioBufferSourceNode(context, { buffer: voice.buffer, loop: true });
    voice.source.connect(voice.gain).connect(context.destination);
    voice.source.start(hearing.began);
  }
  hearing.playing = true;
}

function stopHearing() {
  for (const voice of hearing.voices) {
    if (voice.source) voice.source.stop();
    voice.source = null;
  }
  hearing.playing = false;
}

function choose(id) {
  hearing.chosen = id;
  if (!hearing.playing) return;
  const now = hearing.context.currentTime;
  for (const voice of hearing.voices) {
    const gain = voice.gain.gain;
    gain.cancelScheduledValues(now);
    gain.setValueAtTime(gain.value, now);
    gain.linearRampToValueAtTime(voice.sound.id === id ? 1 : 0, now + FADE_S);
  }
}

async function playPhrase() {
  hearing.context.resume();
  const source = new AudioBufferSourceNode(hearing.context, { buffer: await decoded(hearing.sounds.phrase) });
  source.connect(hearing.context.destination);
  source.start();
}

function showHearing() {
  const box = document.getElementById("hear");
  if (!box) return;
  // Another plan sounds otherwise.
  if (hearing.voices.length && hearing.version !== document.body.dataset.version) {
    stopHearing();
    hearing.voices = [];
    hearPart("say").textContent = box.dataset.changed;
  }
  const ready = hearing.voices.length > 0 && hearing.place && hearing.place.receiver === box.dataset.receiver;
  box.dataset.state = ready ? (knowsVolume() ? "ready" : "caution") : "none";
  hearPart("start").hidden = ready;
  hearPart("caution").hidden = !ready || knowsVolume();
  hearPart("play").hidden = !ready || !knowsVolume();
  if (!ready) {
    if (hearing.playing) stopHearing();
    return;
  }
  hearPart("words").textContent = hearing.sounds.caution;
  const list = hearPart("list");
  if (!list.querySelector("input")) {
    for (const { sound } of hearing.voices) {
      const label = document.createElement("label");
      const radio = Object.assign(document.createElement("input"), { type: "radio", name: "heard", value: sound.id, id: `hear-${sound.id}` });
      radio.checked = sound.id === hearing.chosen;
      const level = document.createElement("b");
      level.textContent = sound.level;
      label.append(radio, ` ${sound.name} `, level);
      list.append(label);
    }
  }
  hearPart("turn").textContent = hearing.playing ? box.dataset.stop : box.dataset.play;
}

document.addEventListener("change", (event) => { if (event.target.name === "heard") choose(event.target.value); });
document.addEventListener("click", (event) => {
  const part = event.target.closest && event.target.closest("#hear button");
  if (!part) return;
  if (part.dataset.part === "start") makeSounds();
  if (part.dataset.part === "halt") fetch("/stop-sounds", { method: "POST", credentials: "same-origin" }).catch(() => {});
  if (part.dataset.part === "phrase") playPhrase();
  if (part.dataset.part === "set") {
    try { localStorage.setItem("volume", "set"); } catch { /* it will be asked again */ }
    showHearing();
    hearPart("turn").focus();
  }
  if (part.dataset.part === "turn") {
    if (hearing.playing) stopHearing(); else play();
    showHearing();
  }
});
document.addEventListener("stillroom-drawn", showHearing);
showHearing();
