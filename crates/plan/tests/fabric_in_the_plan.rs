//! What the room file says of joists, walls, air and the room inside reaches the plan: each number against a sum by hand.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at what it did not expect")]

use std::sync::LazyLock;

use fabric::plan_modes::plan_modes;
use plan::{Plan, Project, plan, read};
use quantities::{air::SPEED_OF_SOUND_M_S, math};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");
const G: f64 = 9.81;

fn project(edits: &[(&str, &str)]) -> Project {
    let mut text = DEMO.to_owned();
    for (from, to) in edits {
        assert!(text.contains(from), "{from}");
        text = text.replacen(from, to, 1);
    }
    let (project, found) = read(&text, "room.toml");
    project.unwrap_or_else(|| panic!("{found:?}"))
}

/// The demo as it is, planned once.
static DEMO_PLAN: LazyLock<Plan> = LazyLock::new(|| plan(&project(&[])).unwrap());

fn planned(edits: &[(&str, &str)]) -> Plan {
    if edits.is_empty() { DEMO_PLAN.clone() } else { plan(&project(edits)).unwrap() }
}

fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} against {expected} by hand");
}

const NOTCH: &str =
    "kind = \"top-notch\"\nat_mm = 460               # from the face of wall A-B\nsize_mm = 16\n";

/// The first mode of a height H is c/(2H); a mode of the plan has no part of the height and does not move with it.
#[test]
fn the_ceiling_moves_the_modes_of_the_height_and_leaves_those_of_the_plan() {
    let plan = planned(&[]);
    let modes = plan.fabric.modes.as_ref().unwrap();
    let heights = plan.heights.as_ref().unwrap();
    near(modes.height_m, heights.headroom_mm / 1000.0, 1e-9);
    near(modes.height_mode_hz, SPEED_OF_SOUND_M_S / (2.0 * modes.height_m), 1e-9);
    let drop_mm: f64 = heights.inside.iter().skip(1).map(|link| link.to_mm - link.from_mm).sum();
    near(modes.bare_height_m.unwrap() - modes.height_m, drop_mm / 1000.0, 1e-9);
    near(
        modes.bare_height_mode_hz.unwrap(),
        SPEED_OF_SOUND_M_S / (2.0 * (modes.height_m + drop_mm / 1000.0)),
        1e-9,
    );
    let in_plan = |list: &[fabric::room::RoomMode]| -> Vec<f64> {
        list.iter().filter(|mode| mode.kind == "plan").take(5).map(|mode| mode.frequency_hz).collect()
    };
    assert_eq!(in_plan(&modes.modes), in_plan(&modes.bare_modes));
    let corners: Vec<(f64, f64)> =
        plan.survey.corners.iter().map(|corner| (corner.at.x_mm / 1000.0, corner.at.y_mm / 1000.0)).collect();
    assert_eq!(plan_modes(&corners, modes.height_m, 20).unwrap(), modes.modes);
    assert_eq!(modes.schroeder_hz, plan.fabric.room.as_ref().map(|room| room.schroeder_hz));
}

/// Sabine: A = 55.3 V/(c T), so what is to add for a decay of T less what is there; twice the decay asks for half the area.
#[test]
fn the_absorption_to_add_follows_the_decay_wanted() {
    let dry = planned(&[]).fabric.room.unwrap();
    let live = planned(&[("wanted_decay_s = 0.35 ", "wanted_decay_s = 0.7 ")]).fabric.room.unwrap();
    let (dry, live) = (dry.decay[10], live.decay[10]);
    near(2.0 * (live.to_add_m2 + live.area_m2), dry.to_add_m2 + dry.area_m2, 1e-6);
}

