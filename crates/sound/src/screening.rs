//! Ways of sound past the building itself and past a fence: over the top and round the sides.

use quantities::math;
use serde::Serialize;

use crate::{iso_9613_2_1996::DiffractedPath, place::Point3, room_error::RoomError};

/// Clearance below which a line counts as touching, m.
const TOUCH_M: f64 = 1e-6;
/// How far a source is moved off the wall it sits on, m, so that ways round the corners start outside.
const OFF_WALL_M: f64 = 1e-3;

/// An edge whose way is longer than the straight one by this much plays no part in any band, m: a tenth of the wavelength
/// at 25 Hz, where Dz reaches 0 (ISO 9613-2:1996, equation 14 with z = −λ/10).
const FARTHEST_EDGE_M: f64 = 1.36;

/// The building as its own screen: a prism on the outline of its outer walls.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Building {
    outline: Vec<(f64, f64)>,
    top_m: f64,
    #[serde(skip)]
    hull: Vec<(f64, f64)>,
}

impl Building {
    /// From the outline of the outer walls on plan, m, either way round, and the height of the roof edge above the
    /// ground, 0.5 to 100 m. Sound bends round the convex hull of the outline.
    ///
    /// Fewer than three corners or an outline without area give a sentence.
    pub fn new(outline: &[(f64, f64)], top_m: f64) -> Result<Self, RoomError> {
        let what = "outline of the building";
        RoomError::in_range(what, "the height", top_m, "m", (0.5, 100.0))?;
        for &(x, y) in outline {
            Point3::new(x, y, 0.0).checked(what)?;
        }
        if outline.len() < 3 {
            return Err(RoomError::TooFewCorners { what: what.to_owned(), given: outline.len(), needed: 3 });
        }
        let hull = convex_hull(outline);
        if hull.len() < 3 {
            return Err(RoomError::NoSize { what: what.to_owned() });
        }
        Ok(Self { outline: outline.to_vec(), top_m, hull })
    }

    /// Whether a point lies within the outer walls and below the roof edge.
    pub fn holds(&self, point: Point3) -> bool {
        point.z_m < self.top_m && inside_outline(point.plan(), &self.outline)
    }

    /// Height of the roof edge, m.
    pub fn top_m(&self) -> f64 {
        self.top_m
    }
}

/// One straight fence or wall on the ground.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fence {
    from: (f64, f64),
    to: (f64, f64),
    top_m: f64,
}

impl Fence {
    /// From its two ends on plan, m, and the height of its top above the ground, 0.1 to 20 m. It must be free of gaps
    /// and weigh 10 kg/m² or more (ISO 9613-2:1996, 7.4). Ends on one point give a sentence.
    pub fn new(from: (f64, f64), to: (f64, f64), top_m: f64) -> Result<Self, RoomError> {
        RoomError::in_range("fence", "the height", top_m, "m", (0.1, 20.0))?;
        for (x, y) in [from, to] {
            Point3::new(x, y, 0.0).checked("fence")?;
        }
        if length(from, to) < 1e-3 {
            return Err(RoomError::NoSize { what: "fence".to_owned() });
        }
        Ok(Self { from, to, top_m })
    }
}

/// How one way gets from a patch to the receiver.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Way {
    /// Straight, with nothing near.
    Clear,
    /// Over a top edge, hidden by it or just in sight past it.
    OverTop(DiffractedPath),
    /// Round a vertical edge, and over a fence behind it if there is one.
    RoundSide { path: DiffractedPath, fence: Option<DiffractedPath> },
}

impl Way {
    /// How much longer it is than the straight line, m; negative past an edge in sight.
    fn extra_length_m(&self) -> f64 {
        match self {
            Self::Clear => f64::NEG_INFINITY,
            Self::OverTop(path) | Self::RoundSide { path, .. } => path.extra_length_m(),
        }
    }

