//! Faults of clips, noggins, packers, loads and totals, each told by as much as it was put in by.

use geometry::{Point, Polygon, Segment};
use setout::check::Rule;
use setout::{Layout, Noggin, Support, Underside};

use super::{by, laid, none, one, rooms, sound, sound_with_hatch, told, worst};

fn on_joist(layout: &Layout) -> usize {
    layout.clips.iter().position(|clip| matches!(clip.on, Support::Joist(_))).unwrap()
}

/// How a sentence on a clip begins.
fn words_of(layout: &Layout, index: usize) -> String {
    format!("clip {} ", layout.clips[index].number)
}

#[test]
fn a_clip_off_its_bar_is_told_by_how_much() {
    let (_, layout) = sound();
    let at = on_joist(&layout);
    let words = format!("{}is", words_of(&layout, at));
    let across = layout.frame.across;
    for sign in [-1.0, 1.0] {
        let off = |mm: f64| {
            told(sound(), Rule::ClipGap, |_, l| l.clips[at].at = l.clips[at].at + across * (sign * mm))
        };
        let found = off(3.0);
        by(one(&found, &words), 3.0, 0.02);
        assert_eq!(one(&found, &words).what, format!("clip {}", layout.clips[at].number));
        assert_eq!(off(0.4), []);
        let listed = |mm: f64| told(sound(), Rule::ClipGap, |_, l| l.clips[at].along_mm += sign * mm);
        by(one(&listed(3.0), &words), 0.0, 1e-6);
        none(&listed(0.4), &words);
    }
}

#[test]
fn a_bar_without_clips_is_told_with_its_length() {
    let (_, layout) = sound();
    let found = told(sound(), Rule::ClipGap, |_, l| l.clips.retain(|clip| clip.bar != 4));
    by(one(&found, "bar 5 has no clip"), layout.bars[4].length_mm, 0.01);
    assert_eq!(one(&found, "bar 5 has no clip").what, "bar 5");
}

/// Where the clips of each bar stand along it.
fn along(layout: &Layout) -> Vec<Vec<f64>> {
    (0..layout.bars.len())
        .map(|bar| {
            let line = Segment { from: layout.bars[bar].from, to: layout.bars[bar].to };
            let clips = layout.clips.iter().filter(|clip| clip.bar == bar);
            let mut at: Vec<f64> = clips.map(|clip| line.running_mm(clip.at)).collect();
            at.sort_by(f64::total_cmp);
            at
        })
        .collect()
}

#[test]
fn ends_and_gaps_of_clips_are_told_by_how_much() {
    let (_, layout) = sound();
    let (mut end, mut gap) = (0.0_f64, 0.0_f64);
    for (bar, at) in layout.bars.iter().zip(along(&layout)) {
        end = end.max(at[0]).max(bar.length_mm - at.last().unwrap());
        gap = at.windows(2).map(|w| w[1] - w[0]).fold(gap, f64::max);
    }
    let ends = |mm: f64| told(sound(), Rule::ClipGap, |c, _| c.rules.end_clip_mm = mm);
    assert!((worst(&ends(end - 15.0)) - 15.0).abs() < 0.01);
    assert!(ends(end - 15.0)[0].sentence.contains("mm past its last clip"));
    assert_eq!(ends(end - 0.4), []);
    let gaps = |mm: f64| told(sound(), Rule::ClipGap, |c, _| c.rules.clip_gap_mm = mm);
    assert!((worst(&gaps(gap - 15.0)) - 15.0).abs() < 0.01);
    assert!(gaps(gap - 15.0)[0].sentence.contains("a clip gap of bar"));
    assert_eq!(gaps(gap - 0.4), []);
    // Told where it is.
    let found = gaps(gap - 15.0);
    let widest = found.iter().max_by(|a, b| a.by.total_cmp(&b.by)).unwrap();
    let own = layout.clips.iter().filter(|clip| widest.what == format!("bar {}", clip.bar + 1));
    let near = own.map(|clip| clip.at.distance_mm(widest.at)).fold(f64::INFINITY, f64::min);
    assert!((near - gap / 2.0).abs() < 8.0, "{near} of {gap}");
}

