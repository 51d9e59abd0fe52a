//! How fast elements and a whole room are predicted, and the same four elements by a vectorised NumPy script in the same call
//! (`oracles/element_numpy.py`). Goals: 3000 predictions a second and core for the double leaf, ten times the script, within
//! 0.05 dB of it; 1000 draws of a whole room within 1 s on two cores.

#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a bench prints its times and stops at an error"
)]

use std::{hint::black_box, process::Command, time::Instant};

use bands::{
    Band, Spectrum,
    iso_717_1_2020::{Precision, weigh_third_octaves},
    rate_spectrum,
};
use criterion::{Criterion, Throughput};
use rayon::prelude::*;
use sound::{
    Prepared,
    composite::Part as RoomPart,
    element::{
        Bond, Bridge, BridgeKind, Cavity, Element, Fill, Leaf, LeafKind, Leak, LeakKind, Part, SealClass,
        Sheet, Spreads,
    },
    en_12354_4_2000::InsideField,
    iso_9613_1_1993::OutdoorAir,
    outdoors::{Building, Fence, Radiator, Receiver, RoomSound, Shape, Site, heard_outdoors},
    place::{Direction, Point3},
    predict,
    ranged::RangedSpectrum,
    spread::sampled_reduction_index,
};

/// How long each element is predicted for the comparison, s.
const SECONDS: f64 = 1.0;
/// Draws of the whole room.
const DRAWS: usize = 1000;

fn main() {
    let mut criterion = Criterion::default().sample_size(20).configure_from_args();
    elements(&mut criterion);
    room(&mut criterion);
    criterion.final_summary();
    compare_with_numpy();
}

fn elements(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("one element, checked, prepared and predicted");
    group.throughput(Throughput::Elements(1));
    for (name, element) in compared() {
        group.bench_function(name, |bench| {
            bench.iter(|| Prepared::new(black_box(&element)).unwrap().transmission());
        });
    }
    group.bench_function("double, boards with a grain", |bench| {
        let element = with_grain(double());
        bench.iter(|| Prepared::new(black_box(&element)).unwrap().transmission());
    });
    group.finish();
    let mut group = criterion.benchmark_group("one element with its uncertainty, limits and advice");
    group.throughput(Throughput::Elements(1));
    for (name, element) in compared() {
        group.bench_function(name, |bench| bench.iter(|| predict(black_box(&element)).unwrap()));
    }
    group.finish();
    // What an uncertainty takes of each of its draws.
    let r = Prepared::new(&double()).unwrap().transmission().reduction_index();
    criterion.bench_function("all single numbers of a spectrum", |bench| {
        bench.iter(|| rate_spectrum(black_box(&r)).unwrap());
    });
    criterion.bench_function("Rw alone of a spectrum, in tenths", |bench| {
        bench.iter(|| {
            weigh_third_octaves(|band| Some(black_box(&r).get(band)), Precision::Tenth).unwrap().value_db
        });
    });
    criterion.bench_function("one draw of a double leaf", |bench| {
        bench.iter(|| sampled_reduction_index(black_box(&double()), 7).unwrap());
    });
}

fn room(criterion: &mut Criterion) {
    let elements = room_elements();
    let radiators = radiators(&elements);
    let sound = drums();
    let (site, receivers) = site();
    criterion.bench_function("levels at one receiver outdoors from 13 radiators, 1018 draws", |bench| {
        bench.iter(|| heard_outdoors(black_box(&radiators), &sound, &site, &receivers[0]).unwrap());
    });
    criterion.bench_function("a whole room: every element, three receivers (all cores)", |bench| {
        bench.iter(|| whole_room(black_box(&elements), &sound, &site, &receivers));
    });
    criterion.bench_function("1000 draws of every element of a room (all cores, goal 1 s)", |bench| {
        bench.iter(|| {
            (0..DRAWS * elements.len())
                .into_par_iter()
                .map(|draw| {
                    let (element, build) = (&elements[draw % elements.len()].1, draw / elements.len());
                    sampled_reduction_index(element, build).unwrap().get(Band::at(16).unwrap())
                })
                .sum::<f64>()
        });
    });
}

