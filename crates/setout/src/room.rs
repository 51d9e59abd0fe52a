//! The room turned into the frame of its bars, and what each wall asks for.

use crate::ceiling::too_wide_for;
use crate::error::SetoutError;
use crate::layout::Frame;
use crate::ring;
use crate::{Ceiling, Point};

/// Walls within this of a right angle to the bars need no bar along them: cosine of 70°, the wall's slope to the
/// bars' direction. Steeper walls have the bars' own ends beside them.
pub(crate) const RIGHT_ANGLE_COS: f64 = 0.342;
/// A perimeter bar stands this far inside the edge of the boards where the limits leave the choice \[mm\]: room for a
/// clip and a hand between wall and bar.
const PERIMETER_BAR_MM: f64 = 75.0;
/// Walls shorter than this get no bar of their own \[mm\]; a bar so short holds nothing.
pub(crate) const SHORT_WALL_MM: f64 = 300.0;
/// More corners than any room, to bound the work.
const MOST_CORNERS: usize = 40;
/// More joists than any room.
const MOST_JOISTS: usize = 200;

/// A wall in the frame.
#[derive(Clone, Debug)]
pub(crate) struct Wall {
    pub(crate) from: Point,
    pub(crate) dir: Point,
    pub(crate) length_mm: f64,
    /// Cosine of the angle to the bars, 0 to 1.
    pub(crate) along_cos: f64,
    /// Gap between it and the boards \[mm\].
    pub(crate) gap_mm: f64,
    /// Middle of its perimeter bar from the wall \[mm\]; none where it needs none.
    pub(crate) bar_mm: Option<f64>,
}

impl Wall {
    /// Distance inside the wall's line and distance along it.
    pub(crate) fn inside_and_along(&self, p: Point) -> (f64, f64) {
        let (dx, dy) = (p.x_mm - self.from.x_mm, p.y_mm - self.from.y_mm);
        (-dx * self.dir.y_mm + dy * self.dir.x_mm, dx * self.dir.x_mm + dy * self.dir.y_mm)
    }
}

/// A joist in the frame.
#[derive(Clone, Debug)]
pub(crate) struct FrameJoist {
    pub(crate) from: Point,
    pub(crate) to: Point,
}

/// The room in the frame: `x` is `u` along the bars, `y` is `v` across them.
#[derive(Clone, Debug)]
pub(crate) struct Room {
    pub(crate) frame: Frame,
    /// Index of the corner each point of `ring` is, in the ceiling's own order.
    pub(crate) corner: Vec<usize>,
    pub(crate) ring: Vec<Point>,
    pub(crate) outline: Vec<Point>,
    /// The walls themselves, behind what linings stand before them; in the ceiling's own order.
    pub(crate) shell: Vec<Point>,
    pub(crate) walls: Vec<Wall>,
    pub(crate) joists: Vec<FrameJoist>,
    pub(crate) obstructions: Vec<Vec<Point>>,
    pub(crate) area_mm2: f64,
}

impl Room {
    /// Checks the inputs and turns them into the frame.
    pub(crate) fn new(ceiling: &Ceiling) -> Result<Self, SetoutError> {
        check_numbers(ceiling)?;
        let mut corner: Vec<usize> = (0..ceiling.corners.len()).collect();
        let plan: Vec<Point> = ceiling.corners.iter().map(|c| c.at).collect();
        if !ring::is_simple(&plan) {
            return Err(SetoutError::input(
                "corners",
                "the walls cross or touch each other; give the corners in order round the room, each once",
            ));
        }
        if ring::area(&plan) < 0.0 {
            corner.reverse();
        }
        let along = bars_direction(ceiling)?;
        let across = Point::new(-along.y_mm, along.x_mm);
        let Some(&first) = corner.iter().min_by(|&&a, &&b| {
            let key = |i: usize| dot(plan[i], along) + dot(plan[i], across);
            key(a).total_cmp(&key(b)).then(a.cmp(&b))
        }) else {
            return Err(SetoutError::input("corners", "there are none"));
        };
        let turn = corner.iter().position(|&c| c == first).unwrap_or(0);
        corner.rotate_left(turn);
        let frame = Frame { corner: ceiling.corners[first].name.clone(), origin: plan[first], along, across };
        let ring: Vec<Point> = corner.iter().map(|&i| frame.frame_from_room(plan[i])).collect();
        let gaps_mm = gaps(ceiling, &corner, &ring)?;
        let outline = ring::inset_each(&ring, &gaps_mm);
        if outline.len() != ring.len() || !ring::is_simple(&outline) || ring::area(&outline) <= 0.0 {
            return Err(SetoutError::input(
                "rules.perimeter_gap_mm",
                "the gap eats up a wall; leave out corners closer together than the gap, or make the gap smaller",
            ));
        }
        let walls = walls(ceiling, &ring, &gaps_mm);
        let joists: Vec<FrameJoist> = ceiling
            .joists
            .iter()
            .map(|j| FrameJoist { from: frame.frame_from_room(j.from), to: frame.frame_from_room(j.to) })
            .collect();
        let shell = if ceiling.shell.is_empty() { &plan } else { &ceiling.shell };
        let shell: Vec<Point> = shell.iter().map(|p| frame.frame_from_room(*p)).collect();
        for (joist, given) in joists.iter().zip(&ceiling.joists) {
            check_joist_crosses(joist, &given.name, [&ring, &shell])?;
        }
        let obstructions =
            ceiling.obstructions.iter().map(|o| in_frame(o, &frame)).collect::<Result<Vec<_>, _>>()?;
        let area_mm2 = ring::area(&outline);
        Ok(Self { frame, corner, ring, outline, shell, walls, joists, obstructions, area_mm2 })
    }
}