#[test]
fn a_bar_that_stops_before_its_clip_is_found() {
    let (_, layout) = sound();
    let at = along(&layout);
    let stop = |mm: f64| {
        told(sound(), Rule::ClipGap, |_, l| {
            let end = at[5].last().unwrap() - mm;
            l.bars[5].to = l.bars[5].from.toward(l.bars[5].to, end / l.bars[5].length_mm);
        })
    };
    by(one(&stop(30.0), "bar 6 stops 30 mm before its last clip"), 30.0, 0.01);
    assert_eq!(stop(0.4), []);
}

#[test]
fn a_clip_without_timber_is_told_with_what_it_lacks() {
    let (_, layout) = sound();
    let at = on_joist(&layout);
    let Support::Joist(joist) = layout.clips[at].on else { panic!("on a joist") };
    let on = |on: Support| told(sound(), Rule::ClipOnTimber, |_, l| l.clips[at].on = on);
    by(one(&on(Support::Joist(99)), "no such joist"), 0.0, 0.0);
    by(one(&on(Support::Noggin(99)), "no such noggin"), 0.0, 0.0);
    let off = |mm: f64| {
        told(sound(), Rule::ClipOnTimber, |_, l| l.clips[at].at = l.clips[at].at + l.frame.along * mm)
    };
    // Joists are nearly square to the bars.
    by(one(&off(60.0), &format!("joist J{} is 60 mm away", joist + 1)), 60.0, 0.5);
    assert_eq!(one(&off(60.0), "mm away").what, format!("clip {}", layout.clips[at].number));
    assert_eq!(off(24.5), []);
    one(&off(25.8), "mm away");
}

#[test]
fn a_clip_off_its_noggin_is_told_by_how_much() {
    let mut ceiling = rooms::percussion_room();
    // Without two joists beside each other a bay is too wide for the clips.
    ceiling.joists.drain(5..7);
    let (ceiling, layout) = laid(ceiling);
    let at = layout.clips.iter().position(|clip| matches!(clip.on, Support::Noggin(_))).unwrap();
    let Support::Noggin(noggin) = layout.clips[at].on else { panic!("on a noggin") };
    let room = || (ceiling.clone(), layout.clone());
    let along = layout.frame.along;
    let off = |mm: f64| told(room(), Rule::ClipOnTimber, |_, l| l.clips[at].at = l.clips[at].at + along * mm);
    by(one(&off(7.0), "its noggin is 7 mm away"), 7.0, 1e-6);
    assert_eq!(off(0.9), []);
    // Its length fills the space between its joists, to 5 mm.
    let longer = |mm: f64| told(room(), Rule::ClipOnTimber, |_, l| l.noggins[noggin].length_mm += mm);
    for mm in [-30.0, 30.0] {
        let found = longer(mm);
        let breach = one(&found, "the space between what holds it");
        assert!((breach.by - 30.0).abs() < 3.0, "{breach:?}");
    }
    assert_eq!((longer(-2.0), longer(2.0)), (vec![], vec![]));
    // With one joist only it reaches to the wall.
    let one_joist = |keep: usize| {
        told(room(), Rule::ClipOnTimber, |_, l| {
            l.noggins[noggin].joists = vec![l.noggins[noggin].joists[keep]];
        })
    };
    // From wall to wall through it, less itself: each time the space on one side, up to the face of the joist that is left.
    let corners: Vec<Point> = ceiling.corners.iter().map(|corner| corner.at).collect();
    let at = layout.noggins[noggin].at;
    let from_wall_to_wall: f64 = Polygon::new(&corners)
        .unwrap()
        .clip_line(at + along * -1e5, at + along * 1e5)
        .iter()
        .map(|(a, b)| a.distance_mm(*b))
        .sum();
    let span = one(&one_joist(0), "the space between").by + one(&one_joist(1), "the space between").by;
    // Joists run a little askew, and a noggin's length is told in whole millimetres.
    assert!((span - (from_wall_to_wall - layout.noggins[noggin].length_mm)).abs() < 3.0, "{span}");
    // Where no joist holds it two walls 1200 mm apart may.
    let unheld = |length_mm: f64| {
        told(room(), Rule::ClipOnTimber, |_, l| {
            let own = &mut l.noggins[noggin];
            *own = Noggin { joists: vec![], length_mm, ..own.clone() };
        })
    };
    by(one(&unheld(1300.0), "too long to hang between walls"), 100.0, 1e-9);
    one(&unheld(1199.0), "the space between");
}

