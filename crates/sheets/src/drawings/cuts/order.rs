//! In which order a sheet is cut: each cut from edge to edge of what is left, as a saw on a rail makes it; the corners of notches last.

use std::collections::BTreeSet;

use geometry::{Point, Segment};

/// A cut this near to the line of a piece's edge does not harm it, mm.
const BESIDE_MM: f64 = 0.7;
/// No saw takes off less than this: an edge that lies so near to the sheet's own stays that, mm (judgement, no source).
pub(super) const SPARED_MM: f64 = 0.5;
/// An edge shorter than this is none, mm.
const LEAST_EDGE_MM: f64 = 1.0;
/// Directions that turn less than this over the length of a cut are square to the sheet, mm.
const SQUARE_MM: f64 = 0.5;

/// One cut of the saw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct SawCut {
    /// Where it starts.
    pub from: Point,
    /// Where it ends.
    pub to: Point,
    /// From edge to edge of what is left; else it ends in the corner of a notch.
    pub through: bool,
    /// Made when the pieces of a later layer are cut: it parts nothing from those that are cut now.
    pub later: bool,
}

/// An edge by its piece and its place in it.
type EdgeOf = (usize, usize);

/// What a cut is good for: whether it parts pieces, does so square to the sheet, and how much it takes away, mm².
type Worth = (bool, bool, f64);

/// What is left of the sheet: a convex ring, and of the side that starts at each corner whether the saw has made it.
type Left = Vec<(Point, bool)>;

/// The cuts that part pieces from a sheet of this width (x) and length (y), in order; the saw takes `kerf_mm`. The first `now` pieces are cut
/// first and what holds only others stays whole until then.
pub(super) fn order(
    [wide_mm, long_mm]: [f64; 2],
    kerf_mm: f64,
    pieces: &[Vec<Point>],
    now: usize,
) -> Vec<SawCut> {
    let corners = [(0.0, 0.0), (wide_mm, 0.0), (wide_mm, long_mm), (0.0, long_mm)];
    let sheet: Left = corners.into_iter().map(|(x, y)| (Point::new(x, y), false)).collect();
    let mut cuts = Vec::new();
    // Every edge is cut along once at most.
    let mut done: BTreeSet<EdgeOf> = BTreeSet::new();
    let mut put_aside = vec![(sheet, pieces.iter().enumerate().collect::<Vec<_>>())];
    for (later, wanted) in [(false, now), (true, usize::MAX)] {
        let mut open = std::mem::take(&mut put_aside);
        open.reverse();
        while let Some((left, pieces)) = open.pop() {
            let wants = |(piece, _): &&(usize, &Vec<Point>)| *piece < wanted;
            if !pieces.iter().any(|piece| wants(&piece)) {
                put_aside.push((left, pieces));
                continue;
            }
            let Some((which, line)) = best_line(&left, &pieces, kerf_mm, (&done, wanted)) else {
                let rest: Vec<_> = pieces
                    .iter()
                    .filter(wants)
                    .flat_map(|piece| uncut(&left, *piece, kerf_mm, &done))
                    .collect();
                done.extend(rest.iter().map(|(which, _)| *which));
                let notch =
                    |(_, edge): (_, Segment)| SawCut { from: edge.from, to: edge.to, through: false, later };
                cuts.extend(rest.into_iter().map(notch));
                let others: Vec<_> = pieces.into_iter().filter(|(piece, _)| *piece >= wanted).collect();
                if !others.is_empty() {
                    put_aside.push((left, others));
                }
                continue;
            };
            done.insert(which);
            let halves = [half(&left, line, 1.0), half(&left, line, -1.0)];
            let Some((from, to)) = sawn_side(&halves, line) else { continue };
            cuts.push(SawCut { from, to, through: true, later });
            // The part that lies first on the sheet is gone on with first.
            for (part, sign) in halves.into_iter().zip([1_i8, -1]).rev() {
                let own: Vec<_> =
                    pieces.iter().copied().filter(|(_, piece)| lies_on(piece, line) == sign).collect();
                if !own.is_empty() {
                    open.push((part, own));
                }
            }
        }
    }
    cuts
}