/// Wells: ΔL = −10 lg[A_o (cos θ/(2π s²) + (1 − α)/(α A))], D_n,e = ΔL + 10 lg(10 m²/A_o). Box 1.2 × 0.45 × 0.65 m with openings of
/// 0.2 × 0.2 m at opposite ends, low and high: s² = 1.2² + 0.45², A = 3.225 m². The lining has α 0.9 at 500 Hz.
/// Air 30 l/s: 0.75 m/s through the opening, and 2 · 1.5 · ρv²/2 of pressure.
#[test]
fn a_baffle_box_loses_what_its_formula_says() {
    let plan = planned(&[]);
    let path = plan.fabric.air_paths.iter().find(|path| path.name == "air out").unwrap();
    let slant2: f64 = 1.2 * 1.2 + 0.45 * 0.45;
    let lined = 2.0 * (1.2 * 0.45 + 0.45 * 0.65 + 1.2 * 0.65);
    let through = 0.04 * (1.2 / slant2.sqrt() / (2.0 * math::PI * slant2) + 0.1 / (0.9 * lined));
    let by_hand = -10.0 * math::log10(through) + 10.0 * math::log10(10.0 / 0.04);
    let found = path
        .normalised_level_difference_db()
        .iter()
        .find(|(band, _)| band.nominal() == "500")
        .map(|(_, db)| db)
        .unwrap();
    near(found, by_hand, 0.1);
    near(path.velocity_m_s, 0.75, 1e-9);
    near(path.pressure_drop_pa, 3.0 * 0.5 * quantities::air::DENSITY_KG_M3 * 0.75 * 0.75, 1e-9);
}

/// D_n,e enters the sum at the receivers: what the box loses more, its share there loses too, band by band.
#[test]
fn what_an_air_path_loses_is_lost_at_the_receivers() {
    let (small, large) = (planned(&[]), planned(&[("box_height_mm = 650", "box_height_mm = 1300")]));
    let look = |plan: &Plan| {
        let loss = plan.fabric.air_paths.iter().find(|path| path.name == "air out").unwrap();
        let heard = plan.heard.iter().find(|one| one.receiver == "garden fence" && one.governs).unwrap();
        let share = heard.heard.shares.iter().find(|share| share.name == "air out").unwrap();
        (loss.insertion_loss_db, *share.level_db.median_db())
    };
    let ((loss_a, level_a), (loss_b, level_b)) = (look(&small), look(&large));
    for (band, loss) in loss_a.iter().filter(|(band, _)| (100.0..2000.0).contains(&band.nominal_hz())) {
        let more = loss_b.get(band) - loss;
        assert!(more > 0.5, "{} Hz: {more}", band.nominal());
        near(level_a.get(band) - level_b.get(band), more, 0.3);
    }
}

/// Vents of one way share the fresh air of 30 l/s; supply and extract each carry all of it. The smallest box in a vent's place keeps
/// every limit by 10 dB, as the vent's own margin is counted.
#[test]
fn each_way_carries_the_fresh_air_and_gets_its_smallest_box() {
    let plan = planned(&[]);
    assert!(plan.fabric.vents.iter().all(|vent| (vent.air_l_s - 30.0).abs() < 1e-9));
    let both_in = planned(&[("air = \"extract\"", "air = \"supply\"")]);
    assert!(both_in.fabric.vents.iter().all(|vent| (vent.air_l_s - 15.0).abs() < 1e-9));
    assert!(both_in.fabric.not_checked.iter().any(|words| words.contains("takes used air out")));
    let vent = plan.fabric.vents.iter().find(|vent| vent.name == "air out").unwrap();
    let found = vent.smallest_box.as_ref().unwrap();
    assert!(found.length_m * found.width_m * found.height_m <= 1.2 * 0.45 * 0.65 + 1e-9);
    assert!(vent.margin_db.unwrap() >= 0.0);
}

/// What is left at a notch in the middle of the span bends as a shallower joist: utilisation grows with ((h − s₁)/(h − s₂))²; h 150,
/// s 6 and 16 mm: both leave the joist within what it can take, so that the clips stay where they are.
#[test]
fn a_notch_leaves_a_shallower_joist() {
    let used = |size: &str| {
        let cut = format!("kind = \"top-notch\"\nat_mm = 1950\nsize_mm = {size}\n");
        let plan = planned(&[(NOTCH, cut.as_str())]);
        plan.fabric.joists.iter().find(|joist| joist.name == "J5").unwrap().cuts[0].clone()
    };
    let (small, deep) = (used("6"), used("16"));
    let ratio = (150.0 - 6.0) / (150.0 - 16.0);
    near(deep.utilisation / small.utilisation, ratio * ratio, 1e-6);
    assert!(!small.permitted, "the middle of the span is no place for a notch without a sum");
    let as_found = planned(&[]).fabric.joists;
    assert!(as_found.iter().find(|joist| joist.name == "J5").unwrap().cuts[0].permitted);
}

