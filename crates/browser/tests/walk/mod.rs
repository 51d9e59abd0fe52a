//! Further walks through the page: corners and layers dragged, a recording dropped, the room listened to, lengths in feet, keys alone.

mod again;

use std::time::Duration;

use crate::{
    READY, accessibility_rules,
    driver::{Browser, DEMO, Room},
    serious,
};

/// Makes six seconds of noise as a WAV file in the browser and drops it on the form.
const DROP: &str = "const rate = 48000, count = rate * 6; const view = new DataView(new ArrayBuffer(44 + 2 * count)); \
    const word = (at, text) => [...text].forEach((letter, i) => view.setUint8(at + i, letter.charCodeAt(0))); \
    word(0, 'RIFF'); view.setUint32(4, 36 + 2 * count, true); word(8, 'WAVEfmt '); view.setUint32(16, 16, true); view.setUint16(20, 1, true); \
    view.setUint16(22, 1, true); view.setUint32(24, rate, true); view.setUint32(28, 2 * rate, true); view.setUint16(32, 2, true); \
    view.setUint16(34, 16, true); word(36, 'data'); view.setUint32(40, 2 * count, true); let seed = 7; \
    for (let i = 0; i < count; i += 1) { seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0; view.setInt16(44 + 2 * i, Math.trunc(((seed >>> 16) - 32768) * LOUD), true); } \
    const data = new DataTransfer(); data.items.add(new File([view.buffer], '../../x.mp3')); \
    const form = document.getElementById('measured'); \
    for (const kind of ['dragover', 'drop']) form.dispatchEvent(new DragEvent(kind, { dataTransfer: data, bubbles: true, cancelable: true }));";

pub(crate) fn walked(width: u32) {
    let Some(room) = Room::open(&format!("walk-{width}")) else { return };
    let Some(browser) = Browser::open(width) else { return };
    let home = room.address.split("/?").next().unwrap().to_owned();
    browser.go(&room.address);
    browser.wait_for("the first layout", READY);
    corner(&browser, &room, width);
    layers(&browser, &room, &home, width);
    proof(&browser, &room, &home, width);
    feet(&browser, &room, &home, width);
    again::stays(&browser, &room, &home);
    let errors = browser.console_errors();
    assert!(errors.is_empty(), "{errors:?}");
}

/// Where an element can be taken hold of.
fn middle(browser: &Browser, id: &str) -> (f64, f64) {
    let at = browser.run(&format!(
        "const group = document.getElementById('{id}'); (group.id.startsWith('layer') ? group.closest('svg') : group).scrollIntoView({{ block: 'center', inline: 'center', behavior: 'instant' }}); \
         const box = group.querySelector('.hit').getBoundingClientRect(); \
         for (let y = box.top + 1; y < box.bottom; y += 2) for (let x = Math.max(box.left, 0) + 1; x < Math.min(box.right, innerWidth); x += 3) {{ \
         const met = document.elementFromPoint(x, y); if (met && met.closest('#{id}')) return [x, y]; }} return null"
    ));
    assert!(at.is_array(), "{id} can be taken hold of");
    (at[0].as_f64().unwrap(), at[1].as_f64().unwrap())
}

fn undo(browser: &Browser) {
    browser.wait_for("undo", "!document.querySelector('.turns button').disabled");
    browser.run("document.body.dataset.was = document.body.dataset.version");
    browser.click(".turns button");
    browser.wait_for("the text before", "document.body.dataset.was !== document.body.dataset.version");
}

fn corner(browser: &Browser, room: &Room, width: u32) {
    let at = middle(browser, "corner-C");
    browser.drag(at, (14.0, 10.0));
    browser.wait_for(
        "the tapes of the corner",
        "document.querySelector('#tried form[action=\"/corner\"] tbody tr')",
    );
    browser.picture(&format!("corner-{width}"));
    if let Some(rules) = accessibility_rules() {
        serious(browser, &rules, &format!("a corner tried at {width}"));
    }
    assert_eq!(room.text(), DEMO, "nothing is written while a corner is only dragged");
    browser.run("document.querySelector('#tried form[action=\"/corner\"] button').click()");
    browser.wait_for("the tapes rewritten", "!document.querySelector('.turns button').disabled");
    assert_ne!(room.text(), DEMO);
    browser.wait_for("the layout", READY);
    undo(browser);
    room.wait_for(DEMO);
}

