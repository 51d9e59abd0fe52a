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

/// The facts the script works with.
fn facts(page: &str) -> serde_json::Value {
    let text = page.split_once("id=\"facts\">").unwrap().1.split_once("</script>").unwrap().0;
    serde_json::from_str(text).unwrap()
}

#[test]
fn marks_on_joists_stand_on_it_and_walls_without_marks_do_not() {
    let mut plan = demo();
    let layout = plan.ceiling.layout.as_mut().unwrap();
    layout.marks[1].marks.clear();
    let (bare, walls) = (layout.marks[1].wall.clone(), layout.marks.len());
    plan.ceiling.bar_ties = [(5, 2, 900.0), (3, 2, 400.4), (9, 4, 1200.0)]
        .map(|(bar, joist, along_mm)| setout::BarTie { bar, joist, from_wall: "C-D".to_owned(), along_mm })
        .to_vec();
    let page = sheets::site::page(&plan);
    let facts = facts(&page);
    let stops = facts["walls"].as_array().unwrap();
    assert_eq!(stops.len(), walls - 1 + 2);
    for stop in stops {
        assert!(!stop["marks"].as_array().unwrap().is_empty() && stop["wall"] != bare.as_str());
    }
    let joists: Vec<_> = stops.iter().filter(|stop| stop["joist"] == true).collect();
    let name = |at: usize| plan.ceiling.given.as_ref().unwrap().joists[at].name.as_str();
    assert_eq!((joists[0]["wall"].as_str(), joists[1]["wall"].as_str()), (Some(name(2)), Some(name(4))));
    let marks: Vec<_> =
        joists[0]["marks"].as_array().unwrap().iter().map(|m| m["at_mm"].as_f64().unwrap()).collect();
    assert_eq!(marks, [400.0, 900.0]);
    // A bar is read at walls: nothing is to be kept here.
    assert!(joists[0]["marks"][0]["bar"].is_null());
    assert!(joists[0]["length_mm"].as_f64().unwrap() >= 900.0);
}

#[test]
fn names_with_brackets_and_quotes_stay_words() {
    let text = ROOM.replacen("name = \"", "name = \"</script><b>\\\"&", 1);
    let page = sheets::site::page(&plan::plan(&plan::read(&text, "room.toml").0.unwrap()).unwrap());
    assert_eq!(page.matches("</script>").count(), 2);
    assert!(!page.contains("</script><b>"));
}

/// In feet the page shows and takes feet; what its script works with, and so what it gives, is in millimetres.
#[test]
fn in_feet_its_facts_stay_in_millimetres() {
    let text = ROOM.replacen("[project]\n", "[project]\nlengths = \"feet and inches\"\n", 1);
    let page = sheets::site::page(&plan::plan(&plan::read(&text, "room.toml").0.unwrap()).unwrap());
    let plain = sheets::site::page(&demo());
    let (feet, mm) = (facts(&page), facts(&plain));
    let marks = |facts: &serde_json::Value| -> Vec<f64> {
        let walls = facts["walls"].as_array().unwrap().iter();
        walls
            .flat_map(|wall| wall["marks"].as_array().unwrap())
            .map(|mark| mark["at_mm"].as_f64().unwrap())
            .collect()
    };
    assert_eq!(marks(&feet).len(), marks(&mm).len());
    // To a tenth rather than whole, so that the sixteenth made of it is the right one.
    assert!(marks(&feet).iter().zip(marks(&mm)).all(|(feet, mm)| (feet - mm).abs() <= 0.55));
    assert!(page.contains("<small> packer</small>") && !page.contains(" mm packer"));
    assert!(page.contains("INCH") && !plain.contains("INCH"));
    assert!(!page.contains("cut, mm") && plain.contains("cut, mm"));
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
        include_str!("../src/site/mm.js"),
        include_str!("../src/site/feet.js"),
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
