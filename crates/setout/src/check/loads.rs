//! Loads of the clips, added up again from the finished layout.
//!
//! Boards span from bar to bar: across the bars each takes the ceiling half-way to its neighbours, along itself each clip
//! takes half-way to the next. Here the ceiling is cut into thin columns across the bars and every column shared out; the
//! bars' own mass is that of their lengths, laps twice, cut half-way between the clips.

use geometry::{Polygon, Segment};

use super::{Checked, Rule};
use crate::Point;
use crate::layout::{Clip, Support};

/// Width of the columns \[mm\].
const COLUMN_MM: f64 = 4.0;
/// The columns' error: a column is shared out by its middle, which misplaces at most half of one at either side of a clip's
/// share, and is cut straight at a slanting wall.
const LOAD_SHARE: f64 = 0.01;
const LOAD_KG: f64 = 0.1;
/// The listed load may be over the rating by no more than what rounding leaves \[kg\].
const ROUNDING_KG: f64 = 1e-9;

pub(super) fn check(checked: &mut Checked) {
    let layout = checked.layout;
    let bars = checked.middles();
    let by_bar: Vec<Vec<usize>> = (0..bars.len())
        .map(|b| {
            let mut own: Vec<usize> = (0..layout.clips.len()).filter(|&c| layout.clips[c].bar == b).collect();
            own.sort_by(|&p, &q| layout.clips[p].along_mm.total_cmp(&layout.clips[q].along_mm));
            own
        })
        .collect();
    let area_m2 = areas(checked, &bars, &by_bar);
    let own_kg = bars_own(checked, &bars, &by_bar);
    let boards: f64 = checked.ceiling.layers.iter().map(|l| l.mass_kg_m2).sum();
    let rated = checked.ceiling.clip.rated_load_kg;
    let mut sum = 0.0;
    for (index, clip) in layout.clips.iter().enumerate() {
        let load = area_m2[index] * boards + own_kg[index];
        let slack = LOAD_SHARE * load + LOAD_KG;
        let name = format!("clip {}", clip.number);
        sum += clip.load_kg;
        if (load - clip.load_kg).abs() > slack {
            let sentence =
                format!("clip {} carries about {load:.1} kg, listed as {:.1}", clip.number, clip.load_kg);
            checked.breach(Rule::ClipLoad, name, clip.at, (load - clip.load_kg).abs(), sentence);
        } else if let Some(rated) = rated
            && clip.load_kg > rated + ROUNDING_KG
        {
            let sentence = format!("clip {} carries {:.2} kg, rated {rated:.2}", clip.number, clip.load_kg);
            checked.breach(Rule::ClipLoad, name, clip.at, clip.load_kg - rated, sentence);
        }
    }
    let hung = checked.outline.area_mm2() / 1e6 * boards
        + layout.bars.iter().flat_map(|b| &b.lengths).map(|l| l.to_mm - l.from_mm).sum::<f64>() / 1e3
            * checked.ceiling.bar.mass_kg_m;
    let middle = checked.outline.centroid();
    if (sum - hung).abs() > 1e-4 * hung {
        let sentence = format!("the clips carry {sum:.1} kg together, {hung:.1} hangs from them");
        checked.breach(Rule::ClipLoad, "clips", middle, (sum - hung).abs(), sentence);
    }
    let on_joists: f64 = layout.joist_loads.iter().map(|j| j.load_kg).sum();
    // A noggin between two walls puts nothing on a joist.
    let between_walls = |clip: &&Clip| match clip.on {
        Support::Joist(_) => false,
        Support::Noggin(n) => layout.noggins.get(n).is_some_and(|noggin| noggin.joists.is_empty()),
    };
    let on_walls: f64 = layout.clips.iter().filter(between_walls).map(|clip| clip.load_kg).sum();
    if (on_joists + on_walls - sum).abs() > 0.01 {
        let sentence = format!("{:.1} kg on joists and walls, {sum:.1} on the clips", on_joists + on_walls);
        checked.breach(Rule::ClipLoad, "joists", middle, (on_joists + on_walls - sum).abs(), sentence);
    }
}

