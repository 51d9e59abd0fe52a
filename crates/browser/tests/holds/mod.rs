//! Hold points on the page for the site: what is typed stays at every key, and a figure is held against what it may be.

use std::{fs, path::Path, process::Command};

use crate::{driver, driver::Browser, file, key_in, part, phone, tables, text};

fn state(browser: &Browser, row: &str) -> String {
    let words = browser.run(&format!(
        "return document.querySelectorAll('[data-step]')[{row}].querySelector('.state').textContent"
    ));
    words.as_str().unwrap().replace('\u{a0}', " ")
}

fn again(browser: &Browser, address: &str) {
    browser.go("about:blank");
    browser.go(address);
    browser.wait_for("the page", "document.body.classList.contains('live')");
    part(browser, "steps");
}

#[test]
fn a_hold_point_keeps_every_key_and_judges_its_figure() {
    let Some((browser, address)) = phone(390, 844) else { return };
    part(&browser, "steps");
    // The first asks for a figure: two keys, and the page is closed.
    let first = "document.querySelector('[data-figure]').click();";
    browser.run(&format!("{first} for (const key of '14') [...document.querySelectorAll('#pad button')].find((one) => one.textContent === key).click();"));
    browser.picture("site-hold-keys-390-light");
    again(&browser, &address);
    assert!(state(&browser, "0").contains("Typed and not finished: 14 %"), "{}", state(&browser, "0"));
    assert!(
        text(&browser, "list").contains("not finished")
            && text(&browser, "how-many").contains("1 hold point is typed")
    );
    assert_eq!(tables(&file(&browser), "hold").len(), 0);
    browser.run(&format!("{first} document.getElementById('keep').click();"));
    assert_eq!(state(&browser, "0"), "14 %: within.");
    // Beyond what it may be it is out, and there is nobody to say otherwise.
    browser.run(first);
    key_in(&browser, "27");
    assert_eq!(state(&browser, "0"), "27 %: out, it may be at most 20 %.");
    assert_eq!(
        browser.run(
            "return document.querySelectorAll('[data-step]')[0].querySelectorAll('[data-hold=in]').length"
        ),
        0
    );
    browser.picture("site-hold-out-390-light");
    // Another figure, with something to be seen beside it: within only once that is said too.
    let noggins = browser.run("const row = [...document.querySelectorAll('[data-step]')].findIndex((one) => one.dataset.step === 'Trial fit'); document.querySelectorAll('[data-step]')[row].querySelector('[data-figure]').click(); return row");
    let noggins = noggins.to_string();
    key_in(&browser, "2");
    assert!(state(&browser, &noggins).contains("not finished"), "{}", state(&browser, &noggins));
    browser.picture("site-hold-rest-390-light");
    browser.run("document.querySelector('#choices button').click()");
    assert_eq!(state(&browser, &noggins), "2 mm: within.");

    // The second is in words: they stay at every key, and count once somebody says what they come to.
    let id = browser.run("return document.querySelector('[data-measured]').id").as_str().unwrap().to_owned();
    browser.type_over(&format!("#{id}"), "52 mm at J4");
    again(&browser, &address);
    assert_eq!(browser.run(&format!("return document.getElementById('{id}').value")), "52 mm at J4");
    browser.run(&format!(
        "document.getElementById('{id}').closest('.hold').querySelector('[data-hold=out]').click()"
    ));
    let given = file(&browser);
    let held = tables(&given, "hold");
    assert_eq!(held.len(), 4, "{given}");
    assert!(held[1].contains("measured = \"27 %\"\nwithin = false"), "{given}");
    assert!(held[3].contains("measured = \"52 mm at J4\"\nwithin = false"), "{given}");
    let errors = browser.console_errors();
    assert!(errors.is_empty(), "{errors:?}");

    // A word where a figure is asked for is not taken in.
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join("site-holds");
    fs::create_dir_all(&home).unwrap();
    let (room, readings) = (home.join("room.toml"), home.join("readings.toml"));
    fs::write(&room, driver::DEMO).unwrap();
    let take_in = |text: &str| {
        fs::write(&readings, text).unwrap();
        Command::new(driver::program().unwrap()).arg("take-in").args([&room, &readings]).output().unwrap()
    };
    let refused = take_in(&given.replace("27 %", "abc"));
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert_eq!(refused.status.code(), Some(1), "{said}");
    assert!(said.contains("\u{201c}abc\u{201d}, which is no figure"), "{said}");
    assert_eq!(fs::read_to_string(&room).unwrap(), driver::DEMO);
    assert!(take_in(&given).status.success());
}

/// A reader who writes a decimal comma reads and types one; the file keeps points.
#[test]
fn decimals_are_the_readers_own() {
    let Some((browser, address)) = phone(390, 844) else { return };
    browser.own(
        "POST",
        "/goog/cdp/execute",
        &serde_json::json!({ "cmd": "Emulation.setLocaleOverride", "params": { "locale": "de-DE" } }),
    );
    again(&browser, &address);
    let words =
        browser.run("return document.getElementById('steps').textContent").as_str().unwrap().to_owned();
    let hours =
        |mark: char| words.match_indices("\u{a0}h").any(|(at, _)| words[..at].ends_with(&format!("{mark}5")));
    assert!(hours(',') && !hours('.'), "{words}");
    browser.run("document.querySelector('[data-figure]').click()");
    key_in(&browser, "14,5");
    assert_eq!(state(&browser, "0"), "14,5 %: within.");
    assert!(file(&browser).contains("measured = \"14.5 %\""), "{}", file(&browser));
}