pub(crate) fn dot(a: Point, b: Point) -> f64 {
    a.x_mm * b.x_mm + a.y_mm * b.y_mm
}

fn in_frame(ring: &[Point], frame: &Frame) -> Result<Vec<Point>, SetoutError> {
    let mut out: Vec<Point> = ring.iter().map(|p| frame.frame_from_room(*p)).collect();
    if !ring::is_simple(&out) {
        return Err(SetoutError::input(
            "obstruction",
            "its sides cross or it has fewer than three corners; give its corners in order",
        ));
    }
    if ring::area(&out) < 0.0 {
        out.reverse();
    }
    Ok(out)
}

/// The bars run square to the joists' mean direction.
fn bars_direction(ceiling: &Ceiling) -> Result<Point, SetoutError> {
    let mut sum = Point::new(0.0, 0.0);
    for joist in &ceiling.joists {
        let (dx, dy) = (joist.to.x_mm - joist.from.x_mm, joist.to.y_mm - joist.from.y_mm);
        let sign = if dx * sum.x_mm + dy * sum.y_mm < 0.0 { -1.0 } else { 1.0 };
        sum = Point::new(sum.x_mm + sign * dx, sum.y_mm + sign * dy);
    }
    let length = (sum.x_mm * sum.x_mm + sum.y_mm * sum.y_mm).sqrt();
    for joist in &ceiling.joists {
        let (dx, dy) = (joist.to.x_mm - joist.from.x_mm, joist.to.y_mm - joist.from.y_mm);
        let cos = (dx * sum.x_mm + dy * sum.y_mm).abs() / (length * (dx * dx + dy * dy).sqrt()).max(1e-9);
        if cos < 0.9 {
            return Err(SetoutError::input(
                format!("joist {}", joist.name),
                "it runs more than 25° off the others; the clips need joists that run one way",
            ));
        }
    }
    // A quarter turn from the joists; to the right on the plan, so that running dimensions read left to right.
    let (mut x, mut y) = (sum.y_mm / length, -sum.x_mm / length);
    if x < -1e-9 || (x.abs() <= 1e-9 && y < 0.0) {
        (x, y) = (-x, -y);
    }
    Ok(Point::new(x, y))
}

/// The gap of every side of the ring.
fn gaps(ceiling: &Ceiling, corner: &[usize], ring: &[Point]) -> Result<Vec<f64>, SetoutError> {
    let n = corner.len();
    let wall = |at: usize| {
        let (a, b) = (corner[at % n], corner[(at + 1) % n]);
        // A wall is named by its first corner in the ceiling's own order.
        if (a + 1) % n == b { a } else { b }
    };
    let gaps: Vec<f64> = (0..n).map(|at| ceiling.gap_mm(wall(at))).collect();
    for (at, &gap_mm) in gaps.iter().enumerate() {
        let (from, here, to) = (ring[at], ring[(at + 1) % n], ring[(at + 2) % n]);
        let name = |i: usize| ceiling.corners[corner[i % n]].name.as_str();
        let (out, on) = (here - from, to - here);
        let turn = out.cross(on).abs() / (out.length_mm() * on.length_mm()).max(1.0);
        let next_mm = gaps[(at + 1) % n];
        if (gap_mm - next_mm).abs() > 1e-9 && out.dot(on) > 0.0 && turn < ring::STRAIGHT_SINE {
            return Err(SetoutError::input(
                "gaps_mm",
                format!(
                    "at corner {} the wall goes on nearly straight, but the gap changes from {gap_mm:.1} to {next_mm:.1} mm; give both \
                     parts the larger",
                    name(at + 1)
                ),
            ));
        }
    }
    Ok(gaps)
}