    /// Whether the receiver is in sight.
    pub(crate) fn in_sight(&self) -> bool {
        match self {
            Self::Clear => true,
            Self::OverTop(path) | Self::RoundSide { path, .. } => path.in_sight,
        }
    }
}

/// What stands on the site.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Obstacles<'a> {
    pub(crate) building: Option<&'a Building>,
    pub(crate) fence: Option<&'a Fence>,
}

impl Obstacles<'_> {
    /// All ways from a point on the building to a receiver. `outward` is the horizontal part of the direction the
    /// element faces, or none for a roof.
    ///
    /// Where the receiver is in sight the first way is straight past the nearest edge, if there is one; the others
    /// are those that would be left if that edge hid it.
    pub(crate) fn ways(&self, source: Point3, outward: Option<(f64, f64)>, receiver: Point3) -> Vec<Way> {
        let start = match (self.building, outward) {
            (Some(building), Some(outward)) => off_the_wall(source, outward, building),
            (Some(building), None) => Point3 { z_m: source.z_m.max(building.top_m), ..source },
            (None, _) => source,
        };
        let mut tops = Vec::new();
        let mut hidden_by_building = false;
        if let Some(building) = self.building
            && let Some((from, to)) = crossing(start.plan(), receiver.plan(), &building.hull)
        {
            let height = |part: f64| start.z_m + (receiver.z_m - start.z_m) * part;
            hidden_by_building = height(from).min(height(to)) < building.top_m - TOUCH_M;
            // A roof starts on its own building: only the edge towards the receiver is in the way.
            if from > 0.0 {
                tops.push((from, building.top_m));
            }
            if to < 1.0 {
                tops.push((to, building.top_m));
            }
        }
        let fence = self.fence.filter(|fence| {
            let at = segments_cross(start.plan(), receiver.plan(), fence.from, fence.to);
            tops.extend(at.map(|part| (part, fence.top_m)));
            at.is_some()
        });
        tops.sort_by(|a, b| a.0.total_cmp(&b.0));

        let over = over_tops(start, receiver, &tops);
        let Some(path) = over.filter(|path| !path.in_sight) else {
            return self.in_sight(start, receiver, outward, over);
        };
        let mut ways = vec![Way::OverTop(path)];
        if hidden_by_building {
            // From a roof there is no way round a corner that is not a way over an edge.
            if let (Some(building), true) = (self.building, outward.is_some()) {
                ways.extend(self.round_building(start, receiver, building));
            }
        } else if let Some(fence) = fence {
            for end in [fence.from, fence.to] {
                ways.push(round(&[start.plan(), end, receiver.plan()], start, receiver, false));
            }
        }
        ways
    }

    /// Past the nearest edge of those the receiver is seen past, and the ways left if that edge hid it.
    fn in_sight(
        &self,
        start: Point3,
        receiver: Point3,
        outward: Option<(f64, f64)>,
        over: Option<DiffractedPath>,
    ) -> Vec<Way> {
        let past_top = over.map(Way::OverTop);
        let (Some(building), Some(outward)) = (self.building, outward) else {
            return vec![past_top.unwrap_or(Way::Clear)];
        };
        let corners = building
            .hull
            .iter()
            .map(|&corner| round(&[start.plan(), corner, receiver.plan()], start, receiver, true));
        let past_wall = Way::OverTop(up_the_wall(start, receiver, building));
        let nearest = corners
            .chain([past_wall])
            .chain(past_top)
            .max_by(|a, b| a.extra_length_m().total_cmp(&b.extra_length_m()))
            .unwrap_or(Way::Clear);
        if nearest.extra_length_m() < -FARTHEST_EDGE_M {
            return vec![Way::Clear];
        }
        // The receiver moved straight back until the wall well hides it, by half a degree.
        let behind = OFF_WALL_M + 0.01 * start.plan_distance_m(receiver);
        let ahead = (receiver.x_m - start.x_m) * outward.0 + (receiver.y_m - start.y_m) * outward.1 + behind;
        let (x_m, y_m) = (receiver.x_m - ahead * outward.0, receiver.y_m - ahead * outward.1);
        let hidden = Point3 { x_m, y_m, ..receiver };
        let mut others = self.round_building(start, hidden, building);
        match nearest {
            Way::RoundSide { .. } => {
                others.sort_by(|a, b| a.extra_length_m().total_cmp(&b.extra_length_m()));
                if !others.is_empty() {
                    others.remove(0);
                }
                let tops = crossing(start.plan(), hidden.plan(), &building.hull)
                    .map_or(Vec::new(), |(from, to)| vec![(from, building.top_m), (to, building.top_m)]);
                others
                    .extend(over_tops(start, hidden, &tops).filter(|path| !path.in_sight).map(Way::OverTop));
            }
            // Past a fence, or past the wall's own top edge.
            Way::OverTop(_) | Way::Clear => {}
        }
        others.insert(0, nearest);
        others
    }

    fn round_building(&self, start: Point3, receiver: Point3, building: &Building) -> Vec<Way> {
        both_ways_round(start.plan(), receiver.plan(), &building.hull)
            .into_iter()
            .filter(|plan| plan.len() > 2)
            .map(|plan| {
                let mut way = round(&plan, start, receiver, false);
                if let (Way::RoundSide { fence, .. }, Some(screen)) = (&mut way, self.fence) {
                    *fence = fence_behind_corner(&plan, start, receiver, screen);
                }
                way
            })
            .collect()
    }
}