/// The line to cut along next: one that parts pieces, square to the sheet if there is one; else the one that takes most away from those
/// that are `wanted`, the first so many.
fn best_line(
    left: &Left,
    pieces: &[(usize, &Vec<Point>)],
    kerf_mm: f64,
    (done, wanted): (&BTreeSet<EdgeOf>, usize),
) -> Option<(EdgeOf, Segment)> {
    let mut best: Option<(Worth, (EdgeOf, Segment))> = None;
    for piece in pieces {
        for (which, edge) in uncut(left, *piece, kerf_mm, done) {
            if pieces.iter().any(|(_, other)| lies_on(other, edge) == 0) {
                continue;
            }
            let sides = [1_i8, -1].map(|sign| pieces.iter().any(|(_, other)| lies_on(other, edge) == sign));
            let parts = sides[0] && sides[1];
            if !parts && piece.0 >= wanted {
                continue;
            }
            let along = edge.along();
            let square = along.x_mm.abs() < SQUARE_MM || along.y_mm.abs() < SQUARE_MM;
            let waste_mm2 =
                if parts { 0.0 } else { area(&half(left, edge, if sides[0] { -1.0 } else { 1.0 })) };
            let worth = (parts, parts && square, waste_mm2);
            let better = best.as_ref().is_none_or(|(known, _)| {
                (worth.0, worth.1) > (known.0, known.1)
                    || ((worth.0, worth.1) == (known.0, known.1) && worth.2 > known.2 + 1.0)
            });
            if better {
                best = Some((worth, (which, edge)));
            }
        }
    }
    best.map(|(_, found)| found)
}

/// Edges of a piece that are not yet edges of what is left.
fn uncut(
    left: &Left,
    (piece, corners): (usize, &Vec<Point>),
    kerf_mm: f64,
    done: &BTreeSet<EdgeOf>,
) -> Vec<(EdgeOf, Segment)> {
    let ends = corners.iter().zip(corners.iter().cycle().skip(1)).enumerate();
    ends.map(|(edge, (from, to))| ((piece, edge), Segment { from: *from, to: *to }))
        .filter(|(which, edge)| edge.length_mm() >= LEAST_EDGE_MM && !done.contains(which))
        .filter(|(_, edge)| {
            !sides(left).any(|(side, sawn)| {
                let away = [edge.from, edge.to].map(|end| side.distance_mm(end));
                let along = |at: f64, near: f64| away.iter().all(|mm| (mm - at).abs() <= near);
                // The saw leaves two edges, one on its line and one its own width away; what slants from one to the other is neither.
                if sawn { along(0.0, BESIDE_MM) || along(kerf_mm, BESIDE_MM) } else { along(0.0, SPARED_MM) }
            })
        })
        .collect()
}

fn sides(left: &Left) -> impl Iterator<Item = (Segment, bool)> + '_ {
    left.iter()
        .zip(left.iter().cycle().skip(1))
        .map(|((from, sawn), (to, _))| (Segment { from: *from, to: *to }, *sawn))
}

/// On which side of a line a piece lies: 1 left, −1 right, 0 on both.
fn lies_on(piece: &[Point], line: Segment) -> i8 {
    let (mut most, mut least) = (f64::MIN, f64::MAX);
    for corner in piece {
        let aside = line.left_of_mm(*corner);
        most = most.max(aside);
        least = least.min(aside);
    }
    if least >= -BESIDE_MM && most > BESIDE_MM {
        1
    } else if most <= BESIDE_MM && least < -BESIDE_MM {
        -1
    } else {
        0
    }
}