#[test]
fn a_clip_outside_or_in_an_opening_is_found() {
    let (_, layout) = sound();
    let at = on_joist(&layout);
    let outside = told(sound(), Rule::Clear, |_, l| l.clips[at].at = Point::new(-3000.0, -3000.0));
    let breach = one(&outside, "is outside the room");
    assert_eq!((breach.what.clone(), breach.by), (format!("clip {}", layout.clips[at].number), 0.0));
    let p = layout.clips[at].at;
    let hole = |far: f64| {
        told(sound(), Rule::Clear, |c, _| {
            let corners = [(-5.0, -5.0), (5.0, -5.0), (5.0, 5.0), (-5.0, 5.0)];
            c.obstructions.push(corners.map(|(x, y)| Point::new(p.x_mm + x + far, p.y_mm + y)).to_vec());
        })
    };
    let words = format!("clip {} is where something comes through", layout.clips[at].number);
    by(one(&hole(0.0), &words), 0.0, 0.0);
    none(&hole(12.0), "is where something comes through");
}

#[test]
fn packers_are_told_by_how_far_they_leave_their_bar_out_of_the_plane() {
    let (_, layout) = sound();
    let at = on_joist(&layout);
    let words = format!("the packer of clip {} leaves", layout.clips[at].number);
    let thicker = |mm: f64| {
        told(sound(), Rule::Packing, |_, l| l.clips[at].packer_mm = l.clips[at].packer_mm.map(|p| p + mm))
    };
    // By the step of the packers, a millimetre, half of it is as near as they come.
    for mm in [4.0, -4.0] {
        by(one(&thicker(mm), &words), 4.0, 0.51);
    }
    let missing = told(sound(), Rule::Packing, |_, l| l.clips[at].packer_mm = None);
    by(one(&missing, "has no packer worked out"), 0.0, 0.0);
    let higher = |mm: f64| {
        told(sound(), Rule::Packing, |_, l| {
            let level = l.level.as_mut().unwrap();
            level.plane.height_at_origin_mm = level.lowest_underside_mm + mm;
        })
    };
    let found = higher(0.4);
    // The lowest underside of the room is one reading of 2333 mm on J1.
    by(one(&found, "the plane of the bars lies 0.4 mm above joist J1"), 0.4, 1e-6);
    assert_eq!(one(&found, "above joist J1").what, "J1");
    none(&higher(0.005), "above joist");
    let falls = |slope: f64| {
        told(sound(), Rule::Packing, |c, l| {
            c.rules.fall_mm_per_m = 2.0;
            let plane = &mut l.level.as_mut().unwrap().plane;
            (plane.slope_x, plane.slope_y) = (slope * 0.6 / 1000.0, slope * 0.8 / 1000.0);
        })
    };
    by(one(&falls(3.5), "falls 3.50 mm/m, the limit is 2.00"), 1.5, 1e-9);
    assert_eq!(one(&falls(3.5), "mm/m").what, "plane");
    none(&falls(2.0), "mm/m");
    // A plane that falls away from the origin leaves the clips far from it out of it by what it fell.
    let far = (0..layout.clips.len())
        .max_by(|&a, &b| layout.clips[a].at.x_mm.total_cmp(&layout.clips[b].at.x_mm))
        .unwrap();
    let tilted = told(sound(), Rule::Packing, |_, l| l.level.as_mut().unwrap().plane.slope_x = -0.01);
    let breach = one(&tilted, &format!("the packer of clip {} leaves", layout.clips[far].number));
    by(breach, 0.01 * layout.clips[far].at.x_mm, 0.51);
    let tilted = told(sound(), Rule::Packing, |_, l| l.level.as_mut().unwrap().plane.slope_y = -0.01);
    let far = (0..layout.clips.len())
        .max_by(|&a, &b| layout.clips[a].at.y_mm.total_cmp(&layout.clips[b].at.y_mm))
        .unwrap();
    let breach = one(&tilted, &format!("the packer of clip {} leaves", layout.clips[far].number));
    by(breach, 0.01 * layout.clips[far].at.y_mm, 0.51);
    assert_eq!(told(sound(), Rule::Packing, |_, l| l.level = None), []);
}

