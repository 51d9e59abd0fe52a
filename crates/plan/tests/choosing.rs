//! What to build for the demo: the choice against the plan, limits, options, and what is said where nothing holds.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at what it did not expect")]

use plan::{Choice, choose, plan, read};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

fn chosen(edit: impl Fn(String) -> String) -> Choice {
    let (project, found) = read(&edit(DEMO.to_owned()), "room.toml");
    let choice = choose(&project.unwrap_or_else(|| panic!("{found:?}"))).unwrap();
    agrees_with_itself(&choice);
    choice
}

fn least_db(choice: &plan::choosing::outcome::Built) -> f64 {
    choice.margins.iter().map(|row| row.margin_db).fold(f64::INFINITY, f64::min)
}

/// The choice stands among what is told: it is a point of the front, no point is as quiet for as little, and where nothing was found that holds no
/// point of a front does.
fn agrees_with_itself(choice: &Choice) {
    let Some(chosen) = choice.chosen.as_ref().filter(|_| !choice.front.is_empty()) else { return };
    let own_db = least_db(chosen);
    let own = |row: &&plan::choosing::outcome::FrontRow| {
        (row.cost - chosen.cost).abs() < 1e-6 && (row.margin_db - own_db).abs() < 0.02
    };
    assert_eq!(choice.front.iter().filter(own).count(), 1, "{} {own_db} {:?}", chosen.cost, choice.front);
    for row in choice.front.iter().filter(|row| !own(row)) {
        assert!(row.cost > chosen.cost || row.margin_db < own_db, "{row:?} beats {} {own_db}", chosen.cost);
    }
    for row in choice.front.iter().chain(&choice.headroom_front) {
        assert!(choice.holds || row.margin_db < 0.02, "nothing holds, but {row:?}");
    }
    assert_eq!(choice.holds, own_db > -0.02, "{own_db}");
    assert_eq!(choice.holds, choice.all_give_db.is_none());
    let certificate = &choice.certificate;
    assert!((certificate.value.unwrap() - chosen.cost).abs() < 1e-6, "{certificate:?}");
    assert!(certificate.bound >= 0.0 && certificate.bound <= chosen.cost + 1e-6, "{certificate:?}");
    assert!(!choice.holds || !choice.none_holds_proved);
    let proved = choice.proof.contains("Proved") && choice.proof.contains("for less");
    if proved && !choice.proof.contains("Not proved to be the least") {
        assert!(certificate.gap.unwrap() <= 0.5_f64.max(0.005 * chosen.cost), "{}", choice.proof);
    }
}

/// Limits that something keeps: everything but the wall to the front workshop, whose flanking is assumed.
fn easier(text: &str) -> String {
    text.replace("limit_dba = 60 ", "limit_dba = 75 ").replace("limit_nr = 25", "limit_nr = 35")
}

/// What stands in the file is judged by the very draws the plan uses: the tenth percentiles agree. The demo's own limits cannot all be kept
/// nine times in ten: it says so, and what would have to give.
#[test]
fn today_is_judged_as_in_the_plan_and_what_cannot_be_kept_is_told() {
    let (project, _) = read(DEMO, "room.toml");
    let plan = plan(&project.unwrap()).unwrap();
    let choice = chosen(|text| text);
    let mut compared = 0;
    for row in &choice.today.margins {
        let heard = plan.heard.iter().find(|h| h.receiver == row.receiver && h.source == row.source).unwrap();
        let verdict = heard.heard.verdict.as_ref().unwrap();
        let off_db = row.margin_db - verdict.margin.lower_db;
        assert!(off_db.abs() < 0.05, "{} {}: {off_db}", row.receiver, row.source);
        compared += 1;
    }
    assert!(compared >= 4, "{compared}");
    assert!(choice.candidates >= 2000, "{}", choice.candidates);
    assert!(!choice.holds && choice.chosen.is_some() && !choice.why_not.is_empty());
    let give_db = choice.all_give_db.unwrap();
    assert!(give_db > 0.0);
    // What comes nearest is no farther off than any point of a front.
    let fronts = choice.front.iter().chain(&choice.headroom_front);
    let nearest_db = fronts.map(|row| -row.margin_db).fold(f64::INFINITY, f64::min);
    assert!(give_db < nearest_db + 0.15, "{give_db} {nearest_db}");
    assert!(choice.verified.as_ref().unwrap().off_db < 0.1, "{:?}", choice.verified);
    // And all of it is what the schema says.
    let schema = serde_json::from_str(plan::schema::choice_schema()).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let json = serde_json::to_value(&choice).unwrap();
    let complaints: Vec<String> =
        validator.iter_errors(&json).map(|error| format!("{}: {error}", error.instance_path())).collect();
    assert!(
        complaints.is_empty(),
        "write the schema anew with `python3 oracles/plan_schema.py`: {complaints:?}"
    );
}