/// A third member like the two there are: two thirds of the sag by bending, raised by the own weight it adds, s, over the whole load
/// w: δ'/δ = 2/3 (1 + s/w), w = (g + q) · 0.451 m + own weight + clips over the span, q 0.6 kN/m².
#[test]
fn a_sister_takes_its_share() {
    let joist = |edits: &[(&str, &str)]| {
        let plan = planned(edits);
        let line = plan.survey.ceiling.as_ref().unwrap().joists[4].line;
        (plan.fabric.joists[4].clone(), line.from.distance_mm(line.to) / 1000.0 + 0.09)
    };
    let (alone, span_m) = joist(&[]);
    let (shared, _) = joist(&[(
        "name = \"J5\"\n",
        "name = \"J5\"\nsister_width_mm = 44\nsister_depth_mm = 150\nsister_grade = \"unknown\"\n",
    )]);
    let whole_kn_m =
        (alone.permanent_kn_m2 + 0.6) * 0.451 + alone.self_weight_kn_m + alone.points_kn / span_m;
    let added_kn_m = shared.self_weight_kn_m - alone.self_weight_kn_m;
    near(added_kn_m, alone.self_weight_kn_m / 2.0, 1e-9);
    let by_hand = 2.0 / 3.0 * (1.0 + added_kn_m / whole_kn_m);
    near(shared.deflection_at_once.bending_mm / alone.deflection_at_once.bending_mm, by_hand, 0.003);
    assert!(shared.notes.iter().any(|note| note.contains("The sister member")));
}

/// A tank of 50 kg is 50 · 9.81 N at its place.
#[test]
fn what_stands_on_a_joist_is_counted() {
    let points = |edits: &[(&str, &str)]| {
        planned(edits).fabric.joists.iter().find(|joist| joist.name == "J8").unwrap().points_kn
    };
    let load = "name = \"J8\"\nload = [{ name = \"tank\", at_mm = 900, mass_kg = 50 }]\n";
    near(points(&[("name = \"J8\"\n", load)]) - points(&[]), 50.0 * G / 1000.0, 1e-9);
}

/// Each trimmer takes half of the cut joists' length on its side, t, over the width w between the whole joists, and brings half of it to
/// each: (g t + own weight) w/2 of permanent load and q t w/2 of variable load times 1.5/1.35.
#[test]
fn a_hatch_brings_its_trimmers_loads_to_the_whole_joists() {
    let plan = planned(&[(
        "bearing_mm = 90\n",
        "bearing_mm = 90\nopening = [{ name = \"hatch\", cut = [\"J7\", \"J8\"], from_mm = 1300, length_mm = 900, trimming_members = 4 }]\n",
    )]);
    let hatch = &plan.fabric.joist_openings[0];
    assert_eq!(hatch.between, ["J6".to_owned(), "J9".to_owned()]);
    assert_eq!(hatch.cut, ["J7", "J8"]);
    let width_m = hatch.width_mm / 1000.0;
    // J6 stands at 2472, J9 at 3816 mm on one wall, at 2813 and 1469 on the other: 1344 mm both times.
    near(width_m, 1.344, 0.02);
    let dead_kn_m2: f64 = plan.fabric.dead_loads.iter().map(|load| load.mass_kg_m2 * G / 1000.0).sum();
    let span_m = |name: &str| {
        let joists = &plan.survey.ceiling.as_ref().unwrap().joists;
        let line = joists.iter().find(|joist| joist.name == name).unwrap().line;
        line.from.distance_mm(line.to) / 1000.0 + 0.09
    };
    let by_hand = |span_m: f64| {
        let near_m = 1.345;
        let far_m = span_m - near_m - 0.9;
        let snow_or_men_kn_m2: f64 = 0.6;
        [near_m, far_m]
            .iter()
            .zip(&hatch.result.trimmers)
            .map(|(piece_m, trimmer)| {
                let t = piece_m / 2.0;
                (dead_kn_m2 * t + trimmer.self_weight_kn_m) * width_m / 2.0
                    + snow_or_men_kn_m2 * t * width_m / 2.0 * 1.5 / 1.35
            })
            .sum::<f64>()
    };
    let found = hatch.result.trimming.points_kn;
    let (a, b) = (by_hand(span_m("J6")), by_hand(span_m("J9")));
    assert!((found - a).abs() < 1e-6 || (found - b).abs() < 1e-6, "{found} against {a} or {b}");
    assert_eq!(hatch.outline.len(), 4);
}

