//! The page for the site in a real browser, from a file, without a network: a day of readings at the width of a phone, what the phone
//! does not keep, two tabs, another layout; and the file it gives, taken in.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stderr,
    reason = "a test stops at what it did not expect, and says what it skips"
)]

#[allow(dead_code, reason = "the driver of the other tests as well")]
mod driver;
mod holds;

use std::{
    fs,
    path::{Path, PathBuf},
    process::Command,
    sync::OnceLock,
};

use driver::{
    Browser, DEMO,
    rules::{accessibility_rules, serious},
};
use serde_json::json;

const PARTS: [&str; 6] = ["marks", "clips", "boards", "lists", "steps", "kept"];
/// Injected before anything runs: the store of the phone is there and takes nothing.
const REFUSED: &str = "Storage.prototype.setItem = function () { throw new DOMException('switched off', 'QuotaExceededError'); };";

/// The demo planned once for every test here.
fn sheets() -> Option<&'static Path> {
    static MADE: OnceLock<Option<PathBuf>> = OnceLock::new();
    MADE.get_or_init(|| {
        let program = driver::program()?;
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("site");
        let _ = fs::remove_dir_all(&folder);
        let made = Command::new(program).args(["demo", "--into"]).arg(&folder).output().unwrap();
        assert!(made.status.success(), "{made:?}");
        Some(folder)
    })
    .as_deref()
}

/// The demo in feet and inches, planned once.
fn sheets_in_feet() -> Option<&'static Path> {
    static MADE: OnceLock<Option<PathBuf>> = OnceLock::new();
    MADE.get_or_init(|| {
        let program = driver::program()?;
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("site-feet");
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).unwrap();
        let room = folder.join("room.toml");
        fs::write(&room, in_feet()).unwrap();
        let made = Command::new(program)
            .arg("plan")
            .arg(&room)
            .arg("--out")
            .arg(folder.join("sheets"))
            .output()
            .unwrap();
        assert!(made.status.success(), "{made:?}");
        Some(folder)
    })
    .as_deref()
}

fn in_feet() -> String {
    DEMO.replacen("[project]\n", "[project]\nlengths = \"feet and inches\"\n", 1)
}

/// A phone with the page open.
fn phone(width: u32, height: u32) -> Option<(Browser, String)> {
    let address = format!("file://{}/sheets/site.html", sheets()?.display());
    let browser = Browser::sized(width, height)?;
    browser.go(&address);
    browser.wait_for("the first mark", "document.getElementById('figure').textContent.length > 0");
    Some((browser, address))
}

fn part(browser: &Browser, name: &str) {
    browser.run(&format!("document.querySelector('nav a[href=\"#/{name}\"]').click()"));
    browser.wait_for(name, &format!("!document.getElementById('{name}').hidden"));
}

fn press(browser: &Browser, id: &str) {
    browser.run(&format!("document.getElementById('{id}').click()"));
}

/// A figure on the keypad, and keep it.
fn key_in(browser: &Browser, figure: &str) {
    browser.run(&format!(
        "for (const key of '{figure}') [...document.querySelectorAll('#pad button')].find((one) => one.textContent === key).click(); document.getElementById('keep').click();"
    ));
}

fn text(browser: &Browser, id: &str) -> String {
    browser.run(&format!("return document.getElementById('{id}').textContent")).as_str().unwrap().to_owned()
}

/// What the link saves.
fn file(browser: &Browser) -> String {
    let words = browser
        .run("return decodeURIComponent(document.getElementById('file').href.split(',').slice(1).join(','))");
    words.as_str().unwrap().to_owned()
}

/// To the first mark of a bar, from the first mark of the first wall.
fn to_first_bar(browser: &Browser) {
    part(browser, "marks");
    browser.run("while (document.getElementById('bar').hidden) document.getElementById('next').click();");
}

/// The tables of a list in the file, each as its lines.
fn tables<'a>(file: &'a str, list: &str) -> Vec<&'a str> {
    let head = format!("[[as_built.{list}]]\n");
    file.split("\n\n").filter_map(|one| one.split_once(&head).map(|(_, lines)| lines)).collect()
}

