//! Mistakes in what the file says of timber, damp and air: each gets a sentence at its key.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at what it did not expect")]

use plan::{Severity, read};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

/// What is changed, what then stands there, the code of the message, and what it says.
const MISTAKES: [(&str, &str, &str, &str); 17] = [
    (
        "name = \"J12\"\nfrom_mm = 5086\nto_mm = 202",
        "name = \"J12\"\nfrom_mm = 5220\nto_wall = \"B-C\"\nto_mm = 5",
        "no-span",
        "The joist \"J12\" starts and ends in one corner of the room: its span is nothing.",
    ),
    (
        "grade = \"unknown\"         #",
        "grade = \"C17\"         #",
        "unknown-catalogue-id",
        "The catalogue has no timber grade `C17`. Did you mean `c16`?",
    ),
    (
        "size_mm = 16\n",
        "size_mm = 160\n",
        "cut-too-deep",
        "A notch of 160 mm leaves no timber in the joist \"J5\", which is 150 mm deep.",
    ),
    (
        "kind = \"top-notch\"\nat_mm = 460               # from the face of wall A-B\nsize_mm = 16\n",
        "kind = \"hole\"\nat_mm = 460\nsize_mm = 60\noff_centre_mm = 50\n",
        "cut-too-deep",
        "A hole of 60 mm leaves no timber in the joist \"J5\"",
    ),
    (
        "material = \"polyethylene-sheet-0.25\"",
        "material = \"polyethylene-sheet-0.25\"\nvapour_sd_m = -2",
        "out-of-range",
        "`vapour_sd_m` cannot be -2 m: it must lie from 0 to 100000 m.",
    ),
    (
        "material = \"osb-18\"",
        "material = \"osb-18\"\nvapour_factor = -50",
        "out-of-range",
        "`vapour_factor` cannot be -50: it must lie from 1 to 10000000.",
    ),
    (
        "14.1, 10.7, 7.2, 4.9]",
        "14.1, 10.7, 7.2]",
        "wrong-count",
        "`temperature_c` must be one number for each month, January first; here stand 11.",
    ),
    (
        "59, 55, 49, 45]",
        "59, 55, 49]",
        "wrong-count",
        "`humidity_percent` must be one number for each month, January first; here stand 11.",
    ),
    ("fresh_air_l_s = 30", "fresh_air_l_s = 0", "no-fresh-air", "3 people get no fresh air."),
    ("box_length_mm = 1200\n", "", "missing-key", "The baffle box \"air out\" has no `box_length_mm`."),
    (
        "bends = 3\n",
        "bends = 3\nbox_width_mm = 400\n",
        "key-of-another-kind",
        "`box_width_mm` belongs to a baffle box, but the vent \"air path\" is a duct.",
    ),
    (
        "box_width_mm = 450",
        "box_width_mm = 150",
        "box-too-small",
        "The baffle box \"air out\" is 150 mm inside, smaller than its inlet of 200 mm.",
    ),
    (
        "name = \"J6\"\n",
        "name = \"J6\"\nsister_width_mm = 47\n",
        "missing-key",
        "The joist \"J6\" has a sister member without its `sister_depth_mm`.",
    ),
    (
        "bearing_mm = 90\n",
        "bearing_mm = 90\nsupport_mm = [1800, 1750]\n",
        "support-too-near",
        "A support of the joist \"J1\" at 1750 mm lies less than 100 mm beyond the one before it.",
    ),
    (
        "bearing_mm = 90\n",
        "bearing_mm = 90\nbeam = [{ name = \"b\", at_mm = 1800, member_width_mm = 47, depth_mm = 220, grade = \"c24\", post_mm = [900, 950] }]\n",
        "post-too-near",
        "A post under the beam \"b\" at 950 mm stands less than 100 mm beyond the one before it.",
    ),
    (
        "bearing_mm = 90\n",
        "bearing_mm = 90\nopening = [{ name = \"hatch\", cut = [\"J77\"], from_mm = 1300, length_mm = 900 }]\n",
        "unknown-joist",
        "The opening \"hatch\" cuts the joist \"J77\", which is no [[joist]].",
    ),
    (
        "bearing_mm = 90\n",
        "bearing_mm = 90\nopening = [{ name = \"hatch\", cut = [], from_mm = 1300, length_mm = 900 }]\n",
        "no-joist-cut",
        "The opening \"hatch\" cuts no joist.",
    ),
];

#[test]
fn each_mistake_has_its_sentence() {
    for (from, to, code, says) in MISTAKES {
        assert!(DEMO.contains(from), "{from}");
        let (_, found) = read(&DEMO.replacen(from, to, 1), "room.toml");
        let said = found
            .iter()
            .find(|one| format!("{} {}", one.message, one.help.as_deref().unwrap_or("")).contains(says));
        let said = said.unwrap_or_else(|| panic!("{to}: {says}\nfound {found:#?}"));
        assert_eq!(said.code, code, "{to}");
        assert!(code == "no-fresh-air" || said.severity == Severity::Error);
    }
}

/// People in a room that nothing lets air into: not read at all.
#[test]
fn people_without_an_air_path_are_refused() {
    let start = DEMO.find("[[vent]]").unwrap();
    let end = DEMO.find("[[gap]]").unwrap();
    let sealed = format!("{}{}", &DEMO[..start], &DEMO[end..]);
    let (project, found) = read(&sealed, "room.toml");
    assert!(project.is_none());
    assert!(found.iter().any(|one| one.message.contains("but the room has no air path")), "{found:?}");
}