fn layers(browser: &Browser, room: &Room, home: &str, width: u32) {
    browser.go(&format!("{home}/built"));
    browser.wait_for("the layers", READY);
    // Thickened.
    browser.type_over("#f-buildup-0-layer-4-depth_mm", "60");
    browser.wait_for("the cavity", "document.getElementById('f-buildup-0-layer-4-depth_mm').value === '60' && document.body.dataset.took");
    assert_ne!(room.text(), DEMO);
    undo(browser);
    room.wait_for(DEMO);
    // Dragged on another, with a mouse; a finger scrolls there, and has the arrows.
    browser.wait_for("the layout", READY);
    let swapped = "document.querySelector('#f-buildup-0-layer-6-material').value !== window.first";
    browser.run("window.first = document.querySelector('#f-buildup-0-layer-6-material').value");
    if width > 1000 {
        // The drawing stands still meanwhile: its middle is in sight for both.
        middle(browser, "layer-5");
        let (from, to) = (middle(browser, "layer-6"), middle(browser, "layer-5"));
        browser.drag(from, (to.0 - from.0, to.1 - from.1));
    } else {
        browser.run("document.querySelector('tr[data-for~=layer-6] .acts button:nth-child(1)').click()");
    }
    browser.wait_for("the layers swapped", swapped);
    browser.picture(&format!("swapped-{width}"));
    undo(browser);
    room.wait_for(DEMO);
}

fn proof(browser: &Browser, room: &Room, home: &str, width: u32) {
    browser.go(&format!("{home}/proof"));
    browser.wait_for("the form", READY);
    browser.run("document.querySelector('[name=chain]').value = 'phone, gain fixed'");
    browser.run(&DROP.replace("LOUD", "0.5"));
    browser.wait_for(
        "the recording inside",
        &format!("document.querySelectorAll('table.measured tbody tr').length === 1 && {READY}"),
    );
    browser.run("document.querySelector('[name=chain]').value = 'phone, gain fixed'; document.querySelector('[name=what]').value = 'receiver'");
    browser.run(&DROP.replace("LOUD", "0.002"));
    browser.wait_for(
        "what came of it",
        &format!("document.querySelector('#explained') && document.querySelector('.proved svg') && {READY}"),
    );
    browser.picture(&format!("proved-{width}"));
    let text = room.text();
    assert!(text.starts_with(DEMO) && text.contains("file = \"recordings/after-inside-1.wav\""), "{text}");
    assert!(room.folder.join("recordings/after-inside-1.wav").exists());
    // Without the device: asked for before anything is sent, and what was chosen stays chosen.
    browser.run("document.querySelector('[name=chain]').value = ''");
    browser.run(&DROP.replace("LOUD", "0.002"));
    browser.wait_for(
        "the question",
        "document.getElementById('chain-how').textContent.includes('Fill in') && document.activeElement.name === 'chain' && document.querySelector('[name=recording]').files.length === 1",
    );
    assert_eq!(room.text(), text);
    // The wrong thing: a sentence, and the file as it was.
    browser.run("document.querySelector('[name=chain]').value = 'phone, gain fixed'");
    browser.run(
        "const data = new DataTransfer(); data.items.add(new File(['Tuesday, by the door'], 'notes.wav')); \
         document.getElementById('measured').dispatchEvent(new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true }))",
    );
    browser.wait_for(
        "the sentence",
        "[...document.querySelectorAll('[role=alert]')].some((one) => one.textContent.includes('notes.wav'))",
    );
    assert_eq!(room.text(), text);
    if let Some(rules) = accessibility_rules() {
        serious(browser, &rules, &format!("proof with measurements at {width}"));
    }
    // Without scripts a form could be sent again by reloading; here the page is asked for anew.
    browser.go(&format!("{home}/proof"));
    undo(browser);
    undo(browser);
    room.wait_for(DEMO);
}

