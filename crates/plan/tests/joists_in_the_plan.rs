//! Supports, overhangs, lateral restraint, hatches and the annex of the room file reach the joist check: each against a sum by hand.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at what it did not expect")]

use fabric::timber::{JoistResult, Restraint};
use plan::{Plan, plan, read};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");
const G: f64 = 9.81;

fn planned(edits: &[(&str, &str)]) -> Plan {
    let mut text = DEMO.to_owned();
    for (from, to) in edits {
        assert!(text.contains(from), "{from}");
        text = text.replacen(from, to, 1);
    }
    let (project, found) = read(&text, "room.toml");
    plan(&project.unwrap_or_else(|| panic!("{found:?}"))).unwrap()
}

fn joist<'a>(plan: &'a Plan, name: &str) -> &'a JoistResult {
    plan.fabric.joists.iter().find(|joist| joist.name == name).unwrap()
}

fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} against {expected} by hand");
}

/// Clapeyron's equation of three moments over a beam below at 1800 mm:
/// 2 M (l₁ + l₂) = −w (l₁³ + l₂³)/4 − Σ P a (l₁² − a²)/l₁ − Σ P b (l₂² − b²)/l₂, with a from the first, b from the last support.
#[test]
fn a_beam_under_the_joists_makes_two_spans_of_one() {
    let plan = planned(&[("bearing_mm = 90\n", "bearing_mm = 90\nsupport_mm = [1800]\n")]);
    let result = joist(&plan, "J7");
    let line = plan.survey.ceiling.as_ref().unwrap().joists[6].line;
    let whole_m = line.from.distance_mm(line.to) / 1000.0 + 0.09;
    let [l1, l2] = result.spans_m[..] else { panic!("{:?}", result.spans_m) };
    near(l1, 1.845, 1e-9);
    near(l1 + l2, whole_m, 1e-9);
    let width_m = ((3379.0 - 2472.0) + (2813.0 - 1897.0)) / 4000.0;
    let w = result.permanent_kn_m2 * width_m + result.self_weight_kn_m;
    let mut right = -w * (l1 * l1 * l1 + l2 * l2 * l2) / 4.0;
    let mut points_kn = 0.0;
    for load in plan.ceiling.layout.as_ref().unwrap().joist_loads.iter().filter(|load| load.joist == 6) {
        let (p, at) = (load.load_kg * G / 1000.0, load.at_mm / 1000.0 + 0.045);
        points_kn += p;
        let (from_end, l) = if at <= l1 { (at, l1) } else { (whole_m - at, l2) };
        right -= p * from_end * (l * l - from_end * from_end) / l;
    }
    let hogging = -right / (2.0 * (l1 + l2));
    let alone = result.combinations.iter().find(|one| one.name == "1.35 G alone").unwrap();
    near(alone.moment_knm, 1.35 * hogging, 0.01 * hogging);
    let carried: f64 = result.supports.iter().map(|support| support.permanent_kn).sum();
    near(carried, w * whole_m + points_kn, 0.003 * carried);
    assert_eq!(result.supports.len(), 3);
    assert!(result.supports[1].most_kn > result.supports[0].most_kn);
    let single = planned(&[]);
    assert!(
        result.final_deflection.deflection_mm < 0.3 * joist(&single, "J7").final_deflection.deflection_mm
    );
}