/// A small hatch is a hole in the ceiling too: either the layout goes round it without a breach, or a sentence says why there is none.
#[test]
fn the_ceiling_goes_round_a_hatch_or_says_why_not() {
    let plan = planned(&[(
        "bearing_mm = 90\n",
        "bearing_mm = 90\nopening = [{ name = \"hatch\", cut = [\"J8\"], from_mm = 1500, length_mm = 500 }]\n",
    )]);
    assert_eq!(plan.ceiling.given.as_ref().map(|given| given.obstructions.len()), Some(1));
    match (&plan.ceiling.layout, &plan.ceiling.not_planned) {
        (Some(_), _) => assert!(plan.ceiling.breaches.is_empty(), "{:?}", plan.ceiling.breaches),
        (None, words) => assert!(words.as_ref().is_some_and(|words| words.len() > 20)),
    }
}

/// EN 1995-1-1 (7.5): f₁ = π/(2 l²) √(EI_l/m), I of 2 × 44 × 150 mm of C16 (8 kN/mm²) over the width carried; and a floor carries 1.5 kN/m²
/// and no snow.
#[test]
fn a_floor_is_checked_for_vibration() {
    let plan = planned(&[
        ("kind = \"cold-flat\"\nfloor_above", "kind = \"floor\"\nfloor_above"),
        ("imposed_kn_m2 = 0.6", "# as usual"),
    ]);
    let joist = plan.fabric.joists.iter().find(|joist| joist.name == "J7").unwrap();
    let vibration = joist.vibration.as_ref().unwrap();
    let ceiling = plan.survey.ceiling.as_ref().unwrap();
    let line = ceiling.joists.iter().find(|joist| joist.name == "J7").unwrap().line;
    let span_m = line.from.distance_mm(line.to) / 1000.0 + 0.09;
    // J6, J7, J8 at 2472, 2921, 3379 and 2813, 2346, 1897 mm: half the way to each neighbour.
    let width_m = ((3379.0 - 2472.0) + (2813.0 - 1897.0)) / 4000.0;
    let ei = 8e9 * 0.088 * 0.15 * 0.15 * 0.15 / 12.0;
    // The ceiling on its clips moves with the floor.
    let hung_kn_m2 = joist.points_kn / span_m / width_m;
    let mass = (joist.permanent_kn_m2 + hung_kn_m2 + joist.self_weight_kn_m / width_m) * 1000.0 / G;
    let by_hand = math::PI / (2.0 * span_m * span_m) * (ei / width_m / mass).sqrt();
    near(vibration.frequency_hz, by_hand, 0.02 * by_hand);
    assert!(joist.combinations.iter().all(|one| !one.name.contains("snow")), "{:?}", joist.combinations);
}

/// p = φ · 610.5 exp(17.269 θ/(237.3 + θ)): January inside at 18.5 °C and 44 % has 937 Pa; without the logger class 3 is used.
#[test]
fn a_measured_indoor_climate_goes_before_the_humidity_class() {
    let measured = planned(&[]).fabric.moisture.unwrap();
    let by_hand = 0.44 * 610.5 * math::exp(17.269 * 18.5 / (237.3 + 18.5));
    near(measured.months[0].indoor_pa, by_hand, 0.5);
    assert!(measured.basis.iter().any(|basis| basis.what == "indoor climate"));
    let start = DEMO.find("\n[indoor_climate]").unwrap();
    let end = DEMO
        .find("# ---------------------------------------------------------------- rules of the ceiling")
        .unwrap();
    let by_class = planned(&[(&DEMO[start..end], "")]).fabric.moisture.unwrap();
    assert!(by_class.months[0].indoor_pa > measured.months[0].indoor_pa + 200.0);
}