fn walls(ceiling: &Ceiling, ring: &[Point], gaps_mm: &[f64]) -> Vec<Wall> {
    let rules = &ceiling.rules;
    let face = ceiling.bar.face_width_mm;
    ring::sides(ring)
        .zip(gaps_mm)
        .map(|((a, b), &gap_mm)| {
            let length_mm = ring::distance(a, b);
            let dir = Point::new((b.x_mm - a.x_mm) / length_mm, (b.y_mm - a.y_mm) / length_mm);
            let along_cos = dir.x_mm.abs();
            let needs = along_cos >= RIGHT_ANGLE_COS && length_mm >= SHORT_WALL_MM;
            // The bars that end at this one must still hold the boards within the first-bar limit.
            let most = rules.first_bar_mm - face / 2.0 * (1.0 + along_cos) - rules.bar_end_gap_mm;
            let least = face / 2.0 + rules.bar_end_gap_mm - gap_mm;
            let bar_mm =
                needs.then(|| gap_mm + PERIMETER_BAR_MM.min(most).max(least).min(rules.first_bar_mm));
            Wall { from: a, dir, length_mm, along_cos, gap_mm, bar_mm }
        })
        .collect()
}

/// A joist must lie over the room, or at least over what linings take of it.
fn check_joist_crosses(joist: &FrameJoist, name: &str, rings: [&[Point]; 2]) -> Result<(), SetoutError> {
    let crosses = |ring: &[Point]| {
        ring::sides(ring).any(|(a, b)| {
            ring::crossing(joist.from, joist.to, a, b)
                .is_some_and(|(t, s)| (0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&s))
        })
    };
    // One that reaches from wall to wall ends on both, to the last digit or not.
    let middle = (joist.from + joist.to) * 0.5;
    let within = |ring: &[Point]| ring::contains(ring, joist.from) || ring::contains(ring, middle);
    if rings.into_iter().any(|ring| crosses(ring) || within(ring)) {
        Ok(())
    } else {
        Err(SetoutError::input(
            format!("joist {name}"),
            "it lies outside the room; check its running dimension, or leave it out",
        ))
    }
}