/// An eaves of 400 mm past the bearing of 90: the overhang counts from the middle of the bearing, 445 mm, and lifts the moment in the span.
#[test]
fn an_eaves_is_an_overhang() {
    let plan = planned(&[("bearing_mm = 90\n", "bearing_mm = 90\noverhang_to_mm = 400\n")]);
    let result = joist(&plan, "J7");
    near(result.overhangs_m[0], 0.0, 1e-12);
    near(result.overhangs_m[1], 0.445, 1e-12);
    let inside = planned(&[]);
    let plain = joist(&inside, "J7");
    let alone = |result: &JoistResult| {
        result.combinations.iter().find(|one| one.name == "1.35 G alone").unwrap().moment_knm
    };
    assert!(alone(result) < alone(plain));
    // The far support carries the overhang and its lever: more than the overhang's own weight more.
    let more = result.supports[1].permanent_kn - plain.supports[1].permanent_kn;
    let w =
        result.permanent_kn_m2 * ((3379.0 - 2472.0) + (2813.0 - 1897.0)) / 4000.0 + result.self_weight_kn_m;
    let span = result.spans_m[0];
    near(more, w * 0.445 * (span + 0.445 / 2.0) / span, 1e-3);
}

/// EN 1995-1-1 6.3.3 without a deck: σ_crit = 0.78 b² E₀.₀₅/(h l_ef), l_ef = 0.9 l + 2 h, k_crit by λ = √(f_mk/σ_crit), of one member of
/// 44 × 150 mm of C16 (E₀.₀₅ 5400, f_mk 16 N/mm²); noggings at 900 mm take 900 mm as length. No deck, no sharing of load.
#[test]
fn without_a_deck_the_joists_may_tip() {
    let deck = "[[buildup.layer]]\nkind = \"board\"\nmaterial = \"osb-18\"\n";
    let kcrit = |length_mm: f64| {
        let slenderness = (16.0 / (0.78 * 44.0 * 44.0 * 5400.0 / (150.0 * length_mm))).sqrt();
        if slenderness <= 0.75 { 1.0 } else { 1.56 - 0.75 * slenderness }
    };
    let loft = ("kind = \"cold-flat\"", "kind = \"loft\"");
    let open = planned(&[(deck, ""), loft]);
    let result = joist(&open, "J7");
    assert_eq!(result.restraint, Restraint::Free);
    near(result.factors.kcrit, kcrit(0.9 * result.spans_m[0] * 1000.0 + 300.0), 1e-9);
    assert!(result.factors.kcrit < 1.0);
    near(result.factors.ksys, 1.0, 1e-12);
    assert!(result.notes.iter().any(|note| note.contains("Nothing holds its upper edge")));
    let blocked = planned(&[(deck, ""), loft, ("bearing_mm = 90\n", "bearing_mm = 90\nblocking_mm = 900\n")]);
    near(joist(&blocked, "J7").factors.kcrit, kcrit(900.0), 1e-9);
    near(joist(&planned(&[]), "J7").factors.kcrit, 1.0, 1e-12);
    let floor = planned(&[(deck, ""), ("kind = \"cold-flat\"", "kind = \"floor\"")]);
    assert!(
        floor.fabric.not_checked.iter().any(|words| words.contains("Vibration of the floor is not checked"))
    );
    let strip = floor.verdicts.iter().find(|one| one.about == "joists").unwrap();
    assert_ne!(strip.standing, plan::outcome::Standing::Holds);
    assert_ne!(strip.standing, plan::outcome::Standing::Close);
}

/// A tank of 60 kg on a cut joist, a third of the way from the wall to the trimmer, brings a third of it there; on the whole joist beside
/// the opening it stays on that joist.
#[test]
fn what_stands_on_a_cut_joist_goes_to_its_trimmer() {
    let hatch = (
        "bearing_mm = 90\n",
        "bearing_mm = 90\nopening = [{ name = \"hatch\", cut = [\"J7\", \"J8\"], from_mm = 1300, length_mm = 900, trimming_members = 4 }]\n",
    );
    let with = |name: &str, at_mm: f64| {
        let named = format!("name = \"{name}\"\n");
        let loaded = format!("{named}load = [{{ name = \"tank\", at_mm = {at_mm}, mass_kg = 60 }}]\n");
        planned(&[hatch, (&named, &loaded)]).fabric.joist_openings[0].result.clone()
    };
    let plain = planned(&[hatch]).fabric.joist_openings[0].result.clone();
    let cut = with("J7", (1345.0 / 3.0) - 45.0);
    near(cut.trimmers[0].points_kn - plain.trimmers[0].points_kn, 20.0 * G / 1000.0, 1e-9);
    near(cut.trimmers[1].points_kn, plain.trimmers[1].points_kn, 1e-12);
    let beside = with("J6", 700.0);
    assert!(beside.trimming.name.starts_with("J6 "), "{}", beside.trimming.name);
    near(beside.trimming.points_kn - plain.trimming.points_kn, 60.0 * G / 1000.0, 0.01);
}