/// Of two edges read the middle is packed; between readings the height runs straight, beyond them it stays.
#[test]
fn timber_is_as_high_as_its_readings_beside_the_clip() {
    let (_, layout) = sound();
    let at = on_joist(&layout);
    let Support::Joist(j) = layout.clips[at].on else { panic!("on a joist") };
    let (ceiling, _) = sound();
    let joist = &ceiling.joists[j];
    let line = Segment { from: joist.from, to: joist.to };
    let here = line.running_mm(layout.clips[at].at);
    let dir = joist.from.toward(joist.to, 1.0 / line.length_mm()) - joist.from;
    let words = format!("the packer of clip {} leaves", layout.clips[at].number);
    // With readings so, the packer that brings the bar to a plane at 2300 mm.
    let packer = |readings: &[(f64, f64, f64)], packer_mm: f64| {
        told(sound(), Rule::Packing, |c, l| {
            let left = dir.left();
            c.joists[j].undersides = readings
                .iter()
                .map(|&(run, aside, height_mm)| Underside {
                    at: line.point_at(run) + left * aside,
                    height_mm,
                })
                .collect();
            l.level.as_mut().unwrap().plane.height_at_origin_mm = 2300.0;
            l.clips[at].packer_mm = Some(packer_mm);
        })
        .into_iter()
        .find(|breach| breach.sentence.contains(&words))
    };
    let is = |readings: &[(f64, f64, f64)], height: f64| {
        assert_eq!(packer(readings, height - 2300.0 + 0.45), None, "{height}");
        assert_eq!(packer(readings, height - 2300.0 - 0.45), None, "{height}");
        by(&packer(readings, height - 2300.0 + 2.0).unwrap(), 2.0, 1e-6);
        by(&packer(readings, height - 2300.0 - 2.0).unwrap(), 2.0, 1e-6);
    };
    // A quarter of the way between two readings, one on either side of others farther off.
    let four = [
        (here - 300.0, 0.0, 2390.0),
        (here - 100.0, 0.0, 2320.0),
        (here + 300.0, 0.0, 2340.0),
        (here + 500.0, 0.0, 2310.0),
    ];
    is(&four, 2325.0);
    // In any order.
    is(&[four[3], four[1], four[0], four[2]], 2325.0);
    is(&[(here - 500.0, 0.0, 2330.0), (here - 100.0, 0.0, 2320.0)], 2320.0);
    is(&[(here + 500.0, 0.0, 2330.0), (here + 100.0, 0.0, 2321.0)], 2321.0);
    is(&[(here, 0.0, 2317.0), (here + 500.0, 0.0, 2330.0)], 2317.0);
    // Edges on both sides; one edge alone is the one line.
    is(&[(here - 50.0, 30.0, 2310.0), (here + 50.0, 30.0, 2310.0), (here, -30.0, 2330.0)], 2320.0);
    is(&[(here - 50.0, 30.0, 2310.0), (here + 50.0, 0.0, 2312.0)], 2311.0);
    is(&[(here - 50.0, -30.0, 2310.0), (here + 50.0, 0.5, 2312.0)], 2311.0);
    assert_eq!(packer(&[], 500.0), None);
}

