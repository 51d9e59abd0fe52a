//! The page in a real browser at three widths: edits, a board swapped, a bar dragged into a breach, undo; nothing in the console,
//! no request that leaves this machine, no serious finding of the accessibility rules.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "a test stops at what it did not expect, and says what it skips"
)]

mod driver;
mod walk;

use std::fs;

use driver::{
    Browser, DEMO, Room,
    rules::{accessibility_rules, serious},
};

const READY: &str =
    "document.body.dataset.busy !== 'yes' && document.documentElement.classList.contains('live')";
const SHEETS: [&str; 10] =
    ["room", "built", "heard", "choose", "ceiling", "fabric", "order", "steps", "proof", "file"];

#[test]
fn the_page_is_worked_with_at_1440() {
    worked_with(1440);
}

#[test]
fn the_page_is_worked_with_at_820() {
    worked_with(820);
}

#[test]
fn the_page_is_worked_with_at_390() {
    worked_with(390);
}

#[test]
fn corners_layers_and_recordings_at_1440() {
    walk::walked(1440);
}

#[test]
fn corners_layers_and_recordings_at_820() {
    walk::walked(820);
}

#[test]
fn corners_layers_and_recordings_at_390() {
    walk::walked(390);
}

#[test]
fn the_room_is_listened_to_without_interruption() {
    walk::listened();
}

