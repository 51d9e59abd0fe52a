//! Clips: gaps and ends along each bar, timber above each, loads, packers.

use geometry::{Point, Polygon, Segment, intersection_of_lines};

use super::sizes::{size, told_apart};
use super::{Checked, Rule};
use crate::Joist;
use crate::layout::{Clip, Noggin, Support};

const SLACK_MM: f64 = 0.5;
/// A noggin may be cut this much off the clear space between what holds it \[mm\]; joists that run askew take some of it.
const NOGGIN_SLACK_MM: f64 = 5.0;
/// The longest noggin that two walls may hold without a joist: two bays of joists 600 mm apart (judgement, no source) \[mm\].
const BETWEEN_WALLS_MM: f64 = 1200.0;

pub(super) fn check(checked: &mut Checked) {
    along_bars(checked);
    on_timber(checked);
    packing(checked);
}

fn name(clip: &Clip) -> String {
    format!("clip {}", clip.number)
}

fn along_bars(checked: &mut Checked) {
    let layout = checked.layout;
    let rules = checked.ceiling.rules.clone();
    for (index, bar) in layout.bars.iter().enumerate() {
        let line = Segment { from: bar.from, to: bar.to };
        let mut at: Vec<f64> = Vec::new();
        for clip in layout.clips.iter().filter(|c| c.bar == index) {
            let (along, off) = (line.running_mm(clip.at), line.left_of_mm(clip.at).abs());
            if off > SLACK_MM || (along - clip.along_mm).abs() > SLACK_MM {
                let off_words = size(off);
                let sentence =
                    format!("clip {} is {off_words} mm off the line of bar {}", clip.number, bar.number);
                checked.breach(Rule::ClipGap, name(clip), clip.at, off, sentence);
            }
            at.push(along);
        }
        at.sort_by(f64::total_cmp);
        let length = line.length_mm();
        let (Some(&first), Some(&last)) = (at.first(), at.last()) else {
            let sentence = format!("bar {} has no clip", bar.number);
            checked.breach(Rule::ClipGap, format!("bar {}", bar.number), line.middle(), length, sentence);
            continue;
        };
        for (end, p) in [(first, bar.from), (length - last, bar.to)] {
            let (by, sentence) = if end > rules.end_clip_mm + SLACK_MM {
                let [is, limit] = told_apart(end, rules.end_clip_mm);
                let words =
                    format!("bar {} runs {is} mm past its last clip, the limit is {limit}", bar.number);
                (end - rules.end_clip_mm, words)
            } else if end < -SLACK_MM {
                (-end, format!("bar {} stops {} mm before its last clip", bar.number, size(-end)))
            } else {
                continue;
            };
            checked.breach(Rule::ClipGap, format!("bar {}", bar.number), p, by, sentence);
        }
        for pair in at.windows(2) {
            let gap = pair[1] - pair[0];
            if gap > rules.clip_gap_mm + SLACK_MM {
                let [is, limit] = told_apart(gap, rules.clip_gap_mm);
                let sentence = format!("a clip gap of bar {} is {is} mm, the limit is {limit}", bar.number);
                let p = line.point_at(f64::midpoint(pair[0], pair[1]));
                checked.breach(
                    Rule::ClipGap,
                    format!("bar {}", bar.number),
                    p,
                    gap - rules.clip_gap_mm,
                    sentence,
                );
            }
        }
    }
}

fn on_timber(checked: &mut Checked) {
    let layout = checked.layout;
    for clip in &layout.clips {
        let wrong = match clip.on {
            Support::Joist(j) => {
                checked.ceiling.joists.get(j).map_or(Some(("no such joist".to_owned(), 0.0)), |joist| {
                    let off = Segment { from: joist.from, to: joist.to }.distance_mm(clip.at);
                    // A surveyed end may stop a little short of the wall the joist bears on.
                    (off > 25.0).then(|| (format!("joist {} is {off:.0} mm away", joist.name), off))
                })
            }
            Support::Noggin(n) => {
                layout.noggins.get(n).map_or(Some(("no such noggin".to_owned(), 0.0)), |noggin| {
                    let off = noggin.at.distance_mm(clip.at);
                    if noggin.joists.is_empty() && noggin.length_mm > BETWEEN_WALLS_MM {
                        let over = noggin.length_mm - BETWEEN_WALLS_MM;
                        Some((
                            "its noggin reaches no joist and is too long to hang between walls".to_owned(),
                            over,
                        ))
                    } else if off > 1.0 {
                        Some((format!("its noggin is {off:.0} mm away"), off))
                    } else {
                        reaches_across(checked, noggin)
                    }
                })
            }
        };
        if let Some((why, by)) = wrong {
            checked.breach(
                Rule::ClipOnTimber,
                name(clip),
                clip.at,
                by,
                format!("clip {} has no timber: {why}", clip.number),
            );
        }
        if !checked.room.contains(clip.at) {
            checked.breach(
                Rule::Clear,
                name(clip),
                clip.at,
                0.0,
                format!("clip {} is outside the room", clip.number),
            );
        }
        for ring in &checked.ceiling.obstructions {
            if geometry::Polygon::new(ring).is_ok_and(|o| o.contains(clip.at)) {
                let sentence = format!("clip {} is where something comes through the ceiling", clip.number);
                checked.breach(Rule::Clear, name(clip), clip.at, 0.0, sentence);
            }
        }
    }
}