/// One brick plastered: U = 1/(0.13 + 0.215/λ + 0.013/0.57 + 0.04), f_Rsi = 1 − 0.25 U.
#[test]
fn outside_walls_have_their_heat_and_damp() {
    let plan = planned(&[]);
    let wall = plan.fabric.walls.iter().find(|wall| wall.walls == ["D-E"]).unwrap();
    let lambda = catalogue::find::<catalogue::Masonry>("brick-215").unwrap().conductivity_w_m_k;
    let by_hand = 1.0 / (0.13 + 0.215 / lambda + 0.013 / 0.57 + 0.04);
    near(wall.u_value.u_w_m2k, by_hand, 1e-9);
    let moisture = wall.moisture.as_ref().unwrap();
    near(moisture.frsi, 1.0 - 0.25 * by_hand, 1e-9);
    assert!(plan.fabric.walls.iter().any(|wall| wall.walls == ["B-C", "C-D", "E-A"]));
    for not_known in ["wind-driven rain", "in summer", "water built in"] {
        assert!(moisture.notes.iter().any(|note| note.contains(not_known)), "{not_known}");
    }
}

/// EN ISO 6946 (eq. 9): R = (1500 − A)/1000 R_u + (A − 500)/1000 R_v; with A 1000 mm²/m half of each: 0.18 still, and from the gap
/// outwards nothing counts, with 0.13 at its inner face.
#[test]
fn a_slightly_ventilated_cavity_lies_between_still_and_open() {
    let u = |edit: &str| {
        let plan = planned(&[("depth_mm = 50\n\n", edit)]);
        let walls = plan.fabric.walls;
        walls.iter().find(|wall| wall.walls.len() == 3).unwrap().u_value.u_w_m2k
    };
    let still = u("depth_mm = 50\n\n");
    let slight = u("depth_mm = 50\nopenings_mm2 = 1000\n\n");
    let open = u("depth_mm = 50\nopenings_mm2 = 2000\n\n");
    near(1.0 / slight, 0.5 * (1.0 / still + 1.0 / open), 1e-6);
}

/// EN ISO 6946 (F.1): ΔU = ΔU″ (R₁/R_tot)², ΔU″ 0.04 W/(m² K) for gaps with air behind, 0.01 without: four times as much.
#[test]
fn fibre_that_does_not_fit_costs_heat() {
    let u = |edit: &str| planned(&[("fill_mm = 100\n", edit)]).fabric.u_value.unwrap().u_w_m2k;
    let tight = planned(&[]).fabric.u_value.unwrap().u_w_m2k;
    let gaps = u("fill_mm = 100\nfill_gaps = \"through\"\n");
    let behind = u("fill_mm = 100\nfill_gaps = \"through-and-behind\"\n");
    near((behind - tight) / (gaps - tight), 4.0, 1e-6);
}

/// The warm roof's insulation comes on top of the roof: what is left under the limit less its thickness. Its U-value is no worse than the
/// cold roof's; 40 mm of foam without the fibre has R = 0.04/0.022 and more from what lies below.
#[test]
fn the_warm_roof_is_worked_out_and_held_against_the_height() {
    let plan = planned(&[]);
    let warm = plan.fabric.warm_roof.as_ref().unwrap();
    let cold = plan.fabric.u_value.as_ref().unwrap().u_w_m2k;
    near(warm.u_w_m2k, cold, 1e-12);
    let heights = plan.heights.as_ref().unwrap();
    let words = heights.warm_roof.as_ref().unwrap();
    let left_mm = heights.left_outside_mm.unwrap();
    for roof in warm.with_fibre.iter().chain(&warm.without_fibre) {
        assert!(roof.u_value.u_w_m2k <= cold);
        let over_mm = (left_mm - roof.added_height_mm).abs();
        let shown = quantities::format::with_unit(over_mm, 0, "mm");
        assert!(words.contains(&shown), "{words} lacks {shown}");
    }
    let bare = warm.without_fibre.as_ref().unwrap();
    assert!(bare.u_value.u_w_m2k < 0.022 / (bare.insulation_mm / 1000.0));
}