/// Straight up the wall and past its top edge, with the receiver in sight.
fn up_the_wall(start: Point3, receiver: Point3, building: &Building) -> DiffractedPath {
    let edge = Point3 { z_m: building.top_m.max(start.z_m), ..start };
    DiffractedPath {
        direct_m: start.distance_m(receiver),
        source_to_edge_m: edge.z_m - start.z_m,
        edge_to_receiver_m: edge.distance_m(receiver),
        between_edges_m: 0.0,
        round_the_side: false,
        in_sight: true,
    }
}

/// The way over all top edges, a rubber band in the vertical plane of source and receiver; past the nearest where the
/// receiver is in sight; none without edges. `tops` holds places along the straight line (0 to 1) and heights.
fn over_tops(start: Point3, receiver: Point3, tops: &[(f64, f64)]) -> Option<DiffractedPath> {
    let plan_m = start.plan_distance_m(receiver);
    let path = |first: f64, last: f64, between: f64, in_sight: bool| DiffractedPath {
        direct_m: start.distance_m(receiver),
        source_to_edge_m: first,
        edge_to_receiver_m: last,
        between_edges_m: between,
        round_the_side: false,
        in_sight,
    };
    let hides = |&(part, top): &(f64, f64)| start.z_m + (receiver.z_m - start.z_m) * part < top - TOUCH_M;
    if !tops.iter().any(hides) {
        return tops
            .iter()
            .map(|&(part, top)| {
                let edge = (part * plan_m, top);
                (length((0.0, start.z_m), edge), length(edge, (plan_m, receiver.z_m)))
            })
            .min_by(|a, b| (a.0 + a.1).total_cmp(&(b.0 + b.1)))
            .map(|(first, last)| path(first, last, 0.0, true));
    }
    let mut band = vec![(0.0, start.z_m)];
    let edges = tops.iter().map(|&(part, top)| (part * plan_m, top));
    for point in edges.chain([(plan_m, receiver.z_m)]) {
        while let [.., before, last] = band.as_slice() {
            if turn(*before, *last, point) < 0.0 {
                break;
            }
            band.pop();
        }
        band.push(point);
    }
    let pieces = lengths(&band);
    match pieces.as_slice() {
        [first, between @ .., last] => Some(path(*first, *last, between.iter().sum(), false)),
        _ => None,
    }
}

