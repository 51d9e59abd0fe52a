//! What must hold for any words, places and polygons.

use paper::flow::{Flow, FlowArea};
use paper::region::Region;
use paper::spread::{Wish, spread};
use paper::table::{Column, Table};
use paper::wrap::wrap;
use paper::{Extent, Hatch, Ink, Point, Weight, font, hatch};
use proptest::prelude::*;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn spread_labels_never_overlap_and_keep_their_order(
        wishes in prop::collection::vec((-50.0..250.0_f64, 0.5..9.0_f64), 0..25),
    ) {
        let wishes: Vec<Wish> = wishes.into_iter().map(|(at, room)| Wish { at, room }).collect();
        let places = spread(&wishes, -1e4, 1e4);
        for (i, a) in wishes.iter().enumerate() {
            for (j, b) in wishes.iter().enumerate().skip(i + 1) {
                prop_assert!((places[i] - places[j]).abs() >= f64::midpoint(a.room, b.room) - 1e-6);
                if a.at < b.at {
                    prop_assert!(places[i] < places[j]);
                }
            }
        }
    }

    #[test]
    fn spread_moves_are_the_least_squares(
        wishes in prop::collection::vec((0.0..40.0_f64, 1.0..6.0_f64), 2..8),
        nudge in 0..8_usize,
        by in -0.5..0.5_f64,
    ) {
        let wishes: Vec<Wish> = wishes.into_iter().map(|(at, room)| Wish { at, room }).collect();
        let places = spread(&wishes, -1e4, 1e4);
        let cost = |places: &[f64]| places.iter().zip(&wishes).map(|(p, w)| (p - w.at) * (p - w.at)).sum::<f64>();
        let mut other = places.clone();
        let at = nudge % other.len();
        other[at] += by;
        let free = (0..other.len()).all(|j| {
            j == at || (other[at] - other[j]).abs() >= f64::midpoint(wishes[at].room, wishes[j].room)
                && (other[at] > other[j]) == (places[at] > places[j])
        });
        prop_assert!(!free || cost(&other) >= cost(&places) - 1e-9);
    }

    #[test]
    fn wrapped_lines_fit_and_lose_nothing(words in "[ a-zäß0-9–/\u{A0}\u{202F}-]{0,120}", width in 8.0..90.0_f64) {
        let lines = wrap(&words, 3.0, Weight::Regular, width);
        for line in &lines {
            prop_assert!(font::width_mm(line, 3.0, Weight::Regular) <= width + 1e-6, "{line:?}");
        }
        let squeeze = |text: &str| text.replace(' ', "");
        prop_assert_eq!(squeeze(&lines.concat()), squeeze(&words));
    }

    #[test]
    fn what_is_cut_lies_inside(
        corners in prop::collection::vec((0.0..80.0_f64, 0.0..60.0_f64), 3..9),
        from in (-10.0..90.0_f64, -10.0..70.0_f64),
        to in (-10.0..90.0_f64, -10.0..70.0_f64),
    ) {
        let ring: Vec<Point> = corners.into_iter().map(|(x, y)| Point::new(x, y)).collect();
        let region = Region::inside(&ring);
        for [a, b] in region.cut_line(Point::new(from.0, from.1), Point::new(to.0, to.1)) {
            for part in [0.03, 0.5, 0.97] {
                let point = Point::new(a.x + part * (b.x - a.x), a.y + part * (b.y - a.y));
                prop_assert!(region.contains(point) || region.distance_to_edge(point) < 1e-6);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn hatches_stay_in_any_polygon(corners in prop::collection::vec((0.0..60.0_f64, 0.0..40.0_f64), 3..7)) {
        let ring: Vec<Point> = corners.into_iter().map(|(x, y)| Point::new(x, y)).collect();
        let extent = Extent::round(ring.iter().copied()).unwrap();
        for kind in [
            Hatch::Masonry, Hatch::BrickCourses, Hatch::Concrete, Hatch::TimberEndGrain, Hatch::TimberAlongGrain,
            Hatch::MineralFibre, Hatch::RigidInsulation, Hatch::SandFilled, Hatch::Earth, Hatch::Glass,
        ] {
            for item in hatch::fill(&ring, kind, Ink::Ink) {
                prop_assert!(extent.holds(&item.drawn_extent().unwrap()), "{kind:?}");
            }
        }
    }

    #[test]
    fn any_table_in_any_flow_stays_in_its_area_and_keeps_its_rows(
        rows in prop::collection::vec(("[a-z ]{0,60}", "-?[0-9]{1,5}(\\.[0-9]{1,2})?", "[a-zA-Z]{0,25}"), 1..60),
        columns in 1..3_usize,
    ) {
        let mut table = Table::new(vec![Column::wide("what"), Column::decimal("figure"), Column::left("note")]);
        for (index, (what, figure, note)) in rows.iter().enumerate() {
            table.row([what.as_str(), figure, note]).id = Some(format!("row-{index}"));
        }
        let mut flow = Flow::new();
        flow.heading(1, "Any").table(table);
        let area = FlowArea::columns(Extent::new(10.0, 10.0, 200.0, 140.0), columns);
        let mut seen = 0;
        for page in flow.pages(area) {
            prop_assert!(area.area.holds(&page.group.drawn_extent().unwrap()));
            seen += page.group.items.iter().filter(|item| matches!(item, paper::Item::Group(row) if row.id.is_some())).count();
        }
        prop_assert_eq!(seen, rows.len());
    }
}
