//! Rooms made up from nothing, of any shape and build-up: planned or refused with a sentence, and every number of the plan a number.
//! Properties, not evidence. `STILLROOM_TEST_ROOMS` sets how many.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first thing that is missing")]

use std::fmt::Write as _;

use catalogue::{Kind, ids};
use plan::{Plan, plan, read};
use proptest::{prelude::*, sample::Index, test_runner::RngSeed};
use quantities::format::round_to;

/// A ring of corners in millimetres, anticlockwise, the first wall along the bottom.
fn ring() -> impl Strategy<Value = Vec<[f64; 2]>> {
    let side = 1800.0..7000.0_f64;
    let part = 0.25..0.75_f64;
    (0..5_u8, side.clone(), side, part.clone(), part).prop_map(|(shape, wide, deep, a, b)| {
        let (cut_x, cut_y) = (wide * a, deep * b);
        match shape {
            0 => vec![[0.0, 0.0], [wide, 0.0], [wide, deep], [0.0, deep]],
            // A corner cut off.
            1 => vec![[0.0, 0.0], [wide, 0.0], [wide, deep], [cut_x, deep], [0.0, cut_y]],
            // An L.
            2 => vec![[0.0, 0.0], [wide, 0.0], [wide, cut_y], [cut_x, cut_y], [cut_x, deep], [0.0, deep]],
            // Out of square.
            3 => vec![[0.0, 0.0], [wide, 0.0], [wide * (0.8 + 0.3 * a), deep], [wide * 0.2 * b, deep * 1.1]],
            _ => vec![[0.0, 0.0], [wide, 0.0], [wide * 0.5, deep]],
        }
    })
}

const NAMES: [&str; 6] = ["A", "B", "C", "D", "E", "F"];

#[derive(Clone, Debug)]
struct Shape {
    ring: Vec<[f64; 2]>,
    tape_error_mm: Vec<f64>,
    spacing_mm: f64,
    depth_mm: f64,
    width_mm: f64,
    layers: Vec<(u8, Index, f64, bool)>,
    walls: Vec<(u8, Index, f64, bool)>,
    hung: u8,
    board: Index,
    source: Index,
    opening: (f64, f64, f64),
    distance_m: f64,
    gap_mm: f64,
    people: u32,
    roof: u8,
}

fn layers(most: usize) -> impl Strategy<Value = Vec<(u8, Index, f64, bool)>> {
    prop::collection::vec((0..6_u8, any::<Index>(), 0.0..1.0_f64, any::<bool>()), 1..most)
}

fn shape() -> impl Strategy<Value = Shape> {
    let geometry = (
        ring(),
        prop::collection::vec(-4.0..4.0_f64, 15),
        250.0..700.0_f64,
        75.0..300.0_f64,
        38.0..100.0_f64,
    );
    let fabric = (layers(5), layers(5), 0..4_u8, any::<Index>(), any::<Index>());
    let rest = (
        (0.05..0.6_f64, 300.0..1500.0_f64, 300.0..2100.0_f64),
        0.5..200.0_f64,
        0.01..20.0_f64,
        1..9_u32,
        0..3_u8,
    );
    (geometry, fabric, rest).prop_map(|(geometry, fabric, rest)| {
        let (ring, tape_error_mm, spacing_mm, depth_mm, width_mm) = geometry;
        let (layers, walls, hung, board, source) = fabric;
        let (opening, distance_m, gap_mm, people, roof) = rest;
        Shape {
            ring,
            tape_error_mm,
            spacing_mm,
            depth_mm,
            width_mm,
            layers,
            walls,
            hung,
            board,
            source,
            opening,
            distance_m,
            gap_mm,
            people,
            roof,
        }
    })
}

fn pick(kind: Kind, index: Index) -> &'static str {
    index.get::<&'static str>(ids(kind).as_slice())
}