#[test]
fn a_day_on_site() {
    let Some((browser, address)) = phone(390, 844) else { return };
    to_first_bar(&browser);
    let mark: f64 = text(&browser, "figure").replace('\u{202f}', "").parse().unwrap();

    // Mistyped, asked about, kept all the same; corrected; a second tape; the correction stays in the log beside what it replaced.
    press(&browser, "type");
    key_in(&browser, &format!("{}", mark + 77.0));
    assert!(
        text(&browser, "ask-said").contains("77\u{a0}mm from its mark"),
        "{}",
        text(&browser, "ask-said")
    );
    browser.picture("site-ask-390-light");
    press(&browser, "keep");
    press(&browser, "type");
    key_in(&browser, &format!("{}", mark + 4.0));
    press(&browser, "again");
    key_in(&browser, &format!("{}", mark + 6.0));
    assert!(text(&browser, "gap").contains("5\u{a0}mm past its mark"), "{}", text(&browser, "gap"));
    browser.picture("site-marks-read-390-light");
    // Its other end, on its mark.
    press(&browser, "other");
    press(&browser, "on-mark");
    assert!(text(&browser, "gap").contains("on its mark"));

    part(&browser, "clips");
    let press_in = |what: &str| browser.run(&format!("document.querySelector(\"{what}\").click()"));
    press_in("[data-clip='1'] [data-do=fixed]");
    press_in("[data-clip='2'] [data-do=moved]");
    press_in("#ways button:last-child");
    key_in(&browser, "12");
    press_in("[data-clip='3'] [data-do=skipped]");
    browser.picture("site-skipped-390-light");
    press_in("#choices button");
    press_in("[data-clip='4'] [data-do=fixed]");
    press_in("[data-clip='4'] [data-do=skipped]");
    press(&browser, "leave");

    part(&browser, "boards");
    press_in("[data-piece='1-01'] [data-do=up]");
    press_in("[data-piece='1-02'] [data-do=off]");
    key_in(&browser, "0");
    press_in("#ways button:first-child");
    key_in(&browser, "2");

    part(&browser, "steps");
    press_in("[data-step] input[type=checkbox]");
    browser.run("document.querySelector('[data-measured]').value = '14 % \"at most\"'");
    browser.run("document.querySelectorAll('[data-hold=in]')[0].click()");

    part(&browser, "kept");
    // The third tape of the first bar is taken back.
    let listed =
        browser.run("return [...document.querySelectorAll('#list li')].map((row) => row.textContent)");
    let listed: Vec<String> =
        listed.as_array().unwrap().iter().map(|one| one.as_str().unwrap().to_owned()).collect();
    assert_eq!(listed.len(), 12, "{listed:?}");
    browser.run("[...document.querySelectorAll('#list li')].find((row) => row.textContent.includes('second tape')).querySelector('button').click()");
    browser.picture("site-kept-390-light");

    // The same after it is closed and opened again.
    let before = file(&browser);
    browser.go("about:blank");
    browser.go(&address);
    browser.wait_for("the page", "document.body.classList.contains('live')");
    assert_eq!(file(&browser), before);
    assert_eq!(tables(&before, "bar").len(), 4, "{before}");
    assert!(before.contains("replaced") && before.contains("taken back"), "{before}");
    assert_eq!(tables(&before, "clip").len(), 4);
    assert!(before.contains("skipped = true\nwhy = \"no timber behind it\""), "{before}");
    assert!(before.contains("piece = \"1-02\"\noff_along_mm = 0\noff_across_mm = -2"), "{before}");
    assert!(before.contains("measured = \"14 % \\\"at most\\\"\"\nwithin = true"), "{before}");
    let errors = browser.console_errors();
    assert!(errors.is_empty(), "{errors:?}");
    assert!(
        browser
            .requests()
            .iter()
            .all(|one| ["file:", "data:", "about:"].iter().any(|own| one.starts_with(own)))
    );
    taken_home(&before, mark);
}

