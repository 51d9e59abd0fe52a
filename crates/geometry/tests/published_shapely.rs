//! Areas, booleans, insets and chords against shapely/GEOS, an independent library (`oracles/geometry_shapely.py`).

#![expect(clippy::unwrap_used, reason = "a reference file that cannot be read fails the test")]

use geometry::{Point, Polygon};

fn rows(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.lines().filter(|line| !line.starts_with('#')).skip(1).map(|line| line.split(';').collect())
}

fn number(text: &str) -> f64 {
    text.parse().unwrap()
}

fn polygons() -> Vec<(String, Polygon, Vec<f64>)> {
    rows(include_str!("reference/polygons_shapely.csv"))
        .map(|row| {
            let corners: Vec<Point> = row[1]
                .split(' ')
                .map(|pair| pair.split_once(',').unwrap())
                .map(|(x, y)| Point::new(number(x), number(y)))
                .collect();
            (row[0].to_owned(), Polygon::new(&corners).unwrap(), row[2..].iter().map(|t| number(t)).collect())
        })
        .collect()
}

fn total_mm2(parts: &[Polygon]) -> f64 {
    parts.iter().map(Polygon::area_mm2).sum()
}

#[track_caller]
fn close(what: &str, ours: f64, theirs: f64, tolerance: f64) {
    assert!(
        (ours - theirs).abs() <= tolerance,
        "{what}: {ours} here, {theirs} there, {:e} apart",
        ours - theirs
    );
}

/// shapely `area`, `length`, `centroid`: same doubles, so to rounding.
#[test]
fn areas_perimeters_and_centroids() {
    let all = polygons();
    assert_eq!(all.len(), 40);
    for (name, polygon, reference) in &all {
        close(name, polygon.area_mm2(), reference[0], 1e-6);
        close(name, polygon.perimeter_mm(), reference[1], 1e-8);
        close(name, polygon.centroid().x_mm, reference[2], 1e-7);
        close(name, polygon.centroid().y_mm, reference[3], 1e-7);
        assert_eq!(polygon.is_convex(), reference[4] > 0.5, "{name}");
    }
}

/// shapely `intersection`, `difference`, `union`: here corners fall on a grid of 1/1000 mm, so each side may move
/// by half of it; the tolerance is that half times the perimeters.
#[test]
fn booleans() {
    let all = polygons();
    for row in rows(include_str!("reference/pairs_shapely.csv")) {
        let (first, second) =
            (&all[row[0].parse::<usize>().unwrap()], &all[row[1].parse::<usize>().unwrap()]);
        let (a, b) = (&first.1, &second.1);
        let what = format!("{} with {}", first.0, second.0);
        let tolerance = 0.0005 * (a.perimeter_mm() + b.perimeter_mm());
        let both = a.intersection(b);
        close(&what, total_mm2(&both), number(row[2]), tolerance);
        close(&what, total_mm2(&a.difference(b)), number(row[3]), tolerance);
        close(&what, total_mm2(&a.union(b)), number(row[4]), tolerance);
        let parts = both.iter().filter(|part| part.area_mm2() > 1.0).count();
        assert_eq!(parts, row[5].parse::<usize>().unwrap(), "{what}: parts of the intersection");
    }
}

/// shapely `buffer(-gap, join_style="mitre", mitre_limit=50)`, to 0.05 mm².
#[test]
fn insets() {
    let all = polygons();
    for row in rows(include_str!("reference/insets_shapely.csv")) {
        let (name, polygon, _) = &all[row[0].parse::<usize>().unwrap()];
        let inner = polygon.inset(number(row[1]));
        let what = format!("{name} drawn in by {} mm", row[1]);
        close(&what, total_mm2(&inner), number(row[2]), 0.05);
        let parts = inner.iter().filter(|part| part.area_mm2() > 1.0).count();
        assert_eq!(parts, row[3].parse::<usize>().unwrap(), "{what}: parts");
    }
}

/// shapely `LineString.intersection(Polygon)`, to 1e-6 mm.
#[test]
fn chords() {
    let all = polygons();
    for row in rows(include_str!("reference/chords_shapely.csv")) {
        let (name, polygon, _) = &all[row[0].parse::<usize>().unwrap()];
        let chords = polygon.clip_line(
            Point::new(number(row[1]), number(row[2])),
            Point::new(number(row[3]), number(row[4])),
        );
        let length: f64 = chords.iter().map(|(a, b)| a.distance_mm(*b)).sum();
        close(name, length, number(row[5]), 1e-6);
        assert_eq!(chords.len(), row[6].parse::<usize>().unwrap(), "{name}: parts of a chord");
    }
}
