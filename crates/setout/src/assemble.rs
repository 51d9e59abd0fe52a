//! A draft written out as the layout a person works from.

use geometry::Plane;

use crate::Aim;
use crate::clips;
use crate::draft::{Draft, Site};
use crate::found::Found;
use crate::layout::{Bar, BarCut, BarLength, Clip, JointKind, Lap, Layer, Layout, Noggin, StockBar, Support};
use crate::noggins::BETWEEN_WALLS_MM;
use crate::under_joints::past_its_bar_mm;
use crate::{marks, packing, pieces, sheets, take_off};

/// Two noggins nearer than this along the joists cannot both be fixed: the usual thickness of the timber \[mm\] (common practice, no source).
const NOGGIN_WIDTH_MM: f64 = 45.0;

/// Writes a draft out. `kept` is the plane the bars already fixed were packed to.
pub(crate) fn assemble(site: &Site, found: &Found, kept: Option<Plane>) -> Layout {
    let draft = &found.draft;
    let (ceiling, room) = (site.ceiling, site.room);
    let layers: Vec<Layer> =
        (0..ceiling.layers.len()).filter_map(|i| pieces::layer(ceiling, room, draft, i)).collect();
    let (bars, bar_cutting) = bars(site, draft);
    let (mut clips, mut noggins): (Vec<Clip>, Vec<Noggin>) = (Vec::new(), Vec::new());
    let mut timber_mm: Vec<Option<f64>> = Vec::new();
    for (index, (bar, chosen)) in draft.bars.iter().zip(&draft.clips).enumerate() {
        for ((spot, area), load) in chosen.spots.iter().zip(&chosen.areas_mm2).zip(&chosen.loads_kg) {
            let in_frame = bar.at(spot.along_mm);
            let at = pieces::to_room(room, in_frame);
            let (on, joists) = if let Some(joist) = spot.joist {
                (Support::Joist(joist), vec![joist])
            } else {
                let (joists, length_mm) = clips::noggin_between(room, ceiling, in_frame);
                let why = if spot.along_mm <= ceiling.rules.end_clip_mm {
                    "no joist near the end of the bar"
                } else if spot.along_mm >= bar.length_mm() - ceiling.rules.end_clip_mm {
                    "no joist near the far end of the bar"
                } else {
                    "no joist between two clips"
                };
                noggins.push(Noggin {
                    number: noggins.len() + 1,
                    at,
                    joists: joists.clone(),
                    length_mm,
                    why: format!("{why} (bar {})", index + 1),
                });
                (Support::Noggin(noggins.len() - 1), joists)
            };
            timber_mm.push(packing::timber_mm(ceiling, &joists, at));
            clips.push(Clip {
                number: clips.len() + 1,
                bar: index,
                along_mm: spot.along_mm,
                at,
                on,
                load_kg: *load,
                area_m2: area / 1e6,
                packer_mm: None,
            });
        }
    }
    let packed: Vec<packing::Packed> =
        clips.iter().zip(&timber_mm).filter_map(|(c, h)| Some((c.at, (*h)?))).collect();
    let mut level = packing::level(ceiling, &packed, kept);
    if let Some(level) = level.as_mut() {
        for (clip, height_mm) in clips.iter_mut().zip(&timber_mm) {
            let plane_mm = level.plane.height_mm(clip.at);
            clip.packer_mm = height_mm.map(|h| packing::packer(ceiling, plane_mm, level.flatness_mm, h));
        }
        level.thickest_packer_mm = clips.iter().filter_map(|c| c.packer_mm).fold(0.0, f64::max);
        level.packing_mm = clips.iter().filter_map(|c| c.packer_mm).sum();
    }
    let least_boards = found.least_boards.clone();
    let marks = marks::marks(ceiling, room, &bars, &clips, &layers);
    let joist_loads = take_off::joist_loads(ceiling, &clips, &noggins);
    let take_off = take_off::take_off(ceiling, room, &layers, &bars, &clips, &noggins, &bar_cutting);
    let proved_fewest_boards = draft.worth.boards == found.least_together;
    let thickest_packer_mm = level.as_ref().map(|l| l.thickest_packer_mm);
    let mut notes = notes(&ceiling.rules.prefer, thickest_packer_mm, found, &noggins);
    notes.extend(over_crossing_bars(site, draft));
    notes.extend(in_one_place(site, &noggins));
    notes.extend(through_openings(site));
    notes.extend(level.is_some().then(|| packing::twisted(ceiling, &clips)).flatten());
    Layout {
        frame: room.frame.clone(),
        outline: room.outline.iter().map(|p| pieces::to_room(room, *p)).collect(),
        bars,
        clips,
        noggins,
        layers,
        marks,
        joist_loads,
        bar_cutting,
        notes,
        breaches: Vec::new(),
        level,
        take_off,
        worth: draft.worth,
        least_boards,
        least_boards_together: found.least_together,
        proved_fewest_boards,
        steps: found.steps,
        family: found.family.clone(),
    }
}

/// Said where two noggins come to lie in one place between the same timbers: one carries both clips.
fn in_one_place(site: &Site, noggins: &[Noggin]) -> Option<String> {
    let along = |noggin: &Noggin| site.room.frame.frame_from_room(noggin.at).y_mm;
    let pairs: Vec<String> = noggins
        .iter()
        .enumerate()
        .flat_map(|(at, one)| noggins.iter().skip(at + 1).map(move |other| (one, other)))
        .filter(|(one, other)| {
            let apart_mm = (along(one) - along(other)).abs();
            one.joists == other.joists
                && apart_mm < NOGGIN_WIDTH_MM
                && one.at.distance_mm(other.at) < one.length_mm.max(other.length_mm)
        })
        .map(|(one, other)| format!("N{} and N{}", one.number, other.number))
        .collect();
    (!pairs.is_empty()).then(|| {
        format!("{} lie in one place: one timber there carries both clips, so cut it once", pairs.join("; "))
    })
}