#[test]
fn loads_that_are_not_what_hangs_are_told_by_how_much() {
    for room in [sound as fn() -> _, sound_with_hatch] {
        let (_, layout) = room();
        for (index, clip) in layout.clips.iter().enumerate() {
            // A hundredth and 0.1 kg is what the columns may be wrong by.
            let slack = 0.02 * clip.load_kg + 0.25;
            let words = format!("clip {} carries about", clip.number);
            for listed in [clip.load_kg - slack, clip.load_kg + slack] {
                let found = told(room(), Rule::ClipLoad, |_, l| l.clips[index].load_kg = listed);
                by(one(&found, &words), slack, 0.011 * clip.load_kg + 0.11);
            }
            if index > 12 {
                break;
            }
        }
        // All a little wrong: each within its slack, the sum not.
        let sum: f64 = layout.clips.iter().map(|clip| clip.load_kg).sum();
        let less = |share: f64| {
            told(room(), Rule::ClipLoad, |_, l| {
                for clip in &mut l.clips {
                    clip.load_kg *= share;
                }
            })
        };
        by(one(&less(0.999), "the clips carry"), 0.001 * sum, 0.1);
        assert_eq!(one(&less(0.999), "the clips carry").what, "clips");
        none(&less(0.99995), "the clips carry");
        let on_joists = |kg: f64| told(room(), Rule::ClipLoad, |_, l| l.joist_loads[0].load_kg += kg);
        for kg in [-1.0, 1.0] {
            by(one(&on_joists(kg), "on joists and walls"), 1.0, 0.005);
        }
        assert_eq!(one(&on_joists(1.0), "on joists and walls").what, "joists");
        assert_eq!(on_joists(0.005), []);
        let heaviest = layout.clips.iter().map(|clip| clip.load_kg).fold(0.0, f64::max);
        let rated = |kg: f64| told(room(), Rule::ClipLoad, |c, _| c.clip.rated_load_kg = Some(kg));
        assert!((worst(&rated(heaviest - 0.02)) - 0.02).abs() < 1e-9);
        assert_eq!(rated(heaviest), []);
    }
}

/// A noggin between two walls puts nothing on a joist.
#[test]
fn what_hangs_on_walls_is_not_looked_for_on_joists() {
    let (ceiling, layout) = laid(rooms::forty_walls());
    let between: Vec<usize> =
        (0..layout.noggins.len()).filter(|&n| layout.noggins[n].joists.is_empty()).collect();
    let kg: f64 = layout
        .clips
        .iter()
        .filter(|clip| matches!(clip.on, Support::Noggin(n) if between.contains(&n)))
        .map(|clip| clip.load_kg)
        .sum();
    assert!(kg > 1.0);
    let found = told((ceiling, layout), Rule::ClipLoad, |_, l| {
        for &n in &between {
            l.noggins[n].joists = vec![0];
        }
    });
    by(one(&found, "on joists and walls"), kg, 0.02);
}

#[test]
fn every_total_is_held_to_its_list() {
    type Change = fn(&mut Layout);
    let one_more: [(&str, Change); 10] = [
        ("bars", |l| l.take_off.bars += 1),
        ("clips", |l| l.take_off.clips += 1),
        ("noggins", |l| l.take_off.noggins += 1),
        ("stock bars", |l| l.take_off.stock_bars += 1),
        ("screws", |l| l.take_off.screws += 1),
        ("packers", |l| l.take_off.packers[0].count += 1),
        ("length of bars", |l| l.take_off.bar_length_m += 1.0),
        ("area", |l| l.take_off.area_m2 += 1.0),
        ("perimeter", |l| l.take_off.perimeter_m += 1.0),
        ("mass", |l| l.take_off.mass_kg += 1.0),
    ];
    for (what, change) in one_more {
        let found = told(sound(), Rule::TakeOff, |_, l| change(l));
        assert_eq!(found.len(), 1, "{what}: {found:#?}");
        assert_eq!(found[0].what, what);
        by(&found[0], 1.0, 0.001);
        assert!(found[0].sentence.contains("in the take-off"));
    }
    let slightly = told(sound(), Rule::TakeOff, |_, l| l.take_off.bar_length_m *= 1.000_05);
    assert_eq!(slightly, []);
    let words = "the take-off counts other sheets or pieces than the layer";
    for change in [
        (|l: &mut Layout| l.take_off.boards[1].sheets += 1) as fn(&mut Layout),
        |l| l.take_off.boards[1].pieces += 1,
        |l| drop(l.layers[1].sheets.pop()),
    ] {
        assert_eq!(one(&told(sound(), Rule::TakeOff, |_, l| change(l)), words).what, "layer 2");
    }
}