/// The way along a path on plan, rising or falling evenly from source to receiver.
fn round(plan: &[(f64, f64)], start: Point3, receiver: Point3, in_sight: bool) -> Way {
    let pieces = lengths(plan);
    let plan_m: f64 = pieces.iter().sum();
    let slope = if plan_m > 0.0 { (receiver.z_m - start.z_m) / plan_m } else { 0.0 };
    let stretch = (1.0 + slope * slope).sqrt();
    let (first, between, last) = match pieces.as_slice() {
        [first, between @ .., last] => (*first, between.iter().sum(), *last),
        _ => (0.0, 0.0, plan_m),
    };
    let path = DiffractedPath {
        direct_m: start.distance_m(receiver),
        source_to_edge_m: first * stretch,
        edge_to_receiver_m: last * stretch,
        between_edges_m: between * stretch,
        round_the_side: true,
        in_sight,
    };
    Way::RoundSide { path, fence: None }
}

/// The fence between the last corner and the receiver, if the way passes below its top.
fn fence_behind_corner(
    plan: &[(f64, f64)],
    start: Point3,
    receiver: Point3,
    fence: &Fence,
) -> Option<DiffractedPath> {
    let [.., corner, end] = plan else { return None };
    let part = segments_cross(*corner, *end, fence.from, fence.to)?;
    let total: f64 = lengths(plan).iter().sum();
    let before = total - length(*corner, *end);
    let corner_z = start.z_m + (receiver.z_m - start.z_m) * before / total.max(TOUCH_M);
    let corner = Point3::new(corner.0, corner.1, corner_z);
    over_tops(corner, receiver, &[(part, fence.top_m)]).filter(|path| !path.in_sight)
}

/// A source on a wall as a point just outside the hull, straight out from it.
fn off_the_wall(source: Point3, outward: (f64, f64), building: &Building) -> Point3 {
    let mut step = 0.0;
    // Straight out, past every side of the hull that it is not yet outside of.
    if inside_outline(source.plan(), &building.hull) || near_outline(source.plan(), &building.hull) {
        let far = (source.x_m + outward.0 * 1e4, source.y_m + outward.1 * 1e4);
        if let Some((_, to)) = crossing(source.plan(), far, &building.hull) {
            step = to * 1e4;
        }
        step += OFF_WALL_M;
    }
    Point3::new(source.x_m + outward.0 * step, source.y_m + outward.1 * step, source.z_m)
}

/// Part of the segment a–b inside a convex outline that runs anticlockwise, as two places from 0 to 1; none where it
/// only touches.
fn crossing(a: (f64, f64), b: (f64, f64), hull: &[(f64, f64)]) -> Option<(f64, f64)> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (at, &corner) in hull.iter().enumerate() {
        let next = hull.get(at + 1).or(hull.first()).copied()?;
        let edge = length(corner, next).max(1e-12);
        let (side_a, side_b) = (turn(corner, next, a) / edge, turn(corner, next, b) / edge);
        let change = side_b - side_a;
        if change.abs() < 1e-12 {
            if side_a <= TOUCH_M {
                return None;
            }
            continue;
        }
        let zero = -side_a / change;
        if change > 0.0 {
            from = from.max(zero);
        } else {
            to = to.min(zero);
        }
    }
    ((to - from) * length(a, b) > TOUCH_M).then_some((from, to))
}

/// Place along a–b (0 to 1) where it crosses c–d, or none.
fn segments_cross(a: (f64, f64), b: (f64, f64), c: (f64, f64), d: (f64, f64)) -> Option<f64> {
    let (side_a, side_b) = (turn(c, d, a), turn(c, d, b));
    let (side_c, side_d) = (turn(a, b, c), turn(a, b, d));
    let apart = side_a - side_b;
    if side_a * side_b > 0.0 || side_c * side_d > 0.0 || apart.abs() < 1e-12 {
        return None;
    }
    Some(side_a / apart)
}