/// Underside less packer lies in the band above the plane at every clip, as near as the packers' steps allow; the plane is under every
/// joist and no steeper than it may be.
fn packing(checked: &mut Checked) {
    let layout = checked.layout;
    let Some(level) = &layout.level else { return };
    let rules = &checked.ceiling.rules;
    let (step, band, steepest) = (rules.packer_step_mm, rules.flatness_mm, rules.fall_mm_per_m);
    let (x, y) = (level.plane.slope_x * 1000.0, level.plane.slope_y * 1000.0);
    let plane = |p: Point| level.plane.height_at_origin_mm + (x * p.x_mm + y * p.y_mm) / 1000.0;
    let fall = (x * x + y * y).sqrt();
    if fall > steepest + 1e-6 {
        let sentence = format!("the plane of the bars falls {fall:.2} mm/m, the limit is {steepest:.2}");
        checked.breach(Rule::Packing, "plane", layout.frame.origin, fall - steepest, sentence);
    }
    for joist in &checked.ceiling.joists {
        for reading in &joist.undersides {
            let over = plane(reading.at) - reading.height_mm;
            if over > 0.01 {
                let sentence = format!("the plane of the bars lies {over:.1} mm above joist {}", joist.name);
                checked.breach(Rule::Packing, joist.name.clone(), reading.at, over, sentence);
            }
        }
    }
    for clip in &layout.clips {
        let Support::Joist(j) = clip.on else { continue };
        let (Some(joist), Some(packer)) = (checked.ceiling.joists.get(j), clip.packer_mm) else {
            let sentence = format!("clip {} has no packer worked out", clip.number);
            checked.breach(Rule::Packing, name(clip), clip.at, 0.0, sentence);
            continue;
        };
        let Some(height) = timber_mm(joist, clip.at) else { continue };
        let start = height - packer - plane(clip.at);
        let off = (-start).max(start - band).max(0.0);
        if off > ((step - band) / 2.0).max(0.0) + 0.01 {
            let sentence =
                format!("the packer of clip {} leaves its bar {off:.1} mm out of the plane", clip.number);
            checked.breach(Rule::Packing, name(clip), clip.at, off, sentence);
        }
    }
}

/// Height of the timber over a clip: half of the two edges where both were read, else the one line of readings.
fn timber_mm(joist: &Joist, clip: Point) -> Option<f64> {
    let line = Segment { from: joist.from, to: joist.to };
    let here = line.running_mm(clip);
    let beside = |wanted: &dyn Fn(f64) -> bool| {
        let mut below: Option<(f64, f64)> = None;
        let mut above: Option<(f64, f64)> = None;
        for reading in joist.undersides.iter().filter(|reading| wanted(line.left_of_mm(reading.at))) {
            let at = line.running_mm(reading.at);
            if at <= here && below.is_none_or(|b| at > b.0) {
                below = Some((at, reading.height_mm));
            }
            if at >= here && above.is_none_or(|a| at < a.0) {
                above = Some((at, reading.height_mm));
            }
        }
        match (below, above) {
            (Some(b), Some(a)) if a.0 - b.0 > 1e-6 => Some(b.1 + (a.1 - b.1) * (here - b.0) / (a.0 - b.0)),
            (Some(x), _) | (None, Some(x)) => Some(x.1),
            (None, None) => None,
        }
    };
    match (beside(&|aside| aside > 1.0), beside(&|aside| aside < -1.0)) {
        (Some(left), Some(right)) => Some(f64::midpoint(left, right)),
        _ => beside(&|_| true),
    }
}

/// What is wrong with the length of a noggin: it must fill the space between its joists, or from its one joist to the wall.
fn reaches_across(checked: &Checked, noggin: &Noggin) -> Option<(String, f64)> {
    let (ceiling, along) = (checked.ceiling, checked.layout.frame.along);
    let across = Segment { from: noggin.at, to: noggin.at + along };
    let corners: Vec<Point> =
        if ceiling.shell.is_empty() { checked.room.corners().to_vec() } else { ceiling.shell.clone() };
    let (far, at) = (along * 1e5, noggin.at);
    let inside = Polygon::new(&corners).ok()?.clip_line(at - far, at + far);
    let mut faces = inside
        .iter()
        .map(|(a, b)| [(*a - at).dot(along), (*b - at).dot(along)])
        .find(|[low, high]| *low <= 0.0 && *high >= 0.0)
        .unwrap_or([0.0, 0.0]);
    for joist in noggin.joists.iter().filter_map(|&j| ceiling.joists.get(j)) {
        let line = Segment { from: joist.from, to: joist.to };
        let off = (intersection_of_lines(across, line)? - at).dot(along);
        if off > 0.0 {
            faces[1] = off - joist.width_mm / 2.0;
        } else {
            faces[0] = off + joist.width_mm / 2.0;
        }
    }
    let clear = (faces[1] - faces[0]).max(0.0);
    let by = (clear - noggin.length_mm).abs();
    (by > NOGGIN_SLACK_MM).then(|| {
        let sentence = format!(
            "its noggin is {:.0} mm long, the space between what holds it {clear:.0} mm",
            noggin.length_mm
        );
        (sentence, by)
    })
}
