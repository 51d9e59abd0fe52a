//! Reading a finished scene over: words that lie on words, on lines or outside the frame. For the tests of those
//! who draw.

use crate::ink::Ink;
use crate::point::{Extent, Point};
use crate::scene::{Item, Scene, Text};

/// A fault a reader would see.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fault {
    /// Two lines of text lie on each other.
    WordsOnWords {
        /// The lower one.
        first: String,
        /// The upper one.
        second: String,
    },
    /// A line runs through a text.
    LineThroughWords {
        /// The text.
        words: String,
        /// Near the middle of it.
        at: Point,
    },
    /// A text reaches outside the frame.
    OutsideFrame {
        /// The text.
        words: String,
        /// Its middle.
        at: Point,
    },
}

/// Every fault of a scene. `frame` is what texts must stay inside, the whole scene if `None`.
///
/// Faint lines ([`Ink::Light`], [`Ink::Wash`], [`Ink::Blush`]) may run under a text; any other line may not, unless
/// the text is knocked out and drawn after it.
pub fn faults(scene: &Scene, frame: Option<Extent>) -> Vec<Fault> {
    let frame = frame.unwrap_or(Extent::new(0.0, 0.0, scene.width_mm, scene.height_mm));
    let mut marks = Vec::new();
    gather(&scene.items, &mut marks);
    let texts: Vec<(usize, &Text)> = marks
        .iter()
        .enumerate()
        .filter_map(|(order, mark)| if let Mark::Words(text) = mark { Some((order, *text)) } else { None })
        .collect();
    let mut faults = Vec::new();
    for (index, &(order, text)) in texts.iter().enumerate() {
        let corners = text.corners(-0.15);
        let middle = corners_middle(corners);
        if !frame.holds(&text.extent()) {
            faults.push(Fault::OutsideFrame { words: text.words.clone(), at: middle });
        }
        for (_, other) in texts.iter().skip(index + 1) {
            if quads_overlap(corners, other.corners(-0.15)) {
                faults.push(Fault::WordsOnWords { first: text.words.clone(), second: other.words.clone() });
            }
        }
        let struck = marks.iter().enumerate().any(|(other, mark)| {
            let Mark::Line(from, to) = *mark else { return false };
            let hidden = text.knock_out && other < order;
            !hidden && segment_meets_quad(from, to, corners)
        });
        if struck {
            faults.push(Fault::LineThroughWords { words: text.words.clone(), at: middle });
        }
    }
    faults
}

enum Mark<'a> {
    Words(&'a Text),
    Line(Point, Point),
}

fn gather<'a>(items: &'a [Item], marks: &mut Vec<Mark<'a>>) {
    let clear = |ink: Ink| matches!(ink, Ink::Ink | Ink::Grey | Ink::Red);
    for item in items.iter().filter(|item| item.is_drawable()) {
        match item {
            Item::Group(group) => gather(&group.items, marks),
            Item::Text(text) => marks.push(Mark::Words(text)),
            Item::Path(path) if path.pen.is_some_and(|pen| clear(pen.ink)) => {
                let around = path.points.iter().skip(1);
                let closing = if path.closed { path.points.first() } else { None };
                let ends = around.chain(closing);
                marks.extend(path.points.iter().zip(ends).map(|(&from, &to)| Mark::Line(from, to)));
            }
            Item::Strokes(strokes) if clear(strokes.pen.ink) => {
                for line in &strokes.lines {
                    marks.extend(
                        line.iter().zip(line.iter().skip(1)).map(|(&from, &to)| Mark::Line(from, to)),
                    );
                }
            }
            _ => {}
        }
    }
}

fn corners_middle([a, _, c, _]: [Point; 4]) -> Point {
    a.middle(c)
}

/// Whether two turned rectangles overlap: no side of either parts them.
fn quads_overlap(first: [Point; 4], second: [Point; 4]) -> bool {
    [first, second].into_iter().all(|[a, b, _, d]| {
        [(a, b), (a, d)].into_iter().all(|(from, to)| {
            let axis = (to.x - from.x, to.y - from.y);
            let range = |quad: [Point; 4]| {
                quad.into_iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| {
                    let along = p.x * axis.0 + p.y * axis.1;
                    (low.min(along), high.max(along))
                })
            };
            let ((low1, high1), (low2, high2)) = (range(first), range(second));
            low1 < high2 - 1e-9 && low2 < high1 - 1e-9
        })
    })
}

fn segment_meets_quad(from: Point, to: Point, [a, b, c, d]: [Point; 4]) -> bool {
    let reach = Extent::round([a, b, c, d]).unwrap_or_default();
    let along = Extent::round([from, to]).unwrap_or_default();
    let apart = along.left > reach.right
        || along.right < reach.left
        || along.top > reach.bottom
        || along.bottom < reach.top;
    !apart && !crate::region::Region::inside(&[a, b, c, d]).cut_line(from, to).is_empty()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ink::Pen;
    use crate::scene::Path;

    #[test]
    fn each_fault_is_seen_and_a_knocked_out_text_is_none() {
        let mut scene = Scene::new(100.0, 50.0);
        scene.add(Path::line(Point::new(0.0, 20.0), Point::new(100.0, 20.0), Pen::THIN));
        scene.add(Text::new(Point::new(10.0, 21.0), "struck", 3.0));
        scene.add(Text::new(Point::new(40.0, 21.0), "clear", 3.0).knocked_out());
        scene.add(Text::new(Point::new(42.0, 22.0), "on it", 3.0).turned(30.0).knocked_out());
        scene.add(Text::new(Point::new(95.0, 40.0), "far too wide", 3.0));
        let faults = faults(&scene, None);
        assert_eq!(faults.len(), 3, "{faults:?}");
        assert!(matches!(&faults[0], Fault::LineThroughWords { words, .. } if words == "struck"));
        assert!(matches!(&faults[1], Fault::WordsOnWords { first, .. } if first == "clear"));
        assert!(matches!(&faults[2], Fault::OutsideFrame { .. }));
    }
}