/// What cannot be: each gets its sentence, and the smallest loosening.
#[test]
fn what_stands_in_the_way_is_named() {
    let leave = "\n[choose]\nleave = [\"D-E\", \"E-A\", \"A-B\"]\n";
    let poor = chosen(|text| easier(&text).replace("money = 2600", "money = 5") + leave);
    assert!(!poor.holds);
    let money = poor.why_not.iter().find(|one| one.limit == "money").unwrap();
    assert!(money.by.unwrap() > 100.0 && money.sentence.contains("more allowed"), "{money:?}");
    // Without prices there is no money to keep to, and it is said.
    let unpriced = chosen(|text| {
        let lines: Vec<&str> = text.lines().filter(|line| !line.starts_with("price")).collect();
        easier(&lines.join("\n")) + leave
    });
    assert!(unpriced.currency.is_empty());
    assert!(unpriced.notes.iter().any(|note| note.starts_with("The limit of money is not in the choice")));
    // A limit that nobody could hear.
    let silent = chosen(|text| text.replace("limit_dba = 45", "limit_dba = 0") + leave);
    assert!(!silent.holds && silent.notes.iter().any(|note| note.contains("quieter than anyone hears")));
    // A wall that is lined already offers nothing but itself.
    assert!(silent.notes.iter().all(|note| !note.contains("nodes")));
}

#[test]
fn a_choice_keeps_every_limit_and_holds_when_planned_whole() {
    let choice = chosen(|text| easier(&text) + "\n[choose]\nleave = [\"D-E\", \"E-A\", \"A-B\"]\n");
    assert!(choice.holds, "{:?}", choice.why_not);
    let built = choice.chosen.as_ref().unwrap();
    assert!(built.uses.iter().all(|used| used.used <= used.most * (1.0 + 1e-9) + 1e-9));
    assert!(
        choice.certificate.gap.unwrap() >= 0.0
            && choice.certificate.departure_db <= choice.certificate.lean_db
    );
    let verified = choice.verified.as_ref().unwrap();
    assert!(verified.margins.iter().all(|row| row.margin_db > -0.05), "{verified:?}");
    // The whole plan says the same at every receiver, in the room too.
    assert!(verified.margins.len() >= 4 && verified.off_db < 0.1, "{verified:?}");
    // The rooms of two sets each call for the other, so that a little money stays open; the sentence says how much.
    assert!(choice.certificate.gap.unwrap() < 0.03 * built.cost, "{}", choice.proof);
    assert!(choice.proof.contains("roved"), "{}", choice.proof);
    assert!(choice.front.windows(2).all(|w| w[0].cost < w[1].cost && w[0].margin_db < w[1].margin_db));
}

/// Asked for eight times in ten, what is planned whole is told as surely as asked, not as the tenth percentile.
#[test]
fn another_confidence_is_told_of_the_whole_plan_too() {
    let choice = chosen(|text| text + "\n[choose]\nsure_percent = 80\n");
    let built = least_db(choice.chosen.as_ref().unwrap());
    let verified = choice.verified.as_ref().unwrap();
    let whole = verified.margins.iter().map(|row| row.margin_db).fold(f64::INFINITY, f64::min);
    assert!(!choice.holds && built < -0.5, "{built}");
    assert!((whole - built).abs() < 0.05, "{whole} {built}");
}

