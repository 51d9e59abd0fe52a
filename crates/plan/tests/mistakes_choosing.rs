//! Mistakes in what may be chosen: each gets a sentence at its key.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at what it did not expect")]

use plan::{Severity, read};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

#[test]
fn mistakes_in_choose_and_option_are_told() {
    for (added, code, words) in [
        ("[choose]\nsure_percent = 9\n", "out-of-range", "`sure_percent` cannot be 9"),
        ("[choose]\nleave = [\"attic\"]\n", "unknown-element", "attic"),
        ("[choose]\nboard_prise = 3\n", "unknown-key", "`board_prise`"),
        ("[choose]\nfloor_m2 = -1\n", "out-of-range", "`floor_m2` cannot be -1"),
        ("[[option]]\nelement = \"door\"\nbuildup = \"nothing\"\nprice = 3\n", "unknown-buildup", "nothing"),
        ("[[option]]\nbuildup = \"door\"\n", "missing-key", "element"),
        (
            "[[option]]\nelement = \"door\"\nbuildup = \"door\"\nprice = -3\n",
            "out-of-range",
            "`price` cannot be -3",
        ),
        (
            "[[option]]\nelement = \"door\"\nbuildup = \"door\"\nseal = \"wax\"\n",
            "unknown-catalogue-id",
            "wax",
        ),
    ] {
        let (project, found) = read(&format!("{DEMO}\n{added}"), "room.toml");
        assert!(project.is_none(), "{added}");
        let told = found.iter().find(|one| one.severity == Severity::Error && one.message.contains(words));
        let told = told.unwrap_or_else(|| panic!("{added}: {found:?}"));
        assert_eq!(told.code, code, "{}", told.message);
    }
}