/// EN 1991-1-1 Table 6.10 recommends 0.4 kN/m² and 1.0 kN for such a roof (from memory); the UK annex 0.6 and 0.9. An exceptional drift acts
/// with the permanent loads alone and γ_M 1 (EN 1990 6.11b).
#[test]
fn the_annex_and_a_drift_are_the_persons_to_say() {
    let recommended = planned(&[(
        "imposed_kn_m2 = 0.6",
        "national_annex = \"recommended\"\nsnow_ground_kn_m2 = 0.5\nsnow_drift_kn_m2 = 1.2",
    )]);
    let names: Vec<&str> =
        joist(&recommended, "J7").combinations.iter().map(|one| one.name.as_str()).collect();
    assert!(names.contains(&"1.35 G + 1.5 Qk (1 kN)"), "{names:?}");
    assert!(names.contains(&"G + exceptional snow"), "{names:?}");
    let zone = planned(&[("imposed_kn_m2 = 0.6", "national_annex = \"recommended\"")]);
    assert!(zone.fabric.loads_missing.iter().any(|words| words.contains("those of the United Kingdom")));
}

/// A support beyond the joist's end leaves the joist unchecked: the strip says so, and a sentence says which key.
#[test]
fn a_support_beyond_the_end_is_told_and_nothing_passes() {
    let plan = planned(&[("bearing_mm = 90\n", "bearing_mm = 90\nsupport_mm = [7000]\n")]);
    assert!(plan.fabric.joists.is_empty());
    assert!(plan.fabric.not_checked.iter().any(|words| words.contains("`support_mm`")));
    let verdict = plan.verdicts.iter().find(|verdict| verdict.about == "joists").unwrap();
    assert_eq!(verdict.standing, plan::outcome::Standing::Open);
}

/// A beam at 1800 mm from wall A-B, A at the origin and B at x 5236 mm: every joist leaves its reaction there. The moment of one span by statics,
/// permanent loads alone times 1.35. Its ends carry what the joists bring and its own weight.
#[test]
fn a_beam_carries_what_its_joists_bring() {
    let beam = "[[joists.beam]]\nname = \"new beam\"\nat_mm = 1800\nmembers = 3\nmember_width_mm = 47\ndepth_mm = 220\n\
                grade = \"c24\"\n\n[[joist]]\nname = \"J1\"\n";
    let plan = planned(&[("[[joist]]\nname = \"J1\"\n", beam)]);
    let beam = &plan.fabric.beams[0];
    assert_eq!(beam.joists.len(), 12);
    let span_m = beam.from.distance_mm(beam.to) / 1000.0 + 0.1;
    near(beam.result.spans_m[0], span_m, 1e-9);
    let brought: f64 = plan.fabric.joists.iter().map(|joist| joist.supports[1].permanent_kn).sum();
    let ends: f64 = beam.result.supports.iter().map(|support| support.permanent_kn).sum();
    near(ends, brought + beam.result.self_weight_kn_m * span_m, 1e-6);
    // Statics of the permanent loads about the left bearing, then the moment under every load.
    let ceiling = plan.survey.ceiling.as_ref().unwrap();
    let unit = (beam.to - beam.from) * (1.0 / beam.from.distance_mm(beam.to));
    let loads: Vec<(f64, f64)> = ceiling
        .joists
        .iter()
        .zip(&plan.fabric.joists)
        .map(|(joist, result)| {
            let along =
                (joist.line.to - joist.line.from) * (1800.0 / joist.line.from.distance_mm(joist.line.to));
            ((joist.line.from + along - beam.from).dot(unit) / 1000.0 + 0.05, result.supports[1].permanent_kn)
        })
        .collect();
    let own = beam.result.self_weight_kn_m;
    let left: f64 = loads.iter().map(|(at, p)| p * (span_m - at) / span_m).sum::<f64>() + own * span_m / 2.0;
    let moment = |x: f64| {
        left * x - own * x * x / 2.0 - loads.iter().map(|(at, p)| p * (x - at).max(0.0)).sum::<f64>()
    };
    let most = loads.iter().map(|(at, _)| moment(*at)).fold(0.0, f64::max);
    let alone = beam.result.combinations.iter().find(|one| one.name == "1.35 G alone").unwrap();
    near(alone.moment_knm, 1.35 * most, 0.005 * most);
    assert!(plan.fabric.not_checked.iter().all(|words| !words.contains("What carries the joists")));
    let loose = planned(&[("bearing_mm = 90\n", "bearing_mm = 90\nsupport_mm = [1800]\n")]);
    assert!(
        loose
            .fabric
            .not_checked
            .iter()
            .any(|words| words.contains("What carries the joists at 1800\u{a0}mm"))
    );
}