fn whole_room(
    elements: &[(&'static str, Element)],
    sound: &RoomSound,
    site: &Site,
    receivers: &[Receiver],
) -> f64 {
    let radiators = radiators(elements);
    receivers
        .par_iter()
        .map(|receiver| heard_outdoors(&radiators, sound, site, receiver).unwrap().level_dba.median_db)
        .sum()
}

/// The script's answer for the same elements beside ours; nothing is printed but a word where Python is missing.
fn compare_with_numpy() {
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/../../oracles/element_numpy.py");
    let run = Command::new("python3")
        .arg(script)
        .arg(SECONDS.to_string())
        .envs([("OMP_NUM_THREADS", "1"), ("OPENBLAS_NUM_THREADS", "1")])
        .output();
    let text = match run {
        Ok(output) if output.status.success() => String::from_utf8_lossy(&output.stdout).into_owned(),
        _ => {
            println!("python3 with numpy is not there: no comparison");
            return;
        }
    };
    let numbers = |kind: &str, name: &str| -> Vec<f64> {
        let start = format!("{kind} {name} ");
        let line = text.lines().find_map(|line| line.strip_prefix(&start)).unwrap();
        line.split(' ').map(|word| word.parse().unwrap()).collect()
    };
    println!("\nelement   ours/s  NumPy/s  times  off from 90 angles, dB  off from 4000 angles, dB");
    for (name, element) in compared() {
        let ours = Prepared::new(&element).unwrap().transmission().reduction_index();
        let largest = |kind: &str| {
            let reference = numbers(kind, name);
            assert_eq!(reference.len(), bands::BAND_COUNT);
            Band::all()
                .zip(reference)
                .map(|(band, value)| (ours.get(band) - value, band))
                .max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()))
                .map(|(off, band)| format!("{off:+.4} at {} Hz", band.nominal()))
                .unwrap()
        };
        let (pace, reference) = (pace(&element), numbers("rate", name)[0]);
        println!(
            "{name:8} {pace:7.0} {reference:8.0} {:6.1}  {:22}  {}",
            pace / reference,
            largest("coarse"),
            largest("fine")
        );
    }
}

/// Predictions a second on this thread.
fn pace(element: &Element) -> f64 {
    let start = Instant::now();
    let mut count = 0;
    while start.elapsed().as_secs_f64() < SECONDS {
        black_box(Prepared::new(black_box(element)).unwrap().transmission());
        count += 1;
    }
    f64::from(count) / start.elapsed().as_secs_f64()
}

