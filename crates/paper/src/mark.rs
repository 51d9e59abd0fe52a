//! Small marks of a drawing: scale bar, north point, section marker, lettered corners, labels, clips.

use crate::font;
use crate::ink::{Ink, Pen};
use crate::point::{Direction, Extent, Point};
use crate::scene::{Baseline, Circle, Group, Path, Text};
use crate::view::Scale;
use quantities::{format, lengths::Lengths, math};

/// A label whose middle stands at a point, the paper showing round it.
pub fn label(at: Point, words: impl Into<String>, size_mm: f64) -> Text {
    Text::new(at, words, size_mm).centred().on(Baseline::Middle).knocked_out()
}

/// A letter or number in a ring: a grid line, a piece of a cutting list.
pub fn ringed(centre: Point, words: &str, size_mm: f64, ink: Ink) -> Group {
    let mut group = Group::default();
    let size = font::drawn_size_mm(size_mm);
    let radius = (font::width_mm(words, size, font::Weight::Semibold) / 2.0 + 0.9).max(size * 0.85);
    group.add(Circle { centre, radius_mm: radius, pen: Some(Pen::THIN.in_ink(ink)), fill: Some(Ink::Paper) });
    let text = Text::new(centre, words, size).semibold().centred().on(Baseline::Middle);
    group.add(text.in_ink(ink));
    group
}

/// A small diagonal cross: a clip, a fixing. `reach_mm` is half its width.
pub fn cross(at: Point, reach_mm: f64, pen: Pen) -> Group {
    let mut group = Group::default();
    group.add(Path::line(at.moved(-reach_mm, -reach_mm), at.moved(reach_mm, reach_mm), pen));
    group.add(Path::line(at.moved(-reach_mm, reach_mm), at.moved(reach_mm, -reach_mm), pen));
    group
}

/// A scale bar whose left end stands at a point, near `wished_mm` of paper long: four parts black and white in turn,
/// figures in metres or millimetres above it, or in feet and inches.
pub fn scale_bar(left: Point, scale: Scale, wished_mm: f64, lengths: Lengths) -> Group {
    const HEIGHT_MM: f64 = 1.4;
    const SIZE_MM: f64 = 2.5;
    let mut group = Group::on_layer("scale bar");
    let wished = if wished_mm.is_finite() { wished_mm.clamp(20.0, 400.0) } else { 50.0 };
    let wished_real = scale.real_mm(wished / 4.0);
    let part_real = if lengths.in_feet() { round_part_of_feet(wished_real) } else { round_part(wished_real) };
    let part = scale.on_paper_mm(part_real);
    let in_metres = part_real >= 100.0;
    for index in 0..4_u32 {
        let x = left.x + part * f64::from(index);
        let cell = Extent::new(x, left.y, x + part, left.y + HEIGHT_MM);
        let fill = if index % 2 == 0 { Ink::Ink } else { Ink::Paper };
        group.add(Path::rectangle(cell, Pen::THIN).with_fill(fill));
    }
    let decimals = if in_metres && part_real % 1000.0 > 1e-9 {
        if part_real % 100.0 > 1e-9 { 2 } else { 1 }
    } else {
        usize::from(part_real.fract() > 1e-9)
    };
    for index in [0_u32, 1, 2, 4] {
        let real = part_real * f64::from(index);
        let value = if in_metres { real / 1000.0 } else { real };
        let figures = format::number(value, if index == 0 { 0 } else { decimals });
        let words = if lengths.in_feet() {
            lengths.figure(real, 0)
        } else if index == 4 {
            format!("{figures}\u{A0}{}", if in_metres { "m" } else { "mm" })
        } else {
            figures
        };
        let at = Point::new(left.x + part * f64::from(index), left.y - 1.0);
        // The unit hangs over, the figures stay over their line.
        let shift = if index == 4 && !lengths.in_feet() {
            let unit = if in_metres { "\u{A0}m" } else { "\u{A0}mm" };
            font::width_mm(unit, SIZE_MM, font::Weight::Regular) / 2.0
        } else {
            0.0
        };
        group.add(Text::new(at.moved(shift, 0.0), words, SIZE_MM).centred());
    }
    group
}