fn layer(text: &mut String, (sort, index, size, more): &(u8, Index, f64, bool)) {
    let size = round_to(8.0 + 292.0 * size, 0);
    let _ = match sort {
        0 | 1 => {
            writeln!(
                text,
                "[[buildup.layer]]\nkind = \"board\"\nmaterial = \"{}\"",
                pick(Kind::Sheet, *index)
            )
        }
        2 => writeln!(
            text,
            "[[buildup.layer]]\nkind = \"masonry\"\nmaterial = \"{}\"",
            pick(Kind::Masonry, *index)
        ),
        3 => writeln!(
            text,
            "[[buildup.layer]]\nkind = \"membrane\"\nmaterial = \"{}\"",
            pick(Kind::Membrane, *index)
        ),
        _ if *more => writeln!(
            text,
            "[[buildup.layer]]\nkind = \"cavity\"\ndepth_mm = {size}\nfill = \"{}\"\nfill_mm = {}",
            pick(Kind::Fill, *index),
            round_to(size * 0.7, 0)
        ),
        _ => writeln!(text, "[[buildup.layer]]\nkind = \"cavity\"\ndepth_mm = {size}"),
    };
}

/// The layers in which no cavity is left open: none first or last, none next to another.
fn closed(layers: &[(u8, Index, f64, bool)]) -> Vec<(u8, Index, f64, bool)> {
    let mut closed: Vec<(u8, Index, f64, bool)> = Vec::new();
    for one in layers {
        let open = closed.last().is_none_or(|last| last.0 >= FIRST_CAVITY);
        if !(open && one.0 >= FIRST_CAVITY) {
            closed.push(*one);
        }
    }
    if closed.last().is_some_and(|last| last.0 >= FIRST_CAVITY) {
        closed.pop();
    }
    closed
}

/// Sorts of layer from this on are cavities.
const FIRST_CAVITY: u8 = 4;

