//! The page for the site: what it carries, and that its script and style use nothing a phone of five years ago does not know.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first thing that is missing")]

const ROOM: &str = include_str!("../../../examples/percussion-room/room.toml");

fn demo() -> plan::Plan {
    plan::plan(&plan::read(ROOM, "room.toml").0.unwrap()).unwrap()
}

#[test]
fn it_carries_what_one_needs_under_the_ceiling() {
    let plan = demo();
    let page = sheets::site::page(&plan);
    let layout = plan.ceiling.layout.as_ref().unwrap();
    let stamp = plan.ceiling.stamp.as_ref().unwrap();
    assert!(
        page.contains(&format!("layout <b>{stamp}</b>")) && page.contains(&format!("\"stamp\":\"{stamp}\""))
    );
    let count = |words: &str| page.matches(words).count();
    assert_eq!(count("<li data-clip="), layout.clips.len());
    assert_eq!(count("<li data-piece="), layout.layers.iter().map(|layer| layer.pieces.len()).sum::<usize>());
    assert_eq!(count("<li data-step="), plan.steps.len());
    assert_eq!(count("<td>N"), layout.noggins.len());
    let cut = sheets::drawings::screen::cut_sheets(&plan);
    assert!(!cut.is_empty());
    assert_eq!(count("<div class=\"cut\""), cut.len());
    // Clips stand by joists, and within one by bars.
    let numbers: Vec<usize> = page
        .split("<li data-clip=\"")
        .skip(1)
        .map(|rest| rest.split('"').next().unwrap().parse().unwrap())
        .collect();
    let places: Vec<(usize, usize)> = numbers
        .iter()
        .map(|number| layout.clips.iter().find(|clip| clip.number == *number).unwrap())
        .map(|clip| match clip.on {
            setout::Support::Joist(joist) => (joist, clip.bar),
            setout::Support::Noggin(noggin) => (1000 + noggin, clip.bar),
        })
        .collect();
    let mut sorted = places.clone();
    sorted.sort_by_key(|(joist, bar)| if *joist < 1000 { (0, *joist, *bar) } else { (1, 0, *bar) });
    let noggins_by_bar = |list: &[(usize, usize)]| -> Vec<usize> {
        list.iter().filter(|(joist, _)| *joist >= 1000).map(|(_, bar)| *bar).collect()
    };
    let joists = |list: &[(usize, usize)]| -> Vec<(usize, usize)> {
        list.iter().copied().filter(|(joist, _)| *joist < 1000).collect()
    };
    assert_eq!(joists(&places), joists(&sorted));
    assert_eq!(noggins_by_bar(&places).len(), layout.noggins.len());
}

#[test]
fn names_with_brackets_and_quotes_stay_words() {
    let text = ROOM.replacen("name = \"", "name = \"</script><b>\\\"&", 1);
    let page = sheets::site::page(&plan::plan(&plan::read(&text, "room.toml").0.unwrap()).unwrap());
    assert_eq!(page.matches("</script>").count(), 2);
    assert!(!page.contains("</script><b>"));
}

/// Words and signs newer than the language's edition of 2015, which the script keeps to (from memory).
const TOO_NEW: [&str; 21] = [
    "?.",
    "??",
    "||=",
    "&&=",
    "=> ({ ...",
    "{ ...",
    "catch {",
    ".at(",
    "findLast",
    "replaceAll",
    "replaceChildren",
    "hasOwn",
    "flatMap",
    ".flat(",
    "fromEntries",
    "matchAll",
    "structuredClone",
    "async ",
    "await ",
    "import(",
    " **",
];

#[test]
fn an_old_phone_can_read_it() {
    let script = concat!(
        include_str!("../src/site/log.js"),
        include_str!("../src/site/asks.js"),
        include_str!("../src/site/site.js")
    );
    for words in TOO_NEW {
        assert!(!script.contains(words), "{words}");
    }
    let style = include_str!("../src/site/site.css");
    for words in [
        ":has(",
        ":is(",
        ":where(",
        "inset:",
        "aspect-ratio",
        "@layer",
        "@container",
        "color-mix",
        "dvh",
        "}gap:",
        ";gap:",
        "{gap:",
    ] {
        assert!(!style.contains(words), "{words}");
    }
}