#[test]
fn own_options_and_keys_count() {
    let option = "\n[[option]]\nelement = \"door\"\nbuildup = \"window\"\nprice = 0\n\n[[option]]\nelement = \"window\"\nbuildup = \"door\"\n\n[choose]\nsure_percent = 80\nleave = [\"ceiling\", \"A-B\", \"C-D\", \"D-E\", \"E-A\"]\n";
    let (project, found) = read(&(easier(DEMO) + option), "room.toml");
    let project = project.unwrap_or_else(|| panic!("{found:?}"));
    let choice = choose(&project).unwrap();
    let of = |name: &str| choice.elements.iter().find(|element| element.name == name).unwrap();
    assert_eq!(of("ceiling").candidates.len(), 1);
    assert_eq!(of("door").candidates.last().unwrap().name, "Old pane with a second pane inside");
    assert!(
        choice.notes.iter().any(|note| note.contains("has no price and is left out")),
        "{:?}",
        choice.notes
    );
    assert!((choice.sure_percent - 80.0).abs() < 1e-9);
    // The same on one thread.
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    assert_eq!(one.install(|| choose(&project)).unwrap(), choice);
}

/// With more snow and men on the roof something still keeps the easier limits: sets that look worse in another's room are tried in their own.
#[test]
fn what_holds_in_its_own_room_is_found() {
    let choice = chosen(|text| easier(&text).replace("imposed_kn_m2 = 0.6", "imposed_kn_m2 = 0.9"));
    assert!(choice.holds, "{}", choice.proof);
    let verified = choice.verified.as_ref().unwrap();
    assert!(
        verified.margins.iter().all(|row| row.margin_db > -0.05) && verified.off_db < 0.1,
        "{verified:?}"
    );
    assert!(verified.newly_failing.is_empty(), "{verified:?}");
    assert!(choice.why_not.is_empty());
}

/// Everything but the door stays as it is, and no limit of sound asks anything but the one given inside.
fn only_the_door(text: &str, limit_nr: u32) -> String {
    let leave = "\n[choose]\nleave = [\"ceiling\", \"A-B\", \"C-D\", \"D-E\", \"E-A\", \"window\"]\n";
    let quiet =
        text.replace("limit_dba = 45\n", "limit_dba = 95\n").replace("limit_dba = 40 ", "limit_dba = 95 ");
    let quiet = quiet
        .replace("limit_dba = 60 ", "limit_dba = 99 ")
        .replace("limit_nr = 25", &format!("limit_nr = {limit_nr}"));
    quiet + leave
}

/// A wall for which nothing is proposed gets a sentence with what to write; a noise rating that nobody hears gets one with what is enough.
#[test]
fn an_element_without_candidates_is_named() {
    let lining = "\n[[lining]]\nwall = \"B-C\"\nkind = \"clips\"\n[[lining.layer]]\nmaterial = \"dense-plasterboard-15\"\nsheets = 2\n";
    let choice = chosen(|text| only_the_door(&text, 3) + lining);
    let bare = choice.notes.iter().find(|note| note.starts_with("Nothing but what is there is proposed for"));
    let bare = bare.unwrap_or_else(|| panic!("{:?}", choice.notes));
    assert!(bare.contains("wall B-C") && bare.contains("[[option]]") && !bare.contains("door"), "{bare}");
    assert!(choice.notes.iter().any(|note| note.contains("NR 5 is enough")), "{:?}", choice.notes);
    assert!(!choice.holds && choice.all_give_db.unwrap() > 0.0);
    assert!(choice.why_not.iter().all(|one| one.sentence.starts_with(&one.limit)), "{:?}", choice.why_not);
}

/// Headroom that the joists do not leave: the sentence tells to the millimetre what would have to give, and with so much less every limit is
/// kept, with a little more than that it is not.
#[test]
fn limits_that_contradict_each_other_get_the_smallest_relaxation() {
    let asked_mm = 2330.0;
    let with_mm = |headroom_mm: f64| {
        chosen(|text| {
            let own = format!("headroom_mm = {headroom_mm}");
            only_the_door(&text.replace("headroom_mm = 2250", &own), 90)
        })
    };
    let choice = with_mm(asked_mm);
    assert!(!choice.holds);
    let headroom = choice.why_not.iter().find(|one| one.limit == "headroom").unwrap();
    let by_mm = headroom.by.unwrap_or_else(|| panic!("{headroom:?}"));
    assert!(by_mm > 20.0 && headroom.sentence.contains("more allowed"), "{headroom:?}");
    for other in choice.why_not.iter().filter(|one| one.limit != "headroom") {
        assert!(other.by.is_none() && other.sentence.contains("alone"), "{other:?}");
    }
    assert!(with_mm(asked_mm - by_mm - 0.01).holds);
    assert!(!with_mm(asked_mm - by_mm + 1.0).holds);
}