impl Shape {
    /// One room in eight keeps its cavities open, to be refused with a sentence.
    fn layers<'a>(
        &self,
        layers: &'a [(u8, Index, f64, bool)],
    ) -> std::borrow::Cow<'a, [(u8, Index, f64, bool)]> {
        if self.people == 8 { layers.into() } else { closed(layers).into() }
    }

    /// The wall straight across from a place of the first one, and how far along it.
    fn far_wall(&self, x: f64) -> Option<(usize, f64)> {
        let count = self.ring.len();
        (1..count).find_map(|at| {
            let ([x1, y1], [x2, y2]) = (self.ring[at], self.ring[(at + 1) % count]);
            let part = (x1 - x) / (x1 - x2);
            let length = ((x2 - x1) * (x2 - x1) + (y2 - y1) * (y2 - y1)).sqrt();
            (x1 > x2 && (0.03..0.97).contains(&part)).then_some((at, part * length))
        })
    }

    fn text(&self) -> String {
        let count = self.ring.len();
        let wall = |at: usize| format!("{}-{}", NAMES[at], NAMES[(at + 1) % count]);
        let corners: Vec<String> = NAMES[..count].iter().map(|name| format!("\"{name}\"")).collect();
        let mut text = format!(
            "format = 1\n[project]\nname = \"made up\"\n[limits]\nheadroom_mm = 2000\n[survey]\ncorners = [{}]\nround = \
             \"anticlockwise\"\nlaser_above_floor_mm = 1200\n",
            corners.join(", ")
        );
        let mut errors = self.tape_error_mm.iter().cycle();
        for (from, first) in NAMES.iter().enumerate().take(count) {
            for (to, second) in NAMES.iter().enumerate().take(count).skip(from + 1) {
                let [dx, dy] = [0, 1].map(|axis| self.ring[to][axis] - self.ring[from][axis]);
                let mm = round_to((dx * dx + dy * dy).sqrt() + errors.next().unwrap(), 0);
                let _ = writeln!(
                    text,
                    "[[survey.tape]]\nfrom = \"{first}\"\nto = \"{second}\"\nceiling_mm = {mm}"
                );
            }
        }
        let kind = ["cold-flat", "warm-flat", "loft"][usize::from(self.roof)];
        let _ = write!(
            text,
            "[roof]\nkind = \"{kind}\"\nfloor_above_ground_mm = 100\nfall_mm_per_m = 20\nvent_gap_mm = 50\n[joists]\nmembers = \
             1\nmember_width_mm = {:.0}\ndepth_mm = {:.0}\nfrom_wall = \"A-B\"\nto_wall = \"{}\"\nbearing_mm = 90\ngrade = \"unknown\"\n",
            self.width_mm,
            self.depth_mm,
            wall(count / 2)
        );
        let wide = self.ring[1][0];
        let mut at = 150.0;
        let mut number = 1;
        while at < wide - 100.0 {
            if let Some((far, along_mm)) = self.far_wall(at) {
                let _ = writeln!(
                    text,
                    "[[joist]]\nname = \"J{number}\"\nfrom_mm = {at:.0}\nto_wall = \"{}\"\nto_mm = \
                     {along_mm:.0}\nup_from_laser_mm = [1178, 1180, 1179]",
                    wall(far)
                );
                number += 1;
            }
            at += self.spacing_mm;
        }
        text += "[[buildup]]\nid = \"roof\"\nname = \"roof\"\n";
        for one in &*self.layers(&self.layers) {
            layer(&mut text, one);
        }
        if self.hung < 3 {
            text += "[[buildup.layer]]\nkind = \"cavity\"\ndepth_mm = 41\n";
            for _ in 0..=self.hung {
                let board = pick(Kind::Sheet, self.board);
                let _ = writeln!(text, "[[buildup.layer]]\nkind = \"board\"\nmaterial = \"{board}\"");
            }
            text += "[[buildup.bridge]]\nkind = \"clip\"\nproduct = \"resilient-clip-low\"\n";
        }
        text += "[[buildup]]\nid = \"wall\"\nname = \"wall\"\n";
        for one in &*self.layers(&self.walls) {
            layer(&mut text, one);
        }
        text += "[[buildup]]\nid = \"door\"\nname = \"door\"\n[[buildup.layer]]\nkind = \"board\"\nmaterial = \"hardwood-54\"\n";
        text += "[ceiling]\nbuildup = \"roof\"\n";
        for at in 0..count {
            let faces = ["outside", "building", "neighbour", "ground"][at * self.people as usize % 4];
            let _ = writeln!(
                text,
                "[[wall]]\nbetween = \"{}\"\nbuildup = \"wall\"\nfaces = \"{faces}\"\nheight_mm = 2380",
                wall(at)
            );
        }
        let (from, width, height) = self.opening;
        let _ = write!(
            text,
            "[[opening]]\nname = \"door\"\nwall = \"A-B\"\nkind = \"door\"\nbuildup = \"door\"\nfrom_corner_mm = {:.0}\nwidth_mm = \
             {width:.0}\nheight_mm = {height:.0}\nseal = \"compression-seal\"\n[[gap]]\nwhere = \"perimeter\"\nelement = \
             \"ceiling\"\nlength_m = 12\nwidth_mm = {:.2}\ndepth_mm = 30\n",
            wide * from,
            self.gap_mm
        );
        let _ = write!(
            text,
            "[[source]]\nname = \"source\"\nkind = \"{}\"\n[[receiver]]\nname = \"fence\"\nwall = \"A-B\"\nalong_mm = \
             500\ndistance_m = {:.1}\nheight_m = 1.5\nlimit_dba = 45\n[use]\npeople = {}\nactivity = \"playing-drums\"\nhours = \
             2\nfresh_air_l_s = 30\n[[vent]]\nname = \"in\"\nwall = \"A-B\"\nfrom_corner_mm = 300\nabove_floor_mm = 2200\nduct_width_mm = 200\nduct_height_mm = 200\nlined_length_mm = 2400\nlining = \"mineral-wool-60kg\"\nlining_mm = 25\nbends = 2\n[stock.bar]\nproduct = \"furring-bar-26\"\nlength_mm = 3600\n[stock.clip]\nproduct = \
             \"resilient-clip-low\"\nrated_load_kg = 16\n[[stock.board]]\nmaterial = \"{}\"\nlength_mm = 2400\nwidth_mm = 1200\n",
            pick(Kind::Source, self.source),
            self.distance_m,
            self.people,
            pick(Kind::Sheet, self.board),
        );
        text
    }
}

/// A word of the plan as it is printed for a programmer that is no number.
fn no_number(plan: &Plan) -> Option<String> {
    let printed = format!("{plan:?}");
    let at = ["NaN", "inf"].iter().find_map(|word| {
        printed.match_indices(word).map(|(at, _)| at).find(|&at| {
            let letter = |c: char| c.is_alphanumeric() || c == '_' || c == '"';
            let before = printed[..at].chars().next_back();
            let after = printed[at + word.len()..].chars().next();
            // A number stands after a sign of the printing, a word of a sentence after a space and before another.
            !before.is_some_and(letter) && after.is_some_and(|after| ",)] }".contains(after))
        })
    })?;
    let start =
        (0..=at.saturating_sub(200)).rev().find(|&start| printed.is_char_boundary(start)).unwrap_or(0);
    Some(printed[start..].chars().take(260).collect())
}

