//! The check finds each fault put into a sound layout, and every rule has a fault here.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test stops at once"
)]

mod bars;
mod boards;
mod clips;
mod joints;
#[path = "../rooms/mod.rs"]
mod rooms;

use std::sync::OnceLock;

use setout::check::{Breach, Rule, check};
use setout::{BarReason, Budget, Ceiling, Layout, MarkFor, Point, Support, set_out};

fn laid(ceiling: Ceiling) -> (Ceiling, Layout) {
    let layout = set_out(&ceiling, &Budget { steps: 30, shifts: 0 }).unwrap();
    assert_eq!(check(&ceiling, &layout), []);
    (ceiling, layout)
}

type Laid = OnceLock<(Ceiling, Layout)>;

fn sound() -> (Ceiling, Layout) {
    static SOUND: Laid = OnceLock::new();
    SOUND.get_or_init(|| laid(rooms::percussion_room())).clone()
}

/// A room with a hatch, joists and bars askew to every wall, two layers of one board; far from where its plan begins.
fn sound_with_hatch() -> (Ceiling, Layout) {
    static SOUND: Laid = OnceLock::new();
    let moved = || {
        let mut room = rooms::skewed_with_hatch();
        rooms::move_points(&mut room, |p| p + Point::new(700.0, -400.0));
        laid(room)
    };
    SOUND.get_or_init(moved).clone()
}

/// A room with square corners, bars along its longer walls.
fn sound_and_square() -> (Ceiling, Layout) {
    static SOUND: Laid = OnceLock::new();
    let square = || {
        let joists = (0..9).map(|i| {
            let x = 210.0 + 425.0 * f64::from(i);
            rooms::joist(i as usize + 1, (x, 0.0), (x, 2900.0), [2400.0; 3])
        });
        laid(rooms::ceiling(
            rooms::corners(&[(0., 0.), (3850., 0.), (3850., 2900.), (0., 2900.)]),
            joists.collect(),
        ))
    };
    SOUND.get_or_init(square).clone()
}

/// What of a rule's is told of a spoilt layout.
fn told(
    (mut ceiling, mut layout): (Ceiling, Layout),
    rule: Rule,
    spoil: impl FnOnce(&mut Ceiling, &mut Layout),
) -> Vec<Breach> {
    spoil(&mut ceiling, &mut layout);
    check(&ceiling, &layout).into_iter().filter(|breach| breach.rule == rule).collect()
}

/// The one breach whose sentence has these words.
#[track_caller]
fn one<'a>(told: &'a [Breach], words: &str) -> &'a Breach {
    let mut having = told.iter().filter(|breach| breach.sentence.contains(words));
    let first = having.next().unwrap_or_else(|| panic!("nothing told with \"{words}\" in {told:#?}"));
    assert_eq!(having.next(), None, "told twice: {words}");
    first
}

#[track_caller]
fn by(breach: &Breach, wanted: f64, within: f64) {
    assert!((breach.by - wanted).abs() <= within, "by {} for {wanted}: {breach:?}", breach.by);
}

/// No sentence has these words.
#[track_caller]
fn none(told: &[Breach], words: &str) {
    let found = told.iter().find(|breach| breach.sentence.contains(words));
    assert_eq!(found, None);
}

/// The largest of the rule's breaches.
#[track_caller]
fn worst(told: &[Breach]) -> f64 {
    assert!(!told.is_empty());
    told.iter().map(|breach| breach.by).fold(f64::NEG_INFINITY, f64::max)
}

#[track_caller]
fn caught(rule: Rule, spoil: impl Fn(&mut Ceiling, &mut Layout)) {
    let (mut ceiling, mut layout) = sound();
    spoil(&mut ceiling, &mut layout);
    let breaches = check(&ceiling, &layout);
    assert!(
        breaches.iter().any(|b| b.rule == rule),
        "{rule:?} not found in {:?}",
        breaches.iter().map(|b| (b.rule, &b.sentence)).collect::<Vec<_>>()
    );
}

fn shift(p: Point, dx: f64, dy: f64) -> Point {
    Point::new(p.x_mm + dx, p.y_mm + dy)
}