/// The elements of the script, number by number.
fn compared() -> [(&'static str, Element); 4] {
    [("double", double()), ("triple", triple()), ("masonry", masonry()), ("door", door())]
}

fn sheet(thickness_m: f64, density_kg_m3: f64, youngs_modulus_pa: f64, poisson: f64) -> Sheet {
    Sheet {
        name: "sheet".into(),
        thickness_m,
        density_kg_m3,
        youngs_modulus_pa,
        along_over_across: 1.0,
        poisson,
        loss_factor: 0.01,
        spreads: Spreads::default(),
    }
}

/// The same with paper-faced boards.
fn with_grain(mut element: Element) -> Element {
    for part in &mut element.parts {
        if let Part::Leaf(leaf) = part {
            for sheet in &mut leaf.sheets {
                sheet.along_over_across = 1.8;
            }
        }
    }
    element
}

fn board_12() -> Sheet {
    sheet(0.0125, 700.0, 2.5e9, 0.3)
}

fn board_15() -> Sheet {
    sheet(0.015, 850.0, 3.0e9, 0.3)
}

fn thin(sheets: Vec<Sheet>) -> Part {
    Part::Leaf(Leaf { name: "leaf".into(), sheets, bond: Bond::Loose, kind: LeafKind::Thin })
}

fn of(name: &str, parts: Vec<Part>) -> Element {
    Element { name: name.into(), parts, ..Element::default() }
}

/// Two boards, fibre, air, two boards, on resilient clips.
fn double() -> Element {
    let clips = BridgeKind::Clip { stiffness_n_m: 120e3, loss_factor: 0.15, per_m2: 2.4, bar_spacing_m: 0.6 };
    Element {
        bridges: vec![Bridge::between(0, 1, "clips", clips)],
        ..of(
            "ceiling",
            vec![
                thin(vec![board_12(), board_12()]),
                Part::Cavity(Cavity::filled(0.1, Fill::fibre("wool", 0.06, 9000.0, 20.0))),
                thin(vec![board_15(), board_15()]),
            ],
        )
    }
}

fn triple() -> Element {
    of(
        "roof",
        vec![
            thin(vec![sheet(0.018, 620.0, 4.5e9, 0.3)]),
            Part::Cavity(Cavity::filled(0.15, Fill::fibre("wool", 0.1, 9000.0, 20.0))),
            thin(vec![board_12()]),
            Part::Cavity(Cavity::filled(0.075, Fill::fibre("wool", 0.075, 12000.0, 30.0))),
            thin(vec![board_15(), board_15()]),
        ],
    )
}

fn masonry() -> Element {
    let plaster = || sheet(0.013, 1300.0, 4e9, 0.2);
    let brick = sheet(0.215, 1800.0, 10e9, 0.2);
    of("wall", vec![Part::Leaf(Leaf::masonry("brick", vec![plaster(), brick, plaster()]))])
}

fn door() -> Element {
    let seal = LeakKind::Seal { length_m: 5.8, gap: SealClass::Compression.gap() };
    Element {
        width_m: 0.9,
        height_m: 2.0,
        leaks: vec![Leak { name: "seal".into(), leaf: None, kind: seal, size_spread: 0.4 }],
        ..of("door", vec![thin(vec![sheet(0.044, 600.0, 5e9, 0.3)])])
    }
}

fn window() -> Element {
    let pane = |thickness: f64| sheet(thickness, 2500.0, 70e9, 0.22);
    Element {
        width_m: 1.2,
        height_m: 1.0,
        ..of(
            "window",
            vec![
                thin(vec![pane(0.006)]),
                Part::Cavity(Cavity::empty(0.1)),
                thin(vec![pane(0.004), pane(0.004)]),
            ],
        )
    }
}

/// What the shell of the room is built of: nine parts, each predicted for itself.
fn room_elements() -> Vec<(&'static str, Element)> {
    let sized = |element: Element, width_m: f64, height_m: f64| Element { width_m, height_m, ..element };
    vec![
        ("wall A-B", sized(masonry(), 5.2, 2.4)),
        ("wall B-C", sized(masonry(), 3.9, 2.4)),
        ("wall C-D", sized(double(), 4.2, 2.4)),
        ("wall D-E", sized(masonry(), 1.4, 2.4)),
        ("wall E-A", sized(double(), 3.0, 2.4)),
        ("roof", sized(triple(), 5.2, 3.9)),
        ("door", door()),
        ("window 1", window()),
        ("window 2", window()),
    ]
}

fn drums() -> RoomSound {
    let spectrum = Spectrum::from_fn(|band| 96.0 - 0.3 * band.index() as f64);
    let level = RangedSpectrum::with_deviation("drums", spectrum, &Spectrum::flat(3.0)).unwrap();
    RoomSound::from_level("drums", level, InsideField::DiffuseReflecting)
}

/// The nine parts and four leaks, each in its place round a room 5.2 m by 3.9 m and 2.4 m high.
fn radiators(elements: &[(&'static str, Element)]) -> Vec<Radiator> {
    let south = Direction::new(0.0, -1.0, 0.0).unwrap();
    let (north, east) = (Direction::new(0.0, 1.0, 0.0).unwrap(), Direction::new(1.0, 0.0, 0.0).unwrap());
    let west = Direction::new(-1.0, 0.0, 0.0).unwrap();
    let upright = |a: (f64, f64), b: (f64, f64), top: f64| Shape::Face {
        corners: vec![
            Point3::new(a.0, a.1, 0.1),
            Point3::new(b.0, b.1, 0.1),
            Point3::new(b.0, b.1, top),
            Point3::new(a.0, a.1, top),
        ],
    };
    let places = [
        (upright((0.0, 0.0), (5.2, 0.0), 2.5), south),
        (upright((5.2, 0.0), (5.2, 3.9), 2.5), east),
        (upright((1.0, 3.9), (5.2, 3.9), 2.5), north),
        (upright((0.0, 2.5), (0.0, 3.9), 2.5), west),
        (upright((0.0, 0.0), (0.0, 2.5), 2.5), west),
        (
            Shape::Face {
                corners: [(0.0, 0.0), (5.2, 0.0), (5.2, 3.9), (0.0, 3.9)]
                    .map(|(x, y)| Point3::new(x, y, 2.7))
                    .to_vec(),
            },
            Direction::UP,
        ),
        (upright((0.5, 0.0), (1.4, 0.0), 2.1), south),
        (upright((2.0, 0.0), (3.2, 0.0), 1.1), south),
        (upright((3.8, 0.0), (5.0, 0.0), 1.1), south),
    ];
    let mut found: Vec<Radiator> = elements
        .par_iter()
        .zip(places)
        .map(|((name, element), (shape, outward))| {
            let prediction = predict(element).unwrap();
            let r = RangedSpectrum::new(name, prediction.r_db, prediction.lower_db, prediction.upper_db);
            let part = RoomPart::with_area(name, name, r.unwrap(), element.area_m2()).unwrap();
            Radiator::new(part, shape, outward).unwrap()
        })
        .collect();
    let line = |from: (f64, f64, f64), to: (f64, f64, f64)| Shape::Line {
        points: [from, to].map(|(x, y, z)| Point3::new(x, y, z)).to_vec(),
    };
    let leaks = [
        ("eaves joint", line((0.0, 0.0, 2.5), (5.2, 0.0, 2.5)), south),
        ("sole joint", line((1.0, 3.9, 0.1), (5.2, 3.9, 0.1)), north),
        ("cable hole", Shape::Spot { at: Point3::new(5.2, 2.0, 0.4) }, east),
        ("air path", Shape::Spot { at: Point3::new(5.2, 3.0, 2.2) }, east),
    ];
    found.extend(leaks.map(|(name, shape, outward)| {
        let level = Spectrum::from_fn(|band| 45.0 + 0.4 * band.index() as f64);
        let dn_e = RangedSpectrum::with_deviation(name, level, &Spectrum::flat(3.0)).unwrap();
        Radiator::new(RoomPart::small(name, name, dn_e), shape, outward).unwrap()
    }));
    assert_eq!(found.len(), 13);
    found
}

fn site() -> (Site, Vec<Receiver>) {
    let outline = [(0.0, 0.0), (5.2, 0.0), (5.2, 3.9), (0.0, 3.9)];
    let site = Site::new(0.6, OutdoorAir::new(10.0, 75.0).unwrap())
        .unwrap()
        .with_building(Building::new(&outline, 2.7).unwrap())
        .with_fence(Fence::new((-20.0, -6.0), (20.0, -6.0), 1.8).unwrap());
    let at = [("garden", 2.0, -3.0, 1.5), ("neighbour", 3.0, -14.0, 1.5), ("window above", 2.0, 16.0, 4.0)];
    let receivers =
        at.map(|(name, x, y, z)| Receiver { name: name.into(), at: Point3::new(x, y, z), criterion: None });
    (site, receivers.to_vec())
}