fn feet(browser: &Browser, room: &Room, home: &str, width: u32) {
    browser.go(&format!("{home}/room"));
    browser.wait_for("the room", READY);
    browser.click("form[action='/lengths'] button");
    browser.wait_for(
        "feet and inches",
        "document.getElementById('f-survey-tape-2-ceiling_mm').value.includes('\"')",
    );
    browser.picture(&format!("feet-{width}"));
    assert_eq!(room.text(), DEMO, "showing in feet changes nothing");
    browser.type_over("#f-survey-tape-2-ceiling_mm", "13' 10 3/4\"");
    room.wait_for(&DEMO.replacen("ceiling_mm = 4232", "ceiling_mm = 4235.45", 1));
    browser.wait_for("the page", &format!("document.body.dataset.took && {READY}"));
    undo(browser);
    room.wait_for(DEMO);
    // Sent as a browser without scripts sends it.
    browser.run("document.querySelector('form[action=\"/lengths\"]').submit()");
    browser.wait_for("millimetres", "document.getElementById('f-survey-tape-2-ceiling_mm') && document.getElementById('f-survey-tape-2-ceiling_mm').value === '4232'");
}

/// The sounds are made, started together, and switched between without being interrupted.
pub(crate) fn listened() {
    let Some(room) = Room::open("listen") else { return };
    let Some(browser) = Browser::open(1440) else { return };
    let home = room.address.split("/?").next().unwrap().to_owned();
    browser.go(&room.address);
    browser.wait_for("the first layout", READY);
    browser.go(&format!("{home}/heard"));
    browser.wait_for("the page", READY);
    // How far the sounds have come is shown, and their making can be stopped and begun again.
    browser.click("#hear [data-part=start]");
    browser.wait_for("the progress", "!document.querySelector('#hear [data-part=making]').hidden && document.querySelector('#hear [data-part=bar]').max > 1 && document.querySelector('#hear [data-part=far]').textContent.includes(' of ')");
    browser.picture("hear-making");
    browser.click("#hear [data-part=halt]");
    browser.wait_for("the end of it", "document.querySelector('#hear [data-part=making]').hidden && !document.querySelector('#hear [data-part=start]').hidden && !document.querySelector('#hear [data-part=start]').disabled");
    browser.click("#hear [data-part=start]");
    // All the sounds are made now: a minute and more where other tests have the machine.
    browser.wait_long_for("the caution", "document.getElementById('hear').dataset.state === 'caution' && document.querySelector('#hear [data-part=words]').textContent.includes('volume')", Duration::from_mins(3));
    browser.picture("caution");
    browser.click("#hear [data-part=set]");
    browser.wait_for("the sounds", "document.getElementById('hear').dataset.state === 'ready'");
    browser.click("#hear [data-part=turn]");
    browser.wait_for("playing", "hearing.playing && hearing.context.currentTime > hearing.began");
    browser.picture("hear");
    browser.run("window.sources = hearing.voices.map((voice) => voice.source); window.began = hearing.began; for (const source of window.sources) source.onended = () => { window.broken = true; }");
    let gains = "Object.fromEntries(hearing.voices.map((voice) => [voice.sound.id, voice.gain.gain.value]))";
    let before = browser.run(&format!("return {gains}"));
    assert_eq!((before["planned"].as_f64(), before["inside"].as_f64()), (Some(1.0), Some(0.0)), "{before}");
    browser.run("document.getElementById('hear-today').click()");
    browser.wait_for("the fade", &format!("{gains}.today === 1 && {gains}.planned === 0"));
    let still = browser.run("return hearing.playing && !window.broken && hearing.began === window.began && hearing.voices.every((voice, at) => voice.source === window.sources[at])");
    assert_eq!(still, true, "a switch does not interrupt");
    // All are equally long: they stay together however often they go round.
    let lengths =
        browser.run("return [...new Set(hearing.voices.map((voice) => voice.buffer.length))].length");
    assert_eq!(lengths, 1);
    // The caution is shown once.
    browser.go(&format!("{home}/heard"));
    browser.wait_for("the page", READY);
    browser.click("#hear [data-part=start]");
    browser.wait_for("no caution", "document.getElementById('hear').dataset.state === 'ready'");
    let pdf = browser.run_later(
        "fetch('/dossier.pdf').then((answer) => answer.text()).then((text) => done(text.slice(0, 5)))",
    );
    assert_eq!(pdf, "%PDF-");
    let errors = browser.console_errors();
    assert!(errors.is_empty(), "{errors:?}");
}