/// What is left of a ring on one side of a line.
fn half(left: &Left, line: Segment, sign: f64) -> Left {
    let mut out = Left::new();
    for ((from, sawn), (to, _)) in left.iter().zip(left.iter().cycle().skip(1)) {
        let (a, b) = (sign * line.left_of_mm(*from), sign * line.left_of_mm(*to));
        if a >= 0.0 {
            out.push((*from, *sawn));
        }
        if (a > 0.0 && b < 0.0) || (a < 0.0 && b > 0.0) {
            let at = from.toward(*to, a / (a - b));
            // Going out, the new side along the line starts here; coming in, the rest of the old one.
            out.push((at, if a > 0.0 { true } else { *sawn }));
        } else if a == 0.0
            && b < 0.0
            && let Some(last) = out.last_mut()
        {
            last.1 = true;
        }
    }
    out
}

/// The ends of the side that a cut along a line makes.
fn sawn_side(halves: &[Left; 2], line: Segment) -> Option<(Point, Point)> {
    let mut ends: Option<(Point, Point)> = None;
    for (corner, _) in halves.iter().flatten().filter(|(corner, _)| line.left_of_mm(*corner).abs() < 1e-6) {
        let (first, last) = ends.unwrap_or((*corner, *corner));
        let at = line.running_mm(*corner);
        ends = Some((
            if at < line.running_mm(first) { *corner } else { first },
            if at > line.running_mm(last) { *corner } else { last },
        ));
    }
    ends
}