fn bar_of(layout: &Layout, reason: BarReason) -> usize {
    layout.bars.iter().position(|b| b.reason == reason).unwrap()
}

#[test]
fn a_joint_bar_moved_aside_leaves_its_joint_bare() {
    caught(Rule::EndsOnBars, |_, l| {
        let i = bar_of(l, BarReason::Joint);
        l.bars[i].from = shift(l.bars[i].from, 0.0, 12.0);
        l.bars[i].to = shift(l.bars[i].to, 0.0, 12.0);
    });
}

#[test]
fn a_missing_perimeter_bar_is_found() {
    caught(Rule::EndsOnBars, |_, l| {
        let i = bar_of(l, BarReason::Perimeter);
        l.bars[i].from = shift(l.bars[i].from, 0.0, 110.0);
        l.bars[i].to = shift(l.bars[i].to, 0.0, 110.0);
    });
}

#[test]
fn a_bar_left_out_opens_a_gap() {
    caught(Rule::BarGap, |c, l| {
        let i = l.bars.iter().rposition(|b| b.reason != BarReason::Perimeter).unwrap() / 2;
        l.bars.remove(i);
        c.rules.bar_gap_mm = 400.0;
    });
}

#[test]
fn a_limit_a_little_under_the_widest_gap_is_noticed() {
    let (mut ceiling, layout) = sound();
    let across: Vec<f64> = layout
        .bars
        .iter()
        .filter(|b| b.reason != BarReason::Perimeter)
        .map(|b| layout.frame.frame_from_room(b.from).y_mm)
        .collect();
    let widest = across.windows(2).map(|w| w[1] - w[0]).fold(0.0, f64::max);
    ceiling.rules.bar_gap_mm = widest - 10.0;
    let found = check(&ceiling, &layout);
    let gap = found.iter().find(|b| b.rule == Rule::BarGap).unwrap();
    assert!((gap.by - 10.0).abs() < 1.0, "{gap:?}");
}

#[test]
fn a_clip_left_out_opens_a_clip_gap() {
    caught(Rule::ClipGap, |_, l| {
        let middle = (0..l.clips.len())
            .find(|&i| {
                i > 0
                    && l.clips[i - 1].bar == l.clips[i].bar
                    && l.clips.get(i + 1).is_some_and(|c| c.bar == l.clips[i].bar)
            })
            .unwrap();
        l.clips.remove(middle);
    });
}

#[test]
fn a_clip_slid_off_its_joist_is_found() {
    caught(Rule::ClipOnTimber, |_, l| {
        let i = l.clips.iter().position(|c| matches!(c.on, Support::Joist(_))).unwrap();
        let along = l.frame.along;
        l.clips[i].at = shift(l.clips[i].at, 60.0 * along.x_mm, 60.0 * along.y_mm);
        l.clips[i].along_mm += 60.0;
    });
}

#[test]
fn a_load_over_the_rating_is_found() {
    caught(Rule::ClipLoad, |c, _| c.clip.rated_load_kg = Some(10.0));
}

#[test]
fn a_load_a_few_grams_over_the_rating_is_found() {
    caught(Rule::ClipLoad, |c, l| {
        let heaviest = l.clips.iter().map(|clip| clip.load_kg).fold(0.0, f64::max);
        c.clip.rated_load_kg = Some(heaviest - 0.005);
    });
}

#[test]
fn a_load_listed_four_per_cent_low_is_found() {
    caught(Rule::ClipLoad, |_, l| {
        let heaviest =
            (0..l.clips.len()).max_by(|&a, &b| l.clips[a].load_kg.total_cmp(&l.clips[b].load_kg)).unwrap();
        l.clips[heaviest].load_kg *= 0.96;
    });
}

#[test]
fn a_load_listed_too_low_is_found() {
    caught(Rule::ClipLoad, |_, l| {
        let heaviest =
            (0..l.clips.len()).max_by(|&a, &b| l.clips[a].load_kg.total_cmp(&l.clips[b].load_kg)).unwrap();
        l.clips[heaviest].load_kg /= 2.0;
    });
}

#[test]
fn a_bar_run_into_the_wall_is_found() {
    caught(Rule::Clear, |_, l| {
        let (along, to) = (l.frame.along, l.bars[1].to);
        l.bars[1].to = shift(to, 8.0 * along.x_mm, 8.0 * along.y_mm);
    });
}