fn worked_with(width: u32) {
    let Some(room) = Room::open(&width.to_string()) else { return };
    let Some(browser) = Browser::open(width) else { return };
    let home = room.address.split("/?").next().unwrap().to_owned();
    browser.go(&room.address);
    browser.wait_for("the first layout", READY);
    assert!(browser.run("return document.querySelectorAll('.verdict').length").as_u64().unwrap() >= 8);

    // Each verdict leads to what it speaks of, and how many do not hold stands beside them.
    let lost = browser.run("return [...document.querySelectorAll('a.verdict')].map((one) => one.getAttribute('href')).filter((one, at, all) => one === '/heard' || (one.startsWith('/heard') && all.indexOf(one) !== at))");
    assert_eq!(lost, serde_json::json!([]));
    let words = browser
        .run("return document.querySelector('.brand .count').textContent")
        .as_str()
        .unwrap()
        .to_owned();
    let counted =
        browser.run("return document.querySelectorAll('.verdict:not(.holds)').length").as_u64().unwrap();
    let told: u64 = words
        .split(" of ")
        .next()
        .unwrap()
        .split(", ")
        .map(|part| part.split(' ').next().unwrap().parse::<u64>().unwrap())
        .sum();
    assert_eq!(told, counted, "{words}");
    browser.run("document.querySelector('a.verdict[href=\"/room#heights\"]').click()");
    browser.wait_for(
        "the heights",
        "document.getElementById('heights').getBoundingClientRect().top < innerHeight",
    );
    browser.go(&format!("{home}/room"));
    browser.wait_for("the room", READY);

    // A tape: written with everything else as it was, and back again.
    browser.type_over("#f-survey-tape-2-ceiling_mm", "4236");
    room.wait_for(&DEMO.replacen("ceiling_mm = 4232", "ceiling_mm = 4236", 1));
    browser.wait_for("the page", &format!("document.body.dataset.took && {READY}"));

    // Who goes on by the tabulator types over the whole of the next field, though the page was drawn anew meanwhile.
    browser.run("delete document.body.dataset.took");
    browser.type_over("#f-survey-tape-1-ceiling_mm", "3870");
    room.wait_for_words("ceiling_mm = 3870");
    browser.wait_for("the page", &format!("document.body.dataset.took && {READY}"));
    let marked = browser.run(
        "const next = document.activeElement; return [next.id, next.value.slice(next.selectionStart, next.selectionEnd)]",
    );
    assert_eq!(marked, serde_json::json!(["f-survey-tape-1-floor_mm", "3866"]));
    browser.run("document.body.dataset.was = document.body.dataset.version");
    browser.click(".turns button");
    browser.wait_for("the text before", "document.body.dataset.was !== document.body.dataset.version");

    // What is no number stays in its field, and the file as it is.
    browser.type_over("#f-survey-tape-3-ceiling_mm", "about 1400");
    browser.wait_for("the sentence", "document.querySelector('[aria-invalid]') && document.querySelector('[role=alert]').textContent.includes('is no number')");
    assert!(!room.text().contains("about"));
    browser.picture(&format!("refused-{width}"));

    // A board swapped, by its list of materials.
    browser.go(&format!("{home}/built"));
    browser.wait_for("the layers", READY);
    browser.run("const list = document.getElementById('f-buildup-0-layer-6-material'); list.value = 'plasterboard-15'; list.dispatchEvent(new Event('change', { bubbles: true }));");
    browser.wait_for("the board", "document.getElementById('f-buildup-0-layer-6-material').value === 'plasterboard-15' && document.body.dataset.took");
    browser.wait_for("the layout", READY);
    room.wait_for_words("material = \"plasterboard-15\"");
    browser.wait_for("the layout", READY);

    // A bar dragged into a breach: told, and nothing written.
    browser.go(&format!("{home}/ceiling"));
    browser.wait_for("the ceiling", READY);
    let before = room.text();
    let at = browser.run(
        "const bar = document.querySelector('#bar-5'); bar.scrollIntoView({ block: 'center', inline: 'center', behavior: 'instant' }); \
         const box = bar.querySelector('.hit').getBoundingClientRect(); const y = box.top + box.height / 2; \
         for (let x = Math.max(box.left, 0) + 4; x < Math.min(box.right, innerWidth); x += 3) { \
         const met = document.elementFromPoint(x, y); if (met && met.closest('#bar-5')) return [x, y]; } return null",
    );
    assert!(at.is_array(), "bar 5 can be taken hold of at {width}");
    let place = (at[0].as_f64().unwrap(), at[1].as_f64().unwrap());
    browser.drag(place, (0.0, -34.0));
    browser.wait_for("the breach", "document.querySelector('#tried .boxed li')");
    browser.picture(&format!("breach-{width}"));
    assert_eq!(room.text(), before);
    // The same by the keyboard alone.
    browser.go(&format!("{home}/ceiling"));
    browser.wait_for("the ceiling", READY);
    browser.run("document.querySelector('#bar-6').focus(); document.querySelector('#bar-6').dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowUp', shiftKey: true, bubbles: true }))");
    browser.wait_for("the trial", "document.querySelector('#tried [role=status]') && document.querySelector('#tried [role=status]').textContent.includes('Bar 6')");

    // Undo, twice: the file is the one the test began with.
    for _ in 0..2 {
        browser.wait_for("undo", "!document.querySelector('.turns button').disabled");
        browser.run("document.body.dataset.was = document.body.dataset.version");
        browser.click(".turns button");
        browser.wait_for("the text before", "document.body.dataset.was !== document.body.dataset.version");
    }
    assert_eq!(room.text(), DEMO);

    // A price that is missing is given beside the others, and taken back.
    browser.go(&format!("{home}/order"));
    browser.wait_for("the order", READY);
    browser.type_over("#f-missing-0", "2.75");
    room.wait_for_words("[[stock.price]]");
    browser.wait_for("its own field", "document.getElementById('f-stock-price-0-price')");
    browser.picture(&format!("priced-{width}"));
    browser.run("document.body.dataset.was = document.body.dataset.version");
    browser.click(".turns button");
    browser.wait_for("the text before", "document.body.dataset.was !== document.body.dataset.version");
    assert_eq!(room.text(), DEMO);

    // A change by another program is noticed without being asked.
    fs::write(room.folder.join("room.toml"), DEMO.replace("money = 2600", "money = 1200")).unwrap();
    browser.wait_for("the notice", "document.querySelector('.notice') && document.querySelector('.notice').textContent.includes('Another program')");

    let rules = accessibility_rules();
    for sheet in SHEETS {
        browser.go(&format!("{home}/{sheet}"));
        browser.wait_for(sheet, READY);
        browser.picture(&format!("{sheet}-{width}"));
        let wide = browser.run("return document.documentElement.scrollWidth - innerWidth").as_i64().unwrap();
        assert!(wide <= 0, "{sheet} is {wide} pixels wider than a window of {width}");
        if sheet == "order" {
            let seen = browser.run("return [...document.querySelectorAll('.order th, .order td')].every((one) => one.getBoundingClientRect().right <= innerWidth)");
            assert_eq!(seen, true, "name, need and price of the order are in sight at {width}");
        }
        if let Some(rules) = &rules {
            serious(&browser, rules, &format!("{sheet} at {width}"));
        }
    }
    let errors = browser.console_errors();
    assert!(errors.is_empty(), "{errors:?}");
    let left: Vec<String> = browser
        .requests()
        .into_iter()
        .filter(|address| {
            !address.starts_with(&home) && !address.starts_with("data:") && !address.starts_with("chrome")
        })
        .collect();
    assert!(left.is_empty(), "requests left this machine: {left:?}");
}
