//! Draws the layout of an invented room as SVG on standard output: `cargo run -p setout --example dump > layout.svg`.
#![allow(clippy::print_stdout, clippy::print_stderr, reason = "an example prints")]

#[path = "../tests/rooms/mod.rs"]
mod rooms;

use std::fmt::Write as _;

use setout::{Budget, Point, set_out};

fn main() {
    let which = std::env::args().nth(1).unwrap_or_else(|| "percussion".to_owned());
    let ceiling = match which.as_str() {
        "ell" => rooms::ell_room(),
        seed if seed.parse::<u64>().is_ok() => rooms::random_room(seed.parse().unwrap_or(0)),
        _ => rooms::percussion_room(),
    };
    let deep = std::env::args().nth(2).is_some_and(|word| word == "deep");
    let budget = if deep { Budget::deep() } else { Budget::default() };
    let layout = match set_out(&ceiling, &budget) {
        Ok(layout) => layout,
        Err(error) => {
            eprintln!("{error}");
            return;
        }
    };
    eprintln!("{:?}", layout.worth);
    let sheets: Vec<usize> = layout.layers.iter().map(|l| l.sheets.len()).collect();
    eprintln!(
        "{:?} boards {sheets:?} least {:?}, together {}, proved {}",
        layout.take_off, layout.least_boards, layout.least_boards_together, layout.proved_fewest_boards
    );
    eprintln!("steps {} noggins {:?} notes {:?}", layout.steps, layout.noggins, layout.notes);
    eprintln!("{:?}", layout.level);
    for breach in setout::check::check(&ceiling, &layout) {
        eprintln!("BREACH {:?} {}", breach.rule, breach.sentence);
    }
    for wall in &layout.marks {
        eprintln!("wall {} from {} ({:.0} mm)", wall.wall, wall.from_corner, wall.length_mm);
        for mark in &wall.marks {
            eprintln!("  {:7.0}  {}", mark.at_mm, mark.what);
        }
    }
    let (mut low, mut high) = (Point::new(f64::MAX, f64::MAX), Point::new(f64::MIN, f64::MIN));
    for c in &ceiling.corners {
        low = Point::new(low.x_mm.min(c.at.x_mm), low.y_mm.min(c.at.y_mm));
        high = Point::new(high.x_mm.max(c.at.x_mm), high.y_mm.max(c.at.y_mm));
    }
    let (width, height) = (high.x_mm - low.x_mm + 400.0, high.y_mm - low.y_mm + 400.0);
    let mut svg = String::new();
    let n = layout.layers.len();
    let _ = write!(
        svg,
        "<svg xmlns='http://www.w3.org/2000/svg' width='{}' height='{}' viewBox='0 0 {} {}'><rect width='100%' height='100%' fill='#f5f0e4'/>",
        width / 5.0 * n as f64,
        height / 5.0,
        width * n as f64,
        height
    );
    for (index, layer) in layout.layers.iter().enumerate() {
        let place = |p: Point| (p.x_mm - low.x_mm + 200.0 + width * index as f64, high.y_mm - p.y_mm + 200.0);
        let ring = |points: &[Point]| {
            points
                .iter()
                .map(|p| {
                    let (x, y) = place(*p);
                    format!("{x:.1},{y:.1}")
                })
                .collect::<Vec<_>>()
                .join(" ")
        };
        let line = |svg: &mut String, a: Point, b: Point, width: f64, style: &str| {
            let length = a.distance_mm(b).max(1.0);
            let side = Point::new(-(b.y_mm - a.y_mm), b.x_mm - a.x_mm) * (width / 2.0 / length);
            let _ = write!(
                svg,
                "<polygon points='{}' {style}/>",
                ring(&[a - side, b - side, b + side, a + side])
            );
        };
        let corners: Vec<Point> = ceiling.corners.iter().map(|c| c.at).collect();
        let mut over = String::new();
        for j in &ceiling.joists {
            line(&mut over, j.from, j.to, j.width_mm, "fill='#888' fill-opacity='.25'");
        }
        let _ =
            write!(svg, "<polygon points='{}' fill='none' stroke='#222' stroke-width='12'/>", ring(&corners));
        for o in &ceiling.obstructions {
            let _ =
                write!(svg, "<polygon points='{}' fill='#d0c0c0' stroke='#a33' stroke-width='6'/>", ring(o));
        }
        for b in &layout.bars {
            let colour = if b.wall.is_some() { "#2a6" } else { "#57a" };
            line(
                &mut over,
                b.from,
                b.to,
                ceiling.bar.face_width_mm,
                &format!("fill='{colour}' fill-opacity='.5'"),
            );
            for lap in &b.laps {
                let (x, y) = place(lap.at);
                let _ = write!(
                    svg,
                    "<circle cx='{x:.1}' cy='{y:.1}' r='40' fill='none' stroke='#a3a' stroke-width='8'/>"
                );
            }
        }
        for p in &layer.pieces {
            let _ = write!(
                svg,
                "<polygon points='{}' fill='{}' fill-opacity='.25' stroke='#111' stroke-width='5'/>",
                ring(&p.outline),
                if p.whole { "#fff" } else { "#e8b060" }
            );
            let k = p.outline.len() as f64;
            let middle = Point::new(
                p.outline.iter().map(|q| q.x_mm).sum::<f64>() / k,
                p.outline.iter().map(|q| q.y_mm).sum::<f64>() / k,
            );
            let (x, y) = place(middle);
            let _ = write!(
                svg,
                "<text x='{x:.1}' y='{y:.1}' font-size='70' text-anchor='middle'>{} s{}</text>",
                p.name,
                p.sheet + 1
            );
        }
        svg.push_str(&over);
        for c in &layout.clips {
            let (x, y) = place(c.at);
            let colour = if matches!(c.on, setout::Support::Noggin(_)) { "#d22" } else { "#111" };
            let _ = write!(
                svg,
                "<rect x='{:.1}' y='{:.1}' width='36' height='36' fill='{colour}'/>",
                x - 18.0,
                y - 18.0
            );
        }
    }
    svg.push_str("</svg>");
    println!("{svg}");
}