/// Said where an end joint at a slanting wall goes on far past its own bar, on the one along the wall.
fn over_crossing_bars(site: &Site, draft: &Draft) -> Option<String> {
    let ends = draft.layers.iter().flat_map(|l| &l.joints).filter(|j| j.kind == JointKind::End);
    let past = ends.map(|joint| past_its_bar_mm(site.room, &site.bar_rules, &draft.bars, joint));
    let most_mm = past.fold(0.0, f64::max);
    (most_mm > site.ceiling.rules.first_bar_mm).then(|| {
        format!(
            "at a slanting wall an end joint runs up to {most_mm:.0} mm past the end of its own bar and lies on the bar along the wall, which crosses \
             it: screw both boards to that bar as well"
        )
    })
}

/// What the loads take an opening for.
fn through_openings(site: &Site) -> Option<String> {
    (!site.room.obstructions.is_empty()).then(|| {
        "loads on clips, joists and walls count what comes through the ceiling as if boards ran on there: a lid and its frame weigh about as much"
            .to_owned()
    })
}

fn notes(prefer: &[Aim], thickest_packer_mm: Option<f64>, found: &Found, noggins: &[Noggin]) -> Vec<String> {
    let draft = &found.draft;
    let mut notes = Vec::new();
    if !prefer.is_empty() {
        let words = Aim::order(prefer).map(Aim::words);
        notes.push(format!("layouts were compared in the order asked for: fewest {}", words.join(", ")));
    }
    let over = draft.worth.boards.saturating_sub(found.least_together);
    if over > 0 {
        notes.push(format!(
            "{} boards bought; no layout of the family searched can do with fewer than {}: whether {} can be saved is not settled, since the bound takes each layer's end joints for themselves and packs cut pieces by weight",
            draft.worth.boards,
            found.least_together,
            if over == 1 { "one board".to_owned() } else { format!("up to {over} boards") }
        ));
    }
    let between_walls = |n: &&Noggin| n.joists.is_empty() && n.length_mm <= BETWEEN_WALLS_MM;
    let between: Vec<String> =
        noggins.iter().filter(between_walls).map(|n| format!("N{}", n.number)).collect();
    if !between.is_empty() {
        notes.push(format!(
            "no joist reaches {}: held by walls at both ends, fixed in the wall itself and set level with the nearest joist; have these fixings \
             confirmed",
            between.join(", ")
        ));
    }
    notes.extend(found.note.clone());
    match thickest_packer_mm {
        None => notes.push("no level readings on some joists: the packers are not worked out".to_owned()),
        Some(t) if t > 20.0 => notes.push(format!(
            "the thickest packing is {t:.0} mm: use timber packs with longer screws there, or plane the lowest joist"
        )),
        Some(_) => {}
    }
    if draft.worth.slivers > 0 {
        notes.push(format!(
            "{} tapering pieces are narrow for their length: cut and carry them on a plank",
            draft.worth.slivers
        ));
    }
    notes
}

fn bars(site: &Site, draft: &Draft) -> (Vec<Bar>, Vec<StockBar>) {
    let room = site.room;
    let stock_mm = site.ceiling.bar.stock_length_mm;
    let kerf = site.ceiling.rules.kerf_mm;
    let all: Vec<(usize, f64)> = draft
        .lengths
        .iter()
        .enumerate()
        .flat_map(|(i, lengths)| lengths.iter().map(move |l| (i, l.1 - l.0)))
        .collect();
    let sizes: Vec<f64> = all.iter().map(|a| a.1).collect();
    let (stock_of, count) = sheets::cut_lengths(&sizes, stock_mm, kerf);
    let mut stock: Vec<StockBar> =
        (0..count).map(|i| StockBar { number: i + 1, cuts: Vec::new(), left_over_mm: stock_mm }).collect();
    for ((bar, length_mm), &s) in all.iter().zip(&stock_of) {
        if let Some(own) = stock.get_mut(s) {
            let saw = if own.left_over_mm > length_mm + kerf { kerf } else { 0.0 };
            own.cuts.push(BarCut { bar: bar + 1, length_mm: *length_mm });
            own.left_over_mm = (own.left_over_mm - length_mm - saw).max(0.0);
        }
    }
    let mut next = stock_of.iter().copied();
    let bars = draft
        .bars
        .iter()
        .zip(&draft.lengths)
        .enumerate()
        .map(|(i, (bar, lengths))| Bar {
            number: i + 1,
            reason: bar.reason,
            wall: bar.wall.and_then(|w| {
                // The wall is named by its first corner in the ceiling's own order.
                let n = room.corner.len();
                let (a, b) = (*room.corner.get(w)?, *room.corner.get((w + 1) % n)?);
                Some(if (a + 1) % n == b { a } else { b })
            }),
            from: pieces::to_room(room, bar.from),
            to: pieces::to_room(room, bar.to),
            length_mm: bar.length_mm(),
            lengths: lengths
                .iter()
                .map(|l| BarLength { from_mm: l.0, to_mm: l.1, stock: next.next().unwrap_or(0) })
                .collect(),
            laps: lengths
                .windows(2)
                .filter_map(|pair| {
                    let [a, b] = pair else { return None };
                    Some(Lap {
                        from_mm: b.0,
                        to_mm: a.1,
                        at: pieces::to_room(room, bar.at(f64::midpoint(b.0, a.1))),
                    })
                })
                .collect(),
        })
        .collect();
    (bars, stock)
}