#[test]
fn boards_that_touch_the_wall_are_found() {
    caught(Rule::Clear, |c, _| c.rules.perimeter_gap_mm = 12.0);
}

#[test]
fn a_bar_through_a_hatch_is_found() {
    caught(Rule::Clear, |c, l| {
        let p = l.bars[3].from.toward(l.bars[3].to, 0.5);
        c.obstructions.push(vec![
            shift(p, -50., -50.),
            shift(p, 50., -50.),
            shift(p, 50., 50.),
            shift(p, -50., 50.),
        ]);
    });
}

#[test]
fn staggers_that_are_too_small_are_found() {
    caught(Rule::Stagger, |c, _| c.rules.stagger_rows_mm = 700.0);
    caught(Rule::Stagger, |c, _| c.rules.stagger_layers_mm = 310.0);
}

#[test]
fn a_shifted_piece_leaves_a_hole_and_an_overlap() {
    caught(Rule::Cover, |_, l| {
        for p in &mut l.layers[0].pieces[5].outline {
            *p = shift(*p, 5.0, 0.0);
        }
    });
    caught(Rule::Cover, |_, l| {
        l.layers[1].pieces.remove(2);
    });
}

#[test]
fn a_piece_too_large_for_its_sheet_is_found() {
    caught(Rule::CutFromSheets, |c, _| c.layers[1].length_mm = 2300.0);
    caught(Rule::CutFromSheets, |c, _| c.rules.min_strip_mm = 500.0);
    caught(Rule::CutFromSheets, |c, _| c.rules.kerf_mm = 400.0);
    caught(Rule::CutFromSheets, |_, l| {
        let piece = l.layers[1].pieces.iter_mut().find(|p| !p.whole).unwrap();
        piece.on_sheet[0] = shift(piece.on_sheet[0], -3.0, 0.0);
    });
}

#[test]
fn laps_too_short_or_in_line_are_found() {
    caught(Rule::Laps, |c, _| c.rules.min_lap_mm = 160.0);
    caught(Rule::Laps, |c, _| c.rules.lap_stagger_mm = 2500.0);
    caught(Rule::Laps, |c, _| c.bar.stock_length_mm = 3500.0);
}

#[test]
fn a_wrong_packer_is_found() {
    caught(Rule::Packing, |_, l| {
        let clip = l.clips.iter_mut().find(|c| matches!(c.on, Support::Joist(_))).unwrap();
        clip.packer_mm = clip.packer_mm.map(|p| p + 1.5);
    });
}

#[test]
fn totals_that_do_not_add_up_are_found() {
    caught(Rule::TakeOff, |_, l| l.take_off.screws += 1);
    caught(Rule::TakeOff, |_, l| l.layers[0].pieces[0].mass_kg += 0.1);
}

#[test]
fn a_mark_off_its_bar_is_found() {
    caught(Rule::Marks, |_, l| {
        let mark =
            l.marks.iter_mut().flat_map(|w| &mut w.marks).find(|m| matches!(m.of, MarkFor::Bar(_))).unwrap();
        mark.at_mm += 3.0;
    });
}

#[test]
fn a_wall_that_asks_for_more_gap_than_it_has_is_found() {
    caught(Rule::Clear, |c, _| {
        c.gaps_mm = vec![c.rules.perimeter_gap_mm; c.corners.len()];
        c.gaps_mm[1] += 2.0;
    });
}

#[test]
fn a_straight_wall_with_two_gaps_is_refused() {
    let mut ceiling = rooms::percussion_room();
    let (a, b) = (ceiling.corners[0].at, ceiling.corners[1].at);
    let middle = Point::new(f64::midpoint(a.x_mm, b.x_mm), f64::midpoint(a.y_mm, b.y_mm));
    ceiling.corners.insert(1, setout::Corner { name: "M".into(), at: middle });
    ceiling.gaps_mm = vec![8.0, 12.0];
    let refused = set_out(&ceiling, &Budget { steps: 1, shifts: 0 }).unwrap_err().to_string();
    assert!(refused.contains("at corner M") && refused.contains("give both"), "{refused}");
}