fn rooms() -> u32 {
    std::env::var("STILLROOM_TEST_ROOMS").ok().and_then(|count| count.parse().ok()).unwrap_or(24)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: rooms(), failure_persistence: None, rng_seed: RngSeed::Fixed(11), max_shrink_iters: 40, ..ProptestConfig::default() })]

    #[test]
    fn a_room_made_up_from_nothing_is_planned_in_numbers(shape in shape()) {
        let text = shape.text();
        let (project, found) = read(&text, "room.toml");
        let Some(project) = project else {
            for one in &found {
                prop_assert!(one.message.len() > 15, "{one}");
                prop_assert!(one.code != "unknown-key" && one.code != "syntax", "{one}\n{text}");
            }
            return Ok(());
        };
        match plan(&project) {
            Ok(plan) => {
                let wrong = no_number(&plan);
                prop_assert!(wrong.is_none(), "{}\n{text}", wrong.unwrap_or_default());
                prop_assert!(!plan.verdicts.is_empty());
                prop_assert!(plan.ceiling.layout.is_some() || plan.ceiling.not_planned.is_some(), "{text}");
                if plan.ceiling.layout.is_some() {
                    prop_assert!(plan.ceiling.breaches.is_empty(), "{:?}\n{text}", plan.ceiling.breaches);
                }
            }
            Err(error) => prop_assert!(error.to_string().len() > 20),
        }
    }
}

/// The rooms above are not all refused: what is made up is mostly a room.
#[test]
fn most_rooms_made_up_are_read() {
    use proptest::{strategy::ValueTree, test_runner::TestRunner};
    let mut runner = TestRunner::deterministic();
    let mut why = std::collections::BTreeMap::new();
    let read = (0..200).filter(|_| {
        let (project, found) = read(&shape().new_tree(&mut runner).unwrap().current().text(), "room.toml");
        for one in found.iter().filter(|one| one.severity == plan::Severity::Error) {
            *why.entry(one.message.clone()).or_insert(0) += 1;
        }
        project.is_some()
    });
    let read = read.count();
    assert!(read > 60, "{read} of 200: {why:#?}");
}

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

fn demo_with(path: &str, value: f64) -> Plan {
    let text = plan::edit::set(DEMO, path, value).unwrap();
    plan(&read(&text, "room.toml").0.unwrap()).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4, failure_persistence: None, rng_seed: RngSeed::Fixed(5), ..ProptestConfig::default() })]

    #[test]
    fn a_wider_gap_is_never_quieter(narrow in 0.02..2.0_f64, more in 1.05..8.0_f64) {
        let [one, other] = [narrow, narrow * more].map(|width| demo_with("gap[0].width_mm", width));
        for (narrow, wide) in one.heard.iter().zip(&other.heard) {
            let [narrow_dba, wide_dba] = [narrow, wide].map(|heard| heard.heard.level_dba.median_db);
            prop_assert!(wide_dba >= narrow_dba - 1e-9, "{}: {narrow_dba} then {wide_dba}", narrow.receiver);
        }
    }

    #[test]
    fn heavier_boards_never_weigh_or_load_less(mass in 20.0..45.0_f64, more in 1.0..25.0_f64) {
        let at = |mass: f64| demo_with("stock.board[0].mass_kg", round_to(mass, 1));
        let (light, heavy) = (at(mass), at(mass + more));
        let worst = |plan: &Plan| plan.fabric.governing_joist.map(|at| plan.fabric.joists[at].governing.utilisation);
        // Another layout may hang more on joists that bear more: only the same one is held against itself.
        if light.ceiling.stamp == heavy.ceiling.stamp {
            prop_assert!(worst(&heavy) >= worst(&light), "{:?} {:?}", worst(&light), worst(&heavy));
        }
        let [light, heavy] = [light, heavy].map(|plan| plan.ceiling.layout.map(|layout| layout.take_off.mass_kg));
        if let (Some(light), Some(heavy)) = (light, heavy) {
            prop_assert!(heavy >= light, "{light} {heavy}");
        }
    }
}