fn check_numbers(ceiling: &Ceiling) -> Result<(), SetoutError> {
    let positive = |what: &str, value: f64| {
        if value.is_finite() && value > 0.0 && value < 1e6 {
            Ok(())
        } else {
            Err(SetoutError::input(what, format!("{value} is no length; give millimetres above 0")))
        }
    };
    let none_or_more = |what: &str, value: f64| {
        if value.is_finite() && (0.0..1e6).contains(&value) {
            Ok(())
        } else {
            Err(SetoutError::input(what, format!("{value} is out of range; give 0 or more")))
        }
    };
    let point = |what: String, p: Point| {
        if p.x_mm.is_finite() && p.y_mm.is_finite() && p.x_mm.abs() < 1e6 && p.y_mm.abs() < 1e6 {
            Ok(())
        } else {
            Err(SetoutError::input(what, "its place is not a number of millimetres within a kilometre"))
        }
    };
    if ceiling.corners.len() < 3 || ceiling.corners.len() > MOST_CORNERS {
        return Err(SetoutError::input(
            "corners",
            format!("{} given; a room has 3 to {MOST_CORNERS}", ceiling.corners.len()),
        ));
    }
    for corner in &ceiling.corners {
        point(format!("corner {}", corner.name), corner.at)?;
    }
    if !ceiling.shell.is_empty() && ceiling.shell.len() != ceiling.corners.len() {
        return Err(SetoutError::input(
            "shell",
            format!(
                "{} corners of the walls for {} of the room; give one for each, or none",
                ceiling.shell.len(),
                ceiling.corners.len()
            ),
        ));
    }
    for (at, corner) in ceiling.shell.iter().zip(&ceiling.corners) {
        point(format!("corner {} of the walls", corner.name), *at)?;
    }
    if ceiling.joists.len() < 2 || ceiling.joists.len() > MOST_JOISTS {
        return Err(SetoutError::input(
            "joists",
            format!("{} given; the clips need 2 to {MOST_JOISTS}", ceiling.joists.len()),
        ));
    }
    for joist in &ceiling.joists {
        let what = format!("joist {}", joist.name);
        point(what.clone(), joist.from)?;
        point(what.clone(), joist.to)?;
        positive(&what, joist.width_mm)?;
        if ring::distance(joist.from, joist.to) < 1.0 {
            return Err(SetoutError::input(what, "its two ends are the same point"));
        }
        for reading in &joist.undersides {
            point(what.clone(), reading.at)?;
            if !reading.height_mm.is_finite() || reading.height_mm.abs() > 1e5 {
                return Err(SetoutError::input(
                    what,
                    "a height of its underside is not a number of millimetres",
                ));
            }
        }
    }
    if ceiling.layers.is_empty() || ceiling.layers.len() > 4 {
        return Err(SetoutError::input("layers", "give one to four layers of board"));
    }
    let rules = &ceiling.rules;
    for (index, layer) in ceiling.layers.iter().enumerate() {
        let what = format!("layer {} ({})", index + 1, layer.material);
        for value in [layer.length_mm, layer.width_mm, layer.thickness_mm] {
            positive(&what, value)?;
        }
        none_or_more(&what, layer.mass_kg_m2)?;
        if layer.width_mm > layer.length_mm {
            return Err(SetoutError::input(what, "its width is more than its length; change them over"));
        }
        if layer.width_mm < 100.0 {
            return Err(SetoutError::input(what, "a board narrower than 100 mm cannot be set out"));
        }
        if let Some(sentence) = too_wide_for(rules.way_in_mm, layer.width_mm, layer.thickness_mm) {
            return Err(SetoutError::input(what, sentence));
        }
    }
    for (what, value) in [
        ("bar.face_width_mm", ceiling.bar.face_width_mm),
        ("bar.stock_length_mm", ceiling.bar.stock_length_mm),
        ("rules.bar_gap_mm", rules.bar_gap_mm),
        ("rules.clip_gap_mm", rules.clip_gap_mm),
        ("rules.first_bar_mm", rules.first_bar_mm),
        ("rules.end_clip_mm", rules.end_clip_mm),
        ("rules.screw_gap_mm", rules.screw_gap_mm),
        ("rules.screw_gap_edge_mm", rules.screw_gap_edge_mm),
        ("rules.packer_step_mm", rules.packer_step_mm),
    ] {
        positive(what, value)?;
    }
    for (what, value) in [
        ("bar.mass_kg_m", ceiling.bar.mass_kg_m),
        ("clip.drop_mm", ceiling.clip.drop_mm),
        ("rules.bar_gap_spare_mm", rules.bar_gap_spare_mm),
        ("rules.bar_end_gap_mm", rules.bar_end_gap_mm),
        ("rules.perimeter_gap_mm", rules.perimeter_gap_mm),
        ("rules.min_strip_mm", rules.min_strip_mm),
        ("rules.min_piece_mm", rules.min_piece_mm),
        ("rules.stagger_rows_mm", rules.stagger_rows_mm),
        ("rules.stagger_layers_mm", rules.stagger_layers_mm),
        ("rules.edge_bearing_mm", rules.edge_bearing_mm),
        ("rules.screw_edge_mm", rules.screw_edge_mm),
        ("rules.min_lap_mm", rules.min_lap_mm),
        ("rules.lap_stagger_mm", rules.lap_stagger_mm),
        ("rules.kerf_mm", rules.kerf_mm),
        ("rules.flatness_mm", rules.flatness_mm),
        ("rules.fall_mm_per_m", rules.fall_mm_per_m),
    ] {
        none_or_more(what, value)?;
    }
    for &gap_mm in &ceiling.gaps_mm {
        none_or_more("gaps_mm", gap_mm)?;
    }
    if let Some(load) = ceiling.clip.rated_load_kg {
        positive("clip.rated_load_kg", load)?;
    }
    check_fit(ceiling)
}