/// 100 W of equipment more is 100 W of heat more.
#[test]
fn equipment_heats_the_room() {
    let heat = |edits: &[(&str, &str)]| planned(edits).fabric.air.unwrap().heat_w;
    near(
        heat(&[("co2_limit_ppm = 1500", "co2_limit_ppm = 1500\nequipment_w = 200")]) - heat(&[]),
        100.0,
        1e-9,
    );
}

fn joists_verdict(plan: &Plan) -> plan::outcome::Verdict {
    plan.verdicts.iter().find(|verdict| verdict.about == "joists").unwrap().clone()
}

/// What fails by strength or sag fails, even while a vibration is open; a grade that was assumed is told whichever timber governs.
#[test]
fn a_failing_joist_is_never_hidden_behind_an_open_question() {
    let floor = planned(&[
        ("kind = \"cold-flat\"", "kind = \"floor\""),
        ("imposed_kn_m2 = 0.6", "imposed_kn_m2 = 1.5"),
    ]);
    assert_eq!(joists_verdict(&floor).standing, plan::outcome::Standing::Fails);
    assert!(joists_verdict(&planned(&[])).meaning.contains("grade assumed"));
}

/// A load typed beyond the joist's end is not dropped: the timber stays open until it is put right.
#[test]
fn a_load_beyond_the_joist_is_not_lost() {
    let load = "[[joist.load]]\nname = \"tank\"\nat_mm = 9000\nmass_kg = 200\n\n[[buildup]]";
    let plan = planned(&[("[[buildup]]", load)]);
    assert_eq!(joists_verdict(&plan).standing, plan::outcome::Standing::Open);
}

/// A limit is what must not be exceeded: a board too heavy to lift fails the ceiling, a cold roof without air fails the damp.
#[test]
fn what_breaks_a_limit_fails() {
    let verdict = |plan: &Plan, about: &str| {
        plan.verdicts.iter().find(|verdict| verdict.about == about).unwrap().standing
    };
    let heavy = planned(&[("lift_kg = 40", "lift_kg = 20")]);
    assert_eq!(verdict(&heavy, "ceiling"), plan::outcome::Standing::Fails);
    let closed = planned(&[("vented = true", "vented = false")]);
    assert_eq!(verdict(&closed, "damp"), plan::outcome::Standing::Fails);
}

/// A cold roof over 5 m long needs more air above its fill: the step asks for that, not for the less that the file has.
#[test]
fn the_step_that_fills_a_roof_asks_for_the_air_its_length_needs() {
    let asked = |edits: &[(&str, &str)]| {
        let mut text = plan::starter::starter_text().to_owned();
        for (from, to) in edits {
            assert!(text.contains(from), "{from}");
            text = text.replacen(from, to, 1);
        }
        let (project, found) = read(&text, "room.toml");
        let plan = plan(&project.unwrap_or_else(|| panic!("{found:?}"))).unwrap();
        let step = plan.steps.iter().find(|step| step.title == "Fill between the joists").unwrap();
        let limit = step.hold_point.as_ref().unwrap().limit.clone().unwrap();
        (limit.least, step.text.join(" "))
    };
    let (least, text) = asked(&[]);
    assert!(least == Some(50.0) && text.contains("25\u{a0}mm") && text.contains("50\u{a0}mm"), "{text}");
    let (least, text) = asked(&[
        ("ceiling_mm = 3003", "ceiling_mm = 6003"),
        ("ceiling_mm = 3001", "ceiling_mm = 6001"),
        ("ceiling_mm = 5004", "ceiling_mm = 7215"),
        ("ceiling_mm = 5009", "ceiling_mm = 7218"),
    ]);
    assert!(least == Some(60.0) && text.contains("30\u{a0}mm") && text.contains("60\u{a0}mm"), "{text}");
}