/// Readings typed in feet and inches come home in millimetres.
#[test]
fn a_reading_in_feet_comes_home_in_millimetres() {
    let Some(folder) = sheets_in_feet() else { return };
    let Some(browser) = Browser::sized(390, 844) else { return };
    browser.go(&format!("file://{}/sheets/site.html", folder.display()));
    browser.wait_for("the first mark", "document.getElementById('figure').textContent.length > 0");
    to_first_bar(&browser);
    let figure = text(&browser, "figure");
    assert!(figure.ends_with('"') || figure.ends_with('\''), "{figure}");
    let at = |browser: &Browser| -> f64 { browser.run("return mark().at_mm").as_f64().unwrap() };
    let mark = at(&browser);
    let figure_of = |mm: f64| -> String {
        let words = browser.run(&format!("return lengths.figure({mm})"));
        words.as_str().unwrap().replace('\u{a0}', " ")
    };
    let shown = figure.replace('\u{a0}', " ");
    assert_eq!(shown, figure_of(mark));
    // The page writes and reads as the program does: by definition 1 in = 25.4 mm, 12 in = 1 ft.
    for (mm, words) in [
        (0.0, "0\""),
        (25.4, "1\""),
        (304.8, "1'"),
        (2544.7625, "8' 4 3/16\""),
        (12.7, "1/2\""),
        (317.5, "1' 0 1/2\""),
        (1.5875, "1/16\""),
        (-19.05, "\u{2212}3/4\""),
        (-0.3, "0\""),
        (304.6, "1'"),
    ] {
        assert_eq!(figure_of(mm), words, "{mm}");
    }
    for (typed, mm) in [
        ("8' 4 3/16\"", 2544.8),
        ("8'4-3/16", 2544.8),
        ("100 3/16", 2544.8),
        ("8\u{2019} 4 3/16\u{201d}", 2544.8),
        ("8'", 2438.4),
        ("3/16", 4.8),
        ("4.25\"", 108.0),
        ("0", 0.0),
    ] {
        let read = browser.run(&format!("return lengths.read({})", serde_json::to_string(typed).unwrap()));
        assert!(read.as_f64().is_some_and(|read| (read - mm).abs() < 1e-9), "{typed}: {read}");
    }
    // Nonsense is not kept.
    press(&browser, "type");
    for wrong in ["/", "'", "1/0", "5' 14", "3 4"] {
        keys(&browser, wrong);
        press(&browser, "keep");
        assert!(text(&browser, "ask-said").contains("feet, inches and sixteenths"), "{wrong}");
        browser.run(
            "for (let i = 0; i < 14; i += 1) [...document.querySelectorAll('#pad button')].pop().click()",
        );
    }
    // The mark as it is shown counts as on it; a quarter of an inch beyond it does not.
    keys(&browser, &shown);
    browser.picture("site-ask-feet-390-light");
    press(&browser, "keep");
    assert!(text(&browser, "gap").contains("on its mark"), "{}", text(&browser, "gap"));
    press(&browser, "type");
    keys(&browser, &figure_of(mark + 6.35));
    press(&browser, "keep");
    assert!(text(&browser, "gap").contains("1/4\" past its mark"), "{}", text(&browser, "gap"));
    browser.picture("site-marks-feet-390-light");
    // Two inches off is asked about, in inches.
    press(&browser, "type");
    keys(&browser, &figure_of(mark + 50.8));
    press(&browser, "keep");
    assert!(text(&browser, "ask-said").contains("2\" from its mark"), "{}", text(&browser, "ask-said"));
    press(&browser, "leave");
    let width = browser.run("return document.documentElement.scrollWidth").as_f64().unwrap();
    assert!(width <= 390.0, "{width}");
    for name in PARTS {
        part(&browser, name);
        let words = browser.run("return document.body.innerText").as_str().unwrap().to_owned();
        let names = ["board 15 mm", "22 mm deep", "sheet 0.25 mm"];
        let words = names.iter().fold(words, |words, name| words.replace(name, ""));
        assert!(!words.contains(" mm") && !words.contains("\u{a0}mm"), "{name}: {words}");
        browser.picture(&format!("site-{name}-feet-390-light"));
    }
    let given = file(&browser);
    let read: Vec<f64> = tables(&given, "bar")
        .iter()
        .map(|lines| lines.lines().find_map(|line| line.strip_prefix("at_mm = ")).unwrap().parse().unwrap())
        .collect();
    assert_eq!(read.len(), 2, "{given}");
    assert!((read[0] - mark).abs() <= 25.4 / 32.0 + 0.06, "{read:?} {mark}");
    assert!((read[1] - mark - 6.35).abs() <= 25.4 / 32.0 + 0.06, "{read:?} {mark}");
    let errors = browser.console_errors();
    assert!(errors.is_empty(), "{errors:?}");
    // The import knows nothing of feet: into the room in millimetres it goes as well.
    for (name, room) in [("feet", in_feet()), ("mm", DEMO.to_owned())] {
        let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("site-feet-home-{name}"));
        fs::create_dir_all(&home).unwrap();
        let (file, readings) = (home.join("room.toml"), home.join("readings.toml"));
        fs::write(&file, room).unwrap();
        fs::write(&readings, &given).unwrap();
        let program = driver::program().unwrap();
        let taken = Command::new(program).arg("take-in").args([&file, &readings]).output().unwrap();
        assert!(taken.status.success(), "{}", String::from_utf8_lossy(&taken.stderr));
        assert!(fs::read_to_string(&file).unwrap().contains(&format!("at_mm = {}", read[1])));
    }
}