fn check_fit(ceiling: &Ceiling) -> Result<(), SetoutError> {
    let (rules, bar) = (&ceiling.rules, &ceiling.bar);
    if bar.stock_length_mm < 2.0 * rules.min_lap_mm + 300.0 {
        return Err(SetoutError::input(
            "bar.stock_length_mm",
            format!(
                "a bar of {:.0} mm is too short for laps of {:.0} mm; it must be {:.0} mm or more",
                bar.stock_length_mm,
                rules.min_lap_mm,
                2.0 * rules.min_lap_mm + 300.0
            ),
        ));
    }
    if bar.face_width_mm / 2.0 < rules.edge_bearing_mm {
        return Err(SetoutError::NoLayout {
            limit: "edge_bearing_mm".into(),
            relax_to_mm: Some(bar.face_width_mm / 2.0),
            sentence: format!(
                "two boards that meet on a bar {:.0} mm wide bear {:.1} mm each, the limit is {:.0}; take a wider bar or lower rules.edge_bearing_mm to {:.0}",
                bar.face_width_mm,
                bar.face_width_mm / 2.0,
                rules.edge_bearing_mm,
                (bar.face_width_mm / 2.0).floor()
            ),
        });
    }
    let beside = bar.face_width_mm + 2.0 * rules.bar_end_gap_mm;
    // A bar along a wall with the end of another clear of it: what of the first clearance the gap round the boards gives is none of theirs.
    let gap_mm = (0..ceiling.corners.len()).map(|wall| ceiling.gap_mm(wall)).fold(f64::INFINITY, f64::min);
    let first = beside - gap_mm.clamp(0.0, rules.bar_end_gap_mm);
    if rules.first_bar_mm < first || rules.bar_gap_mm < beside {
        let (limit, value, needed) = if rules.first_bar_mm < first {
            ("first_bar_mm", rules.first_bar_mm, first)
        } else {
            ("bar_gap_mm", rules.bar_gap_mm, beside)
        };
        return Err(SetoutError::NoLayout {
            limit: limit.into(),
            relax_to_mm: Some(needed.ceil()),
            sentence: format!(
                "a bar {:.0} mm wide that keeps {:.0} mm clear cannot stand within {value:.0} mm; raise rules.{limit} to {:.0}",
                bar.face_width_mm,
                rules.bar_end_gap_mm,
                needed.ceil()
            ),
        });
    }
    for (what, value, least, why) in [
        ("rules.end_clip_mm", rules.end_clip_mm, 50.0, "a clip nearer to a bar's end has no room"),
        ("rules.clip_gap_mm", rules.clip_gap_mm, 100.0, "clips closer than that touch"),
        ("rules.bar_gap_mm", rules.bar_gap_mm, 100.0, "bars closer than that touch"),
        ("rules.screw_gap_edge_mm", rules.screw_gap_edge_mm, 10.0, "no board takes screws so close"),
    ] {
        if value < least {
            return Err(SetoutError::input(
                what,
                format!("it is {value:.0} mm, and {why}; write {least:.0} or more"),
            ));
        }
    }
    for (index, layer) in ceiling.layers.iter().enumerate() {
        let room = layer.length_mm / 2.0;
        if rules.stagger_rows_mm > room {
            return Err(SetoutError::NoLayout {
                limit: "stagger_rows_mm".into(),
                relax_to_mm: Some(room.floor()),
                sentence: format!(
                    "end joints of neighbouring strips can be at most half a board, {room:.0} mm, apart in layer {}; lower rules.stagger_rows_mm from {:.0} to {:.0}",
                    index + 1,
                    rules.stagger_rows_mm,
                    room.floor()
                ),
            });
        }
        for (limit, least, of_mm) in [
            ("min_strip_mm", rules.min_strip_mm, layer.width_mm),
            ("min_piece_mm", rules.min_piece_mm, layer.length_mm),
        ] {
            let half = (of_mm / 2.0).floor();
            if least > of_mm / 2.0 {
                return Err(SetoutError::NoLayout {
                    limit: limit.into(),
                    relax_to_mm: Some(half),
                    sentence: format!(
                        "pieces of layer {} must be allowed down to half a board: lower rules.{limit} from {least:.0} to {half:.0} or less",
                        index + 1
                    ),
                });
            }
        }
    }
    for pair in ceiling.layers.windows(2) {
        let narrow = pair.iter().map(|l| l.width_mm).fold(f64::INFINITY, f64::min) / 2.0;
        if rules.stagger_layers_mm > narrow {
            return Err(SetoutError::NoLayout {
                limit: "stagger_layers_mm".into(),
                relax_to_mm: Some(narrow.floor()),
                sentence: format!(
                    "long joints of two layers that lie on each other can be at most half the narrower board, {narrow:.0} mm, apart; lower rules.stagger_layers_mm from {:.0} to {:.0}",
                    rules.stagger_layers_mm,
                    narrow.floor()
                ),
            });
        }
    }
    Ok(())
}