/// Ceiling on each clip \[m²\].
fn areas(checked: &Checked, bars: &[Segment], by_bar: &[Vec<usize>]) -> Vec<f64> {
    let layout = checked.layout;
    let frame = &layout.frame;
    let mut area = vec![0.0; layout.clips.len()];
    let held: Vec<Segment> = (0..bars.len()).map(|i| drawn_out(checked, bars, i)).collect();
    let spread = |of: &dyn Fn(Point) -> f64| {
        let all = checked.outline.corners().iter().map(|p| of(*p));
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)))
    };
    let (low_u, high_u) = spread(&|p| checked.u(p));
    let (low_v, high_v) = spread(&|p| checked.v(p));
    let columns = ((high_u - low_u) / COLUMN_MM).ceil().clamp(1.0, 20_000.0);
    let width = (high_u - low_u) / columns;
    let point = |u: f64, v: f64| frame.origin + frame.along * u + frame.across * v;
    for k in 0..(columns as usize) {
        let u = low_u + (k as f64 + 0.5) * width;
        let column = Segment { from: point(u, low_v - 10.0), to: point(u, high_v + 10.0) };
        let mut crossed: Vec<(f64, usize)> = held
            .iter()
            .enumerate()
            .filter(|(b, _)| !by_bar[*b].is_empty())
            .filter_map(|(b, bar)| bar.meets(column).map(|p| (checked.v(p), b)))
            .collect();
        crossed.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for (from, to) in checked.outline.clip_line(column.from, column.to) {
            let (low, high) = (checked.v(from), checked.v(to));
            let inside: Vec<(f64, usize)> =
                crossed.iter().copied().filter(|(v, _)| (low..=high).contains(v)).collect();
            if inside.is_empty() {
                // No bar holds here: it hangs from the nearest end of a bar.
                let middle = point(u, f64::midpoint(low, high));
                let near = |b: usize| bars[b].from.distance_mm(middle).min(bars[b].to.distance_mm(middle));
                let nearest = (0..bars.len())
                    .filter(|&b| !by_bar[b].is_empty())
                    .min_by(|&a, &b| near(a).total_cmp(&near(b)));
                let end = nearest.and_then(|b| nearest_clip(checked, bars, &by_bar[b], b, middle));
                if let Some(clip) = end {
                    area[clip] += width * (high - low) / 1e6;
                }
                continue;
            }
            for (order, &(v, bar)) in inside.iter().enumerate() {
                let before = order.checked_sub(1).and_then(|o| inside.get(o));
                let start = before.map_or(low, |b| f64::midpoint(b.0, v));
                let finish = inside.get(order + 1).map_or(high, |b| f64::midpoint(b.0, v));
                if let Some(clip) = nearest_clip(checked, bars, &by_bar[bar], bar, point(u, v)) {
                    area[clip] += width * (finish - start) / 1e6;
                }
            }
        }
    }
    area
}

fn nearest_clip(checked: &Checked, bars: &[Segment], own: &[usize], bar: usize, p: Point) -> Option<usize> {
    let along = bars[bar].running_mm(p);
    let off = |c: usize| (checked.layout.clips[c].along_mm - along).abs();
    own.iter().copied().min_by(|&a, &b| off(a).total_cmp(&off(b)))
}

/// A bar with both ends drawn on to the next bar, the wall or the edge of the boards: twice the first-bar limit at most.
fn drawn_out(checked: &Checked, bars: &[Segment], own: usize) -> Segment {
    let bar = bars[own];
    let reach = 2.0 * checked.ceiling.rules.first_bar_mm;
    let end = |from: Point, to: Point| {
        let Some(dir) = (to - from).unit() else { return to };
        let ray = Segment { from: to, to: to + dir * reach };
        let others = bars.iter().enumerate().filter(|(b, _)| *b != own).map(|(_, b)| *b);
        // Of a gap between two bars in line each holds half.
        let in_line = others
            .clone()
            .filter(|other| [other.from, other.to].iter().all(|p| bar.left_of_mm(*p).abs() < 0.01))
            .flat_map(|other| [other.from, other.to])
            .map(|p| (p - to).dot(dir))
            .filter(|ahead| *ahead > 0.0)
            .fold(2.0 * reach, f64::min);
        // A corner passed within a millimetre stops it.
        let holes: Vec<Polygon> =
            checked.ceiling.obstructions.iter().filter_map(|ring| Polygon::new(ring).ok()).collect();
        let corners = checked
            .room
            .corners()
            .iter()
            .chain(checked.outline.corners())
            .chain(holes.iter().flat_map(Polygon::corners));
        let grazed = corners
            .map(|p| ((*p - to).dot(dir), (*p - to).dot(dir.left()).abs()))
            .filter(|(ahead, off)| *ahead >= 0.0 && *off < 1.0)
            .map(|(ahead, _)| ahead)
            .fold(reach, f64::min);
        let nearest = others
            .chain(checked.room.edges())
            .chain(checked.outline.edges())
            .chain(holes.iter().flat_map(Polygon::edges))
            .filter_map(|side| ray.meets(side))
            .map(|p| p.distance_mm(to))
            .fold(reach.min(in_line / 2.0).min(grazed), f64::min);
        to + dir * nearest
    };
    Segment { from: end(bar.to, bar.from), to: end(bar.from, bar.to) }
}

/// The bar's own mass on each clip \[kg\].
fn bars_own(checked: &Checked, bars: &[Segment], by_bar: &[Vec<usize>]) -> Vec<f64> {
    let layout = checked.layout;
    let mut own_kg = vec![0.0; layout.clips.len()];
    for ((bar, line), clips) in layout.bars.iter().zip(bars).zip(by_bar) {
        for (order, &clip) in clips.iter().enumerate() {
            let here = layout.clips[clip].along_mm;
            let before = order.checked_sub(1).and_then(|o| clips.get(o));
            let half = |other: &usize| f64::midpoint(layout.clips[*other].along_mm, here);
            let start = before.map_or(0.0, half);
            let finish = clips.get(order + 1).map_or(line.length_mm(), half);
            let run: f64 =
                bar.lengths.iter().map(|l| (l.to_mm.min(finish) - l.from_mm.max(start)).max(0.0)).sum();
            own_kg[clip] += run / 1e3 * checked.ceiling.bar.mass_kg_m;
        }
    }
    own_kg
}