/// The two shortest ways on plan from a to b round a convex outline.
fn both_ways_round(a: (f64, f64), b: (f64, f64), hull: &[(f64, f64)]) -> Vec<Vec<(f64, f64)>> {
    let mut points = hull.to_vec();
    points.push(a);
    points.push(b);
    let around = convex_hull(&points);
    let place = |wanted: (f64, f64)| around.iter().position(|point| *point == wanted);
    let (Some(from), Some(to)) = (place(a), place(b)) else { return Vec::new() };
    let count = around.len();
    let walk = |step: usize| -> Vec<(f64, f64)> {
        let mut at = from;
        let mut path = Vec::new();
        for _ in 0..=count {
            path.extend(around.get(at).copied());
            if at == to {
                break;
            }
            at = (at + step) % count;
        }
        path
    };
    vec![walk(1), walk(count - 1)]
}

/// Convex hull, anticlockwise, without corners on straight edges (Andrew, 1979).
fn convex_hull(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    sorted.dedup();
    let half = |order: &mut dyn Iterator<Item = (f64, f64)>| {
        let mut chain: Vec<(f64, f64)> = Vec::new();
        for point in order {
            while let [.., before, last] = chain.as_slice() {
                if turn(*before, *last, point) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(point);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut sorted.iter().copied());
    hull.extend(half(&mut sorted.iter().rev().copied()));
    hull
}

fn inside_outline(point: (f64, f64), outline: &[(f64, f64)]) -> bool {
    let mut inside = false;
    for (at, &a) in outline.iter().enumerate() {
        let b = outline.get(at + 1).or(outline.first()).copied().unwrap_or(a);
        if (a.1 > point.1) != (b.1 > point.1) {
            let x = a.0 + (point.1 - a.1) / (b.1 - a.1) * (b.0 - a.0);
            if point.0 < x {
                inside = !inside;
            }
        }
    }
    inside
}

fn near_outline(point: (f64, f64), outline: &[(f64, f64)]) -> bool {
    outline.iter().enumerate().any(|(at, &a)| {
        let b = outline.get(at + 1).or(outline.first()).copied().unwrap_or(a);
        let squared = (b.0 - a.0) * (b.0 - a.0) + (b.1 - a.1) * (b.1 - a.1);
        let along = ((point.0 - a.0) * (b.0 - a.0) + (point.1 - a.1) * (b.1 - a.1)) / squared.max(1e-12);
        let part = along.clamp(0.0, 1.0);
        length(point, (a.0 + (b.0 - a.0) * part, a.1 + (b.1 - a.1) * part)) < OFF_WALL_M
    })
}

/// Lengths of the pieces of a path.
fn lengths(path: &[(f64, f64)]) -> Vec<f64> {
    path.iter().zip(path.iter().skip(1)).map(|(a, b)| length(*a, *b)).collect()
}

fn length(a: (f64, f64), b: (f64, f64)) -> f64 {
    math::hypot(a.0 - b.0, a.1 - b.1)
}

fn turn(a: (f64, f64), b: (f64, f64), c: (f64, f64)) -> f64 {
    (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block() -> Building {
        Building::new(&[(0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0)], 3.0).unwrap()
    }

    const SOUTH: Option<(f64, f64)> = Some((0.0, -1.0));

    #[test]
    fn a_receiver_in_front_sees_the_wall() {
        let building = block();
        let site = Obstacles { building: Some(&building), fence: None };
        let ways = site.ways(Point3::new(3.0, 0.0, 1.5), SOUTH, Point3::new(3.0, -10.0, 1.5));
        assert_eq!(ways, [Way::Clear], "every edge is more than 1.36 m out of the way");
        let ways = site.ways(Point3::new(3.0, 0.0, 2.9), SOUTH, Point3::new(3.0, -10.0, 1.5));
        assert!(matches!(ways.as_slice(), [Way::OverTop(path), ..] if path.in_sight), "{ways:?}");
        let open = Obstacles::default().ways(Point3::new(3.0, 0.0, 1.5), SOUTH, Point3::new(3.0, -10.0, 1.5));
        assert_eq!(open, [Way::Clear]);
    }

    #[test]
    fn a_receiver_behind_is_reached_over_the_roof_and_round_both_sides() {
        let building = block();
        let site = Obstacles { building: Some(&building), fence: None };
        let ways = site.ways(Point3::new(3.0, 0.0, 1.5), SOUTH, Point3::new(3.0, 14.0, 1.5));
        let [Way::OverTop(top), Way::RoundSide { path: a, .. }, Way::RoundSide { path: b, .. }] =
            ways.as_slice()
        else {
            panic!("{ways:?}");
        };
        // Up 1.5 m, 4 m across, then down to the receiver: two edges.
        assert!((top.between_edges_m - 4.0).abs() < 1e-6);
        assert!((top.source_to_edge_m - 1.5).abs() < 1e-5);
        assert!((top.extra_length_m() - (1.5 + 4.0 + 102.25_f64.sqrt() - 14.0)).abs() < 2e-3);
        // Three metres along, four up the side, then on; the same on both sides.
        assert!((a.extra_length_m() - (3.0 + 4.0 + 109.0_f64.sqrt() - 14.0)).abs() < 2e-3);
        assert!((a.extra_length_m() - b.extra_length_m()).abs() < 1e-9);
    }

    #[test]
    fn a_roof_is_heard_below_over_its_edge_and_seen_from_above() {
        let building = block();
        let site = Obstacles { building: Some(&building), fence: None };
        let below = site.ways(Point3::new(3.0, 2.0, 3.0), None, Point3::new(3.0, -8.0, 1.5));
        let [Way::OverTop(path)] = below.as_slice() else { panic!("{below:?}") };
        assert!(!path.in_sight && path.between_edges_m == 0.0);
        assert!((path.source_to_edge_m - 2.0).abs() < 1e-9);
        let above = site.ways(Point3::new(3.0, 2.0, 3.0), None, Point3::new(3.0, -8.0, 6.0));
        assert!(matches!(above.as_slice(), [Way::OverTop(path)] if path.in_sight));
    }

    #[test]
    fn a_fence_hides_and_can_be_passed_at_its_ends() {
        let fence = Fence::new((-20.0, -5.0), (20.0, -5.0), 2.0).unwrap();
        let site = Obstacles { building: None, fence: Some(&fence) };
        let low = site.ways(Point3::new(0.0, 0.0, 1.0), SOUTH, Point3::new(0.0, -10.0, 1.0));
        let [Way::OverTop(path), Way::RoundSide { .. }, Way::RoundSide { .. }] = low.as_slice() else {
            panic!("{low:?}")
        };
        assert!((path.extra_length_m() - 2.0 * (26.0_f64.sqrt() - 5.0)).abs() < 1e-9);
        let high = site.ways(Point3::new(0.0, 0.0, 1.0), SOUTH, Point3::new(0.0, -10.0, 8.0));
        assert!(matches!(high.as_slice(), [Way::OverTop(path)] if path.in_sight));
    }

    #[test]
    fn outlines_may_turn_either_way_and_must_have_area() {
        let turned = Building::new(&[(0.0, 4.0), (6.0, 4.0), (6.0, 0.0), (0.0, 0.0)], 3.0).unwrap();
        assert!(turned.holds(Point3::new(1.0, 1.0, 1.0)) && block().holds(Point3::new(1.0, 1.0, 1.0)));
        assert!(!turned.holds(Point3::new(1.0, 1.0, 3.5)) && !turned.holds(Point3::new(-1.0, 1.0, 1.0)));
        assert!(Building::new(&[(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)], 3.0).is_err());
        assert!(Building::new(&[(0.0, 0.0), (1.0, f64::NAN), (2.0, 0.0)], 3.0).is_err());
        assert!(Fence::new((0.0, 0.0), (0.0, 0.0), 2.0).is_err());
    }
}