/// The other edges of J4 hang lower than any underside read before: headroom, lowest joist and packers go by them.
#[test]
fn twist_reaches_headroom_and_packers() {
    let before = planned(&[]);
    let level = before.ceiling.layout.as_ref().unwrap().level.as_ref().unwrap();
    let lowest_mm = level.lowest_underside_mm;
    let laser = read(DEMO, "room.toml").0.unwrap().survey.laser_above_floor_mm.unwrap();
    // 10 mm under the lowest reading of the demo, at both ends and the middle of one edge.
    let up = lowest_mm - 10.0 - laser;
    let name_line = "name = \"J4\"\n";
    let edge = format!("{name_line}other_edge_up_from_laser_mm = [{up}, {up}, {up}]\n");
    let after = planned(&[(name_line, edge.as_str())]);
    let twisted = after.ceiling.layout.as_ref().unwrap().level.as_ref().unwrap();
    near(twisted.lowest_underside_mm, lowest_mm - 10.0, 1e-9);
    let headroom = |plan: &Plan| plan.heights.as_ref().unwrap().headroom_mm;
    near(headroom(&after), headroom(&before) - 10.0, 1e-9);
    assert_eq!(after.heights.as_ref().unwrap().lowest_joist, "J4");
    assert!(
        after.ceiling.layout.as_ref().unwrap().notes.iter().any(|note| note.starts_with("J4 is twisted"))
    );
    assert!(before.ceiling.layout.as_ref().unwrap().notes.iter().all(|note| !note.contains("twisted")));
}

/// One figure of a level typed 200 mm too low: the plan names it, before anybody planes a joist.
#[test]
fn a_level_reading_far_from_all_others_is_named() {
    let told = |plan: &Plan| {
        plan.findings.iter().filter(|one| one.sentence.contains("level reading of joist")).count()
    };
    let odd = planned(&[("[1138, 1133, 1146]", "[938, 1133, 1146]")]);
    let finding = odd.findings.iter().find(|one| one.sentence.contains("level reading of joist")).unwrap();
    assert!(finding.sentence.starts_with("The first level reading of joist J1 puts it"), "{finding:?}");
    assert!(finding.sentence.ends_with("below all others: read it again."), "{finding:?}");
    assert_eq!(told(&planned(&[])), 0);
    // A joist that really hangs low has more than one such reading.
    assert_eq!(told(&planned(&[("[1138, 1133, 1146]", "[938, 933, 946]")])), 0);
}