/// Figures on the keypad with marks of feet and inches.
fn keys(browser: &Browser, figure: &str) {
    let typed = serde_json::to_string(figure).unwrap();
    browser.run(&format!(
        "for (const key of {typed}) [...document.querySelectorAll('#pad button')].find((one) => one.textContent === (key === ' ' ? 'space' : key)).click();"
    ));
}

/// The file of the phone, taken into the room it was made for, twice, and into one with other joists.
fn taken_home(readings: &str, mark: f64) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("site-home");
    fs::create_dir_all(&folder).unwrap();
    let (room, given) = (folder.join("room.toml"), folder.join("readings.toml"));
    fs::write(&given, readings).unwrap();
    fs::write(&room, DEMO).unwrap();
    let take_in = |more: &[&str]| {
        let program = driver::program().unwrap();
        Command::new(program).arg("take-in").args([&room, &given]).args(more).output().unwrap()
    };
    let said = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let first = take_in(&[]);
    assert!(first.status.success(), "{}", said(&first.stderr));
    assert!(said(&first.stdout).contains("Clip 3 was skipped on site"), "{}", said(&first.stdout));
    let taken = fs::read_to_string(&room).unwrap();
    assert!(taken.starts_with(DEMO) && taken.contains("[as_built]\nstamp = "), "{taken}");
    let again = take_in(&[]);
    assert!(
        said(&again.stdout).contains("0 readings taken in, 13 readings stood there already"),
        "{}",
        said(&again.stdout)
    );
    assert_eq!(fs::read_to_string(&room).unwrap(), taken);
    assert!(taken.contains(&format!("at_mm = {}", mark + 77.0)), "the log keeps what was mistyped");

    let other = DEMO.replace("ceiling_mm = 5235", "ceiling_mm = 5243");
    assert_ne!(other, DEMO);
    fs::write(&room, &other).unwrap();
    let refused = take_in(&[]);
    assert_eq!(refused.status.code(), Some(1));
    let words = said(&refused.stderr);
    assert!(words.contains("belong to the layout with the stamp") && words.contains("--anyway"), "{words}");
    assert_eq!(fs::read_to_string(&room).unwrap(), other);
    assert!(take_in(&["--anyway"]).status.success());
    fs::write(&room, DEMO.replacen("name = \"", "name = \"Not the ", 1)).unwrap();
    let refused = said(&take_in(&[]).stderr);
    assert!(refused.contains("These readings were taken in the room"), "{refused}");
    let _ = fs::remove_dir_all(&folder);
}

#[test]
fn a_full_store_loses_nothing() {
    let Some((browser, address)) = phone(390, 844) else { return };
    to_first_bar(&browser);
    press(&browser, "on-mark");
    // Filled to the last letter.
    browser.run("let size = 1 << 20; while (size) { try { localStorage.setItem('full' + size + Math.random(), 'x'.repeat(size)); } catch (error) { size >>= 1; } }");
    press(&browser, "type");
    key_in(&browser, "100");
    press(&browser, "keep");
    assert!(
        text(&browser, "alarm-words").contains("1 entry is not kept by this phone"),
        "{}",
        text(&browser, "alarm-words")
    );
    browser.picture("site-alarm-390-light");
    assert_eq!(tables(&file(&browser), "bar").len(), 2);
    // A reload keeps both; room in the store, and they are kept for good.
    browser.go(&address);
    browser.wait_for("the page", "document.body.classList.contains('live')");
    assert_eq!(tables(&file(&browser), "bar").len(), 2);
    assert!(!browser.run("return document.getElementById('alarm').hidden").as_bool().unwrap());
    browser.run("Object.keys(localStorage).filter((key) => key.startsWith('full')).forEach((key) => localStorage.removeItem(key))");
    press(&browser, "next");
    browser.run("window.dispatchEvent(new Event('focus'))");
    browser.wait_for("no alarm", "document.getElementById('alarm').hidden");
    assert_eq!(
        browser.run("return Object.keys(localStorage).filter((key) => key.startsWith('stillroom|')).length"),
        json!(2)
    );
}

