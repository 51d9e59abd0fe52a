//! Levels outdoors of a small room against an independent computation (`oracles/room_outdoors.py`), which cuts every face
//! into a fixed grid of 5 cm.

#![allow(clippy::unwrap_used, reason = "a test that cannot set up its case must fail")]

use bands::{Band, Spectrum};
use sound::{
    composite::Part,
    en_12354_4_2000::InsideField,
    iso_9613_1_1993::OutdoorAir,
    outdoors::{Building, Fence, Radiator, Receiver, RoomSound, Shape, Site, heard_outdoors},
    place::{Direction, Point3},
    ranged::RangedSpectrum,
};

/// Largest difference allowed, dB: what cutting into patches by distance may cost (see `patches.rs`). Seen: 0.053.
const ALLOWED_DB: f64 = 0.1;

fn rising(start_db: f64, step_db: f64) -> RangedSpectrum {
    let spectrum = Spectrum::from_fn(|band| start_db + step_db * band.index() as f64);
    RangedSpectrum::exact("case", spectrum).unwrap()
}

fn upright(x: (f64, f64), z: (f64, f64)) -> Shape {
    Shape::Face {
        corners: vec![
            Point3::new(x.0, 0.0, z.0),
            Point3::new(x.1, 0.0, z.0),
            Point3::new(x.1, 0.0, z.1),
            Point3::new(x.0, 0.0, z.1),
        ],
    }
}

fn radiators(names: &[&str]) -> Vec<Radiator> {
    let south = Direction::new(0.0, -1.0, 0.0).unwrap();
    names
        .iter()
        .map(|&name| {
            let (r, area_m2, shape, outward) = match name {
                "wall" => (rising(30.0, 1.0), 10.2, upright((-2.5, 2.5), (0.0, 2.4)), south),
                "door" => (rising(20.0, 0.5), 1.8, upright((1.0, 1.9), (0.0, 2.0)), south),
                "slot" => {
                    let points = vec![Point3::new(-1.0, 0.0, 0.1), Point3::new(0.0, 0.0, 0.1)];
                    (rising(5.0, 0.0), 0.002, Shape::Line { points }, south)
                }
                _ => {
                    let corners = [(-2.5, 0.0), (2.5, 0.0), (2.5, 4.0), (-2.5, 4.0)];
                    let corners = corners.iter().map(|&(x, y)| Point3::new(x, y, 2.6)).collect();
                    (rising(15.0, 1.2), 20.0, Shape::Face { corners }, Direction::UP)
                }
            };
            Radiator::new(Part::with_area(name, name, r, area_m2).unwrap(), shape, outward).unwrap()
        })
        .collect()
}

#[test]
fn patches_and_screens_agree_with_a_fine_grid() {
    let reference = include_str!("reference/room_outdoors.csv");
    let rows: Vec<Vec<f64>> = reference
        .lines()
        .filter(|line| line.starts_with(|first: char| first.is_ascii_digit()))
        .map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect())
        .collect();
    assert_eq!(rows.len(), 27);
    let open = Site::new(0.6, OutdoorAir::new(10.0, 75.0).unwrap()).unwrap();
    let fenced = open.clone().with_fence(Fence::new((-20.0, -6.0), (20.0, -6.0), 1.8).unwrap());
    let outline = [(-2.5, 0.0), (2.5, 0.0), (2.5, 4.0), (-2.5, 4.0)];
    let built = open.clone().with_building(Building::new(&outline, 2.6).unwrap());
    let sound = RoomSound::from_level("drums", rising(90.0, 0.2), InsideField::DiffuseReflecting);
    let cases: [(&[&str], Site, Point3); 3] = [
        (&["wall", "door", "slot"], open, Point3::new(0.4, -3.0, 1.5)),
        (&["door"], fenced, Point3::new(1.0, -12.0, 1.2)),
        (&["wall", "door", "roof"], built, Point3::new(0.5, 12.0, 1.5)),
    ];
    for (column, (names, site, at)) in cases.iter().enumerate() {
        let receiver = Receiver { name: format!("case {column}"), at: *at, criterion: None };
        let heard = heard_outdoors(&radiators(names), &sound, site, &receiver).unwrap();
        for (band, row) in Band::all().zip(&rows) {
            // Parts without a spread of their own: the median of the sample is the plain sum.
            let off = heard.level.median_db().get(band) - row[column + 1];
            assert!(off.abs() <= ALLOWED_DB, "case {column}, {} Hz: {off:+.3} dB off", band.nominal());
        }
    }
}