/// The nearest of 1, 2, 2.5, 5 times a power of ten.
fn round_part(real_mm: f64) -> f64 {
    let power = math::powf(10.0, math::log10(real_mm.max(1e-6)).floor());
    [1.0, 2.0, 2.5, 5.0, 10.0]
        .into_iter()
        .map(|step| step * power)
        .min_by(|a, b| (a - real_mm).abs().total_cmp(&(b - real_mm).abs()))
        .unwrap_or(power)
}

/// The nearest of the lengths a rule in feet and inches is cut to.
fn round_part_of_feet(real_mm: f64) -> f64 {
    [0.25, 0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 36.0, 60.0, 120.0, 240.0, 360.0, 600.0, 1200.0]
        .into_iter()
        .map(|inches| inches * 25.4)
        .min_by(|a, b| (a - real_mm).abs().total_cmp(&(b - real_mm).abs()))
        .unwrap_or(304.8)
}

/// A north point: north is `bearing_deg` clockwise from the top of the paper.
pub fn north_point(centre: Point, bearing_deg: f64, radius_mm: f64) -> Group {
    let mut group = Group::on_layer("north point");
    let bearing = if bearing_deg.is_finite() { bearing_deg } else { 0.0 };
    let at = |turn: f64, radius: f64| {
        let (sine, cosine) = math::sin_cos((bearing + turn) * math::PI / 180.0);
        centre.moved(radius * sine, -radius * cosine)
    };
    group.add(Circle { centre, radius_mm, pen: Some(Pen::THIN), fill: Some(Ink::Paper) });
    let (tip, left, tail, right) = (
        at(0.0, radius_mm),
        at(-145.0, radius_mm * 0.72),
        at(180.0, radius_mm * 0.32),
        at(145.0, radius_mm * 0.72),
    );
    group.add(Path::closed([tip, left, tail, right], Pen::THIN));
    group.add(Path::filled([tip, tail, right], Ink::Ink));
    let text = Text::new(at(0.0, radius_mm + 2.6), "N", 3.0).semibold().centred().on(Baseline::Middle);
    group.add(text);
    group
}

/// One end of a section line: a ringed letter with a filled half that looks the way of the view.
pub fn section_marker(at: Point, looks: Direction, letter: &str) -> Group {
    let mut group = Group::on_layer("section markers");
    let radius = 3.2;
    let side = looks.left();
    let tip = at.along(looks, radius * 1.75);
    group.add(Path::filled(
        [at.along(side, radius * 1.2), tip, at.along(side.back(), radius * 1.2)],
        Ink::Ink,
    ));
    group.add(Circle { centre: at, radius_mm: radius, pen: Some(Pen::MEDIUM), fill: Some(Ink::Paper) });
    group.add(Text::new(at, letter, 3.2).semibold().centred().on(Baseline::Middle));
    group
}

/// A line sample as the verdict strip and legends use it.
pub fn line_sample(left: Point, length_mm: f64, pen: Pen) -> Path {
    Path::line(left, left.moved(length_mm, 0.0), pen)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_bar_has_round_parts_near_the_length_asked_for() {
        for denominator in [1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 250.0] {
            for lengths in [Lengths::Millimetres, Lengths::FeetAndInches] {
                let group = scale_bar(Point::new(10.0, 10.0), Scale::one_to(denominator), 60.0, lengths);
                let width = group.drawn_extent().unwrap().width();
                assert!((40.0..=90.0).contains(&width), "1:{denominator} is {width} mm, {lengths:?}");
            }
        }
        assert!((round_part(380.0) - 500.0).abs() < 1e-9);
        assert!((round_part(12.0) - 10.0).abs() < 1e-9);
    }
}