#[test]
fn a_store_that_is_switched_off_loses_nothing_on_a_reload() {
    let Some((browser, address)) = phone(390, 844) else { return };
    browser.own(
        "POST",
        "/goog/cdp/execute",
        &json!({ "cmd": "Page.addScriptToEvaluateOnNewDocument", "params": { "source": REFUSED } }),
    );
    browser.go(&address);
    to_first_bar(&browser);
    press(&browser, "on-mark");
    assert!(text(&browser, "said").contains("This phone does not keep it"), "{}", text(&browser, "said"));
    let before = file(&browser);
    browser.own("POST", "/refresh", &json!({}));
    browser.wait_for("the page", "document.body.classList.contains('live')");
    assert_eq!(file(&browser), before);
    assert_eq!(tables(&before, "bar").len(), 1);
    assert!(!browser.run("return document.getElementById('alarm').hidden").as_bool().unwrap());
}

#[test]
fn two_tabs_keep_one_log() {
    let Some((browser, address)) = phone(390, 844) else { return };
    let first = browser.own("GET", "/window", &json!({}));
    let second = browser.own("POST", "/window/new", &json!({ "type": "tab" }))["handle"].clone();
    let switch = |to: &serde_json::Value| browser.own("POST", "/window", &json!({ "handle": to }));
    switch(&second);
    browser.go(&address);
    to_first_bar(&browser);
    switch(&first);
    to_first_bar(&browser);
    press(&browser, "on-mark");
    switch(&second);
    press(&browser, "on-mark");
    browser.run("for (let i = 0; i < 2; i += 1) document.getElementById('other').click();");
    browser.run("document.getElementById('on-mark').click()");
    assert_eq!(tables(&file(&browser), "bar").len(), 3);
    switch(&first);
    browser.wait_for("the readings of the other tab", "document.querySelectorAll('#list li').length === 3");
    assert_eq!(tables(&file(&browser), "bar").len(), 3);
}

#[test]
fn readings_of_another_layout_are_offered_and_do_not_count() {
    let Some((browser, address)) = phone(390, 844) else { return };
    browser.run(
        "const room = JSON.parse(document.getElementById('facts').textContent).room; \
         localStorage.setItem(`stillroom|${room}|AAAA-BBBB|K-1`, JSON.stringify({ read: 'K-1', n: 1, t: 0, room, stamp: 'AAAA-BBBB', kind: 'bar', bar: 2, wall: 'A-B', at_mm: 700 })); \
         localStorage.setItem(`stillroom ${room} 23456789`, JSON.stringify({ readings: [{ bar: 3, wall: 'A-B', at_mm: 1200 }], done: [] }));",
    );
    browser.go("about:blank");
    browser.go(&format!("{address}#/kept"));
    browser.wait_for("both", "document.querySelectorAll('#others .other').length === 2");
    browser.picture("site-others-390-light");
    assert!(
        text(&browser, "others").contains("stamp AAAA-BBBB")
            && text(&browser, "others").contains("without a stamp")
    );
    let files = browser.run("return [...document.querySelectorAll('#others a')].map((link) => decodeURIComponent(link.href)).sort()");
    let all = files.to_string();
    assert!(
        all.contains("stamp = \\\"AAAA-BBBB\\\"")
            && all.contains("at_mm = 700")
            && all.contains("at_mm = 1200"),
        "{all}"
    );
    assert!(text(&browser, "notice").starts_with("2 entries of another layout"));
    assert_eq!(tables(&file(&browser), "bar").len(), 0);
    assert!(text(&browser, "how-many").contains("Nothing is read yet"));
}