fn area(left: &Left) -> f64 {
    let twice: f64 =
        left.iter().zip(left.iter().cycle().skip(1)).map(|((from, _), (to, _))| from.cross(*to)).sum();
    twice.abs() / 2.0
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test stops at once")]
mod tests {
    use super::*;

    const SHEET: [f64; 2] = [1200.0, 2400.0];

    fn ring(corners: &[(f64, f64)]) -> Vec<Point> {
        corners.iter().map(|(x, y)| Point::new(*x, *y)).collect()
    }

    fn cut(cuts: &[SawCut]) -> Vec<[i64; 4]> {
        let whole = |mm: f64| mm.round() as i64;
        cuts.iter()
            .map(|cut| {
                let mut ends =
                    [(whole(cut.from.x_mm), whole(cut.from.y_mm)), (whole(cut.to.x_mm), whole(cut.to.y_mm))];
                ends.sort_unstable();
                [ends[0].0, ends[0].1, ends[1].0, ends[1].1]
            })
            .collect()
    }

    #[test]
    fn two_lengths_are_parted_and_the_rest_taken_off() {
        let first = ring(&[(0.0, 0.0), (1200.0, 0.0), (1200.0, 1000.0), (0.0, 1000.0)]);
        let second = ring(&[(0.0, 1003.0), (900.0, 1003.0), (900.0, 2000.0), (0.0, 2000.0)]);
        let cuts = order(SHEET, 3.0, &[first, second], 2);
        // Across between the two; then the end off, the larger rest; then the strip beside. The saw's own cut is none more.
        assert_eq!(cut(&cuts), [[0, 1000, 1200, 1000], [0, 2000, 1200, 2000], [900, 1000, 900, 2000]]);
        assert!(cuts.iter().all(|cut| cut.through));
    }

    #[test]
    fn a_slanting_piece_is_parted_square_before_its_taper_is_cut() {
        let taper = ring(&[(0.0, 0.0), (1200.0, 0.0), (1200.0, 766.0), (0.0, 1521.0)]);
        let other = ring(&[(0.0, 1524.0), (1200.0, 1524.0), (1200.0, 2400.0), (0.0, 2400.0)]);
        let cuts = order(SHEET, 3.0, &[taper, other], 2);
        assert_eq!(cut(&cuts), [[0, 1524, 1200, 1524], [0, 1521, 1200, 766]]);
    }

    #[test]
    fn a_notch_is_cut_last_and_said_to_end_in_its_corner() {
        let notched = ring(&[
            (0.0, 0.0),
            (1200.0, 0.0),
            (1200.0, 2390.0),
            (600.0, 2390.0),
            (600.0, 593.0),
            (0.0, 593.0),
        ]);
        let cuts = order(SHEET, 3.0, &[notched], 1);
        assert_eq!(cut(&cuts), [[0, 2390, 1200, 2390], [600, 593, 600, 2390], [0, 593, 600, 593]]);
        assert_eq!(cuts.iter().map(|cut| cut.through).collect::<Vec<_>>(), [true, false, false]);
    }

    /// Two pieces that lie in each other by less than a saw takes, or much more, end: every edge is cut along once at most.
    #[test]
    fn pieces_in_each_other_do_not_go_on_for_ever() {
        for over in [0.5, 2.0, 300.0] {
            let first = ring(&[(0.0, 0.0), (1200.0, 10.0), (1190.0, 1000.0), (3.0, 1001.0)]);
            let second = ring(&[
                (0.0, 1000.0 - over),
                (900.0, 1003.0),
                (900.0, 2000.0),
                (450.0, 2100.0),
                (0.0, 2000.0),
            ]);
            assert!(order(SHEET, 3.0, &[first, second], 2).len() <= 9, "{over}");
        }
    }

    #[test]
    fn a_whole_sheet_takes_no_cut() {
        let whole = ring(&[(0.0, 0.0), (1200.0, 0.0), (1200.0, 2400.0), (0.0, 2400.0)]);
        assert!(order(SHEET, 3.0, &[whole], 1).is_empty());
    }

    /// The end of a piece that slants within the width of the saw is cut too, or its corner stays 2 mm long.
    #[test]
    fn an_end_that_slants_beside_the_cut_is_cut_for_itself() {
        let first = ring(&[(0.0, 0.0), (1200.0, 0.0), (1200.0, 1000.0), (0.0, 1000.0)]);
        let second = ring(&[(0.0, 1003.0), (1200.0, 1005.0), (1200.0, 2400.0), (0.0, 2400.0)]);
        let cuts = order(SHEET, 3.0, &[first.clone(), second], 2);
        assert_eq!(cut(&cuts), [[0, 1000, 1200, 1000], [0, 1003, 1200, 1005]]);
        let square = ring(&[(0.0, 1003.0), (1200.0, 1003.4), (1200.0, 2400.0), (0.0, 2400.0)]);
        assert_eq!(cut(&order(SHEET, 3.0, &[first, square], 2)), [[0, 1000, 1200, 1000]]);
    }

    /// A trim of 2 mm is less than the saw takes, and still a cut: only sides the saw has made count as cut within its width.
    #[test]
    fn a_trim_thinner_than_the_saw_is_a_cut() {
        let trimmed = ring(&[(0.0, 0.0), (1200.0, 0.0), (1200.0, 2398.0), (0.0, 2398.0)]);
        assert_eq!(cut(&order(SHEET, 3.0, &[trimmed], 1)), [[0, 2398, 1200, 2398]]);
    }

    /// What holds only pieces of a later layer is parted whole, and cut afterwards.
    #[test]
    fn pieces_of_a_later_layer_stay_whole_until_then() {
        let now = ring(&[(0.0, 0.0), (1200.0, 0.0), (1200.0, 1000.0), (0.0, 1000.0)]);
        let later = ring(&[(0.0, 1003.0), (900.0, 1003.0), (900.0, 2000.0), (0.0, 2000.0)]);
        let cuts = order(SHEET, 3.0, &[now, later], 1);
        assert_eq!(cut(&cuts), [[0, 1000, 1200, 1000], [0, 2000, 1200, 2000], [900, 1000, 900, 2000]]);
        assert_eq!(cuts.iter().map(|cut| cut.later).collect::<Vec<_>>(), [false, true, true]);
        // A strip beside: its own waste is not taken off before it is parted.
        let now = ring(&[(0.0, 0.0), (600.0, 0.0), (600.0, 2300.0), (0.0, 2300.0)]);
        let later = ring(&[(603.0, 0.0), (1200.0, 0.0), (1200.0, 1500.0), (603.0, 1500.0)]);
        let cuts = order(SHEET, 3.0, &[now, later], 1);
        assert_eq!(cut(&cuts), [[600, 0, 600, 2400], [0, 2300, 600, 2300], [600, 1500, 1200, 1500]]);
        assert_eq!(cuts.iter().map(|cut| cut.later).collect::<Vec<_>>(), [false, false, true]);
    }
}
