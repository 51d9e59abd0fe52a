//! What stays while sheets are drawn again: the focus on what is moved by keys, an unsaved text; and readings of the phone taken in.

use super::{middle, undo};
use crate::{
    READY,
    driver::{Browser, DEMO, Room},
};

pub(crate) fn stays(browser: &Browser, room: &Room, home: &str) {
    keys(browser, room, home);
    unsaved(browser, home);
    readings(browser, room, home);
}

/// An arrow key on whatever has the focus.
fn press(browser: &Browser, key: &str) {
    browser.run(&format!(
        "document.activeElement.dispatchEvent(new KeyboardEvent('keydown', {{ key: '{key}', bubbles: true }}))"
    ));
}

fn focused(browser: &Browser, what: &str, more: &str) {
    browser.wait_for(what, &format!("document.activeElement.id === '{what}' && {more}"));
}

/// Arrow keys go on where the last one left off: nobody has to find the corner, bar or layer again.
fn keys(browser: &Browser, room: &Room, home: &str) {
    browser.go(&format!("{home}/room"));
    browser.wait_for("the room", READY);
    browser.run("document.getElementById('corner-C').focus()");
    for right in [5, 10, 15] {
        press(browser, "ArrowRight");
        let drawn =
            format!("location.search.includes('right={right}&') && document.querySelector('#tried form')");
        focused(browser, "corner-C", &drawn);
    }
    // Three at once are three as well.
    for _ in 0..3 {
        press(browser, "ArrowRight");
    }
    focused(browser, "corner-C", "location.search.includes('right=30&')");
    // Its walls as they would run are drawn, and the answer is in sight.
    let place = browser.run("const box = document.querySelector('#tried form').getBoundingClientRect(); return [box.bottom <= innerHeight, document.querySelectorAll('.drawn .s-red, .drawn [class*=red]').length > 0]");
    assert_eq!(place, serde_json::json!([true, true]));
    browser.picture("corner-ghost");

    browser.go(&format!("{home}/ceiling"));
    browser.wait_for("the ceiling", READY);
    middle(browser, "bar-5");
    browser.run("document.getElementById('bar-5').focus()");
    for off in ["5", "10"] {
        press(browser, "ArrowDown");
        focused(
            browser,
            "bar-5",
            &format!("Math.abs(new URLSearchParams(location.search).get('off')) === {off}"),
        );
    }

    browser.go(&format!("{home}/built"));
    browser.wait_for("the layers", READY);
    browser.run("document.getElementById('layer-6').focus()");
    press(browser, "ArrowUp");
    focused(browser, "layer-5", READY);
    press(browser, "ArrowUp");
    focused(browser, "layer-4", READY);
    undo(browser);
    undo(browser);
    room.wait_for(DEMO);
}

/// What is typed in the raw file and not saved is there again after a look at another sheet.
fn unsaved(browser: &Browser, home: &str) {
    browser.go(&format!("{home}/file"));
    browser.wait_for("the file", READY);
    let typed = "const text = document.querySelector('#raw textarea'); text.value = '# mine\\n' + text.value; text.dispatchEvent(new Event('input', { bubbles: true }));";
    browser.run(typed);
    let to = |sheet: &str, there: &str| {
        browser.run(&format!("document.querySelector('#register a[href=\"/{sheet}\"]').click()"));
        browser.wait_for(sheet, there);
    };
    to("room", "document.getElementById('corner-C')");
    to("file", "document.querySelector('#raw textarea')");
    let back = "return [document.querySelector('#raw textarea').value.startsWith('# mine'), document.getElementById('unsaved').hidden]";
    assert_eq!(browser.run(back), serde_json::json!([true, false]));
    browser.picture("unsaved");
    browser.run("document.querySelector('#unsaved button').click()");
    assert_eq!(browser.run(back), serde_json::json!([false, true]));
    to("room", "document.getElementById('corner-C')");
    to("file", "document.querySelector('#raw textarea')");
    assert_eq!(browser.run(back), serde_json::json!([false, true]));
}

/// The file of the phone is taken in on the sheet of steps, shown there, and goes with undo.
fn readings(browser: &Browser, room: &Room, home: &str) {
    browser.go(&format!("{home}/steps"));
    browser.wait_for("the steps", READY);
    let bring = |measured: &str| {
        let wrong = browser.run_later(&format!(
            "fetch('/site.html').then((answer) => answer.text()).then((text) => {{ \
             const facts = JSON.parse(text.split('id=\"facts\">')[1].split('</script>')[0]); \
             const wall = facts.walls.find((one) => one.marks.some((mark) => mark.bar)); const mark = wall.marks.find((one) => one.bar); \
             const step = JSON.stringify(facts.holds[0].step); \
             const file = `format = 2\\nroom = ${{JSON.stringify(facts.room)}}\\nstamp = \"${{facts.stamp}}\"\\n\\n[[as_built.clip]]\\nclip = 1\\nread = \"K-1\"\\n\\n\
             [[as_built.bar]]\\nbar = ${{mark.bar}}\\nwall = \"${{wall.wall}}\"\\nat_mm = ${{mark.at_mm}}\\nread = \"K-2\"\\n\\n\
             [[as_built.step]]\\nstep = ${{step}}\\ndone = true\\nread = \"K-3\"\\n\\n[[as_built.hold]]\\nstep = ${{step}}\\nmeasured = \"{measured}\"\\nwithin = true\\nread = \"K-4\"\\n`; \
             const data = new DataTransfer(); data.items.add(new File([file], 'readings.toml')); \
             document.querySelector('#readings input[type=file]').files = data.files; document.getElementById('readings').requestSubmit(); }}).then(done, (error) => done(String(error)))"
        ));
        assert!(wrong.is_null(), "{wrong}");
    };
    bring("abc");
    browser.wait_for("the sentence", "[...document.querySelectorAll('#readings [role=alert]')].some((one) => one.textContent.includes('is no figure'))");
    assert_eq!(room.text(), DEMO);
    bring("14 %");
    browser.wait_for("what came from site", &format!("document.getElementById('from-site') && {READY}"));
    browser.picture("from-site");
    let words = browser.run("return document.getElementById('sheet').innerText").as_str().unwrap().to_owned();
    assert!(
        words.contains("4 entries taken in")
            && words.contains("done")
            && words.contains("Measured: 14 %, within"),
        "{words}"
    );
    assert!(words.contains("on its mark"), "{words}");
    let text = room.text();
    assert!(text.starts_with(DEMO) && text.contains("[[as_built.hold]]"), "{text}");
    // Twice adds nothing.
    bring("14 %");
    browser.wait_for("the count", "document.querySelector('.notice') && document.querySelector('.notice').textContent.includes('4 entries stood there already')");
    assert_eq!(room.text(), text);
    undo(browser);
    room.wait_for(DEMO);
}