#[test]
fn it_is_saved_copied_and_selected() {
    let Some((browser, _)) = phone(390, 844) else { return };
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("site-saved");
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    browser.own("POST", "/goog/cdp/execute", &json!({ "cmd": "Browser.setDownloadBehavior", "params": { "behavior": "allow", "downloadPath": folder } }));
    to_first_bar(&browser);
    press(&browser, "on-mark");
    part(&browser, "kept");
    let wanted = file(&browser);
    browser.click("#file");
    let saved = folder.join("readings.toml");
    for _ in 0..100 {
        if saved.exists() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    assert_eq!(fs::read_to_string(&saved).unwrap(), wanted);
    browser.wait_for(
        "the count",
        "document.getElementById('how-many').textContent.includes('all of them saved')",
    );
    // Where the browser copies nothing by itself, the old way; where that fails too, the text is laid open.
    browser.run("Object.defineProperty(navigator, 'clipboard', { value: undefined })");
    browser.run("window.copiedText = ''; document.addEventListener('copy', () => { window.copiedText = document.activeElement.value.slice(document.activeElement.selectionStart, document.activeElement.selectionEnd); })");
    browser.click("#copy");
    browser.wait_for("copied", "document.getElementById('copied').textContent.length > 0");
    assert!(text(&browser, "copied").contains("Copied"), "{}", text(&browser, "copied"));
    assert_eq!(browser.run("return window.copiedText").as_str().unwrap(), wanted);
    browser.run("document.execCommand = () => false");
    browser.click("#copy");
    assert!(text(&browser, "copied").contains("press long"), "{}", text(&browser, "copied"));
    assert!(browser.run("return document.getElementById('text').parentNode.open").as_bool().unwrap());
    let _ = fs::remove_dir_all(&folder);
}

#[test]
fn every_part_fits_and_is_large_enough_for_a_finger() {
    let rules = accessibility_rules();
    for (width, height) in [(390, 844), (820, 1100)] {
        let Some((browser, _)) = phone(width, height) else { return };
        to_first_bar(&browser);
        for tone in ["light", "dark"] {
            let media = json!({ "features": [{ "name": "prefers-color-scheme", "value": tone }] });
            browser.own(
                "POST",
                "/goog/cdp/execute",
                &json!({ "cmd": "Emulation.setEmulatedMedia", "params": media }),
            );
            for name in PARTS {
                part(&browser, name);
                browser.picture(&format!("site-{name}-{width}-{tone}"));
                fits(&browser, &format!("{name} at {width}"));
                if let Some(rules) = &rules {
                    serious(&browser, rules, &format!("{name} at {width}, {tone}"));
                }
            }
            part(&browser, "lists");
            browser.run("document.querySelectorAll('#lists details').forEach((one) => { one.open = true; })");
            fits(&browser, &format!("the lists laid open at {width}"));
            for (at, summary) in ["Cutting the boards", "Noggins", "Cutting the bars"].iter().enumerate() {
                browser.run(&format!("[...document.querySelectorAll('#lists summary')].find((one) => one.textContent.includes('{summary}')).scrollIntoView(); scrollBy(0, -60)"));
                browser.picture(&format!("site-list{at}-{width}-{tone}"));
            }
            part(&browser, "marks");
            press(&browser, "type");
            fits(&browser, &format!("the keypad at {width}"));
            browser.picture(&format!("site-keys-{width}-{tone}"));
            if let Some(rules) = &rules {
                serious(&browser, rules, &format!("the keypad at {width}, {tone}"));
            }
            press(&browser, "leave");
        }
    }
}

/// Nothing is wider than the window, and what is pressed is 48 pixels high and wide or more.
fn fits(browser: &Browser, place: &str) {
    let wide = browser.run("return document.documentElement.scrollWidth - innerWidth").as_i64().unwrap();
    assert!(wide <= 0, "{place}: {wide} pixels too wide");
    let small = browser.run(
        "return [...document.querySelectorAll('button, select, summary, nav a, .button, input[type=text], #steps li > label')].filter((one) => one.offsetParent !== null) \
         .map((one) => [one.textContent.slice(0, 30), one.getBoundingClientRect()]).filter(([, box]) => box.width > 0 && (box.width < 48 || box.height < 48)) \
         .map(([words, box]) => `${words}: ${box.width} by ${box.height}`)",
    );
    assert_eq!(small, json!([]), "{place}");
}
