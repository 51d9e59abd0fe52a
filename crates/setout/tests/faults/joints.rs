//! Faults of joints: off their bars, or too near others; each told by as much as it was put in by.

use geometry::Polygon;
use setout::check::{Breach, Rule, check_round};
use setout::{BarReason, Ceiling, JointKind, Layout};

use super::{by, none, sound, sound_with_hatch, told, worst};

/// The bars under end joints, and the length of ceiling along each.
fn joint_bars(layout: &Layout) -> Vec<(usize, f64)> {
    let outline = Polygon::new(&layout.outline).unwrap();
    (0..layout.bars.len())
        .filter(|&i| layout.bars[i].reason == BarReason::Joint)
        .map(|i| {
            let v = layout.frame.frame_from_room(layout.bars[i].from).y_mm;
            let far = |u: f64| layout.frame.room_from_frame(u, v);
            let chord: f64 =
                outline.clip_line(far(-1e5), far(1e5)).iter().map(|(a, b)| a.distance_mm(*b)).sum();
            (i, chord)
        })
        .collect()
}

#[test]
fn a_bar_off_its_joint_is_told_by_what_bearing_lacks() {
    let (ceiling, layout) = sound();
    let (half, bearing) = (ceiling.bar.face_width_mm / 2.0, ceiling.rules.edge_bearing_mm);
    let bars = joint_bars(&layout);
    assert!(bars.len() > 1);
    for &(at, chord) in &bars {
        let aside = |mm: f64| {
            told(sound(), Rule::EndsOnBars, |_, l| {
                let by = l.frame.across * mm;
                (l.bars[at].from, l.bars[at].to) = (l.bars[at].from + by, l.bars[at].to + by);
            })
            .into_iter()
            .filter(|breach| breach.sentence.contains("end joint"))
            .collect::<Vec<Breach>>()
        };
        for sign in [-1.0, 1.0] {
            assert_eq!(aside(sign * (half - bearing)), [], "within what the bearing leaves");
            for mm in [half - bearing + 2.0, 12.0] {
                let found = aside(sign * mm);
                assert!(!found.is_empty());
                for breach in &found {
                    by(breach, bearing - (half - mm), 0.001);
                    assert!(breach.sentence.contains("too little on its bar"), "{breach:?}");
                    assert!(breach.sentence.starts_with("the end joint of "));
                }
            }
        }
        // Quite away: bare over all of the ceiling along it, where no other bar crosses the line.
        let bare = aside(60.0);
        assert!(!bare.is_empty());
        for breach in &bare {
            assert!(breach.sentence.contains("has no bar under its line for"), "{breach:?}");
            assert!(breach.by > 300.0 && breach.by <= chord - ceiling.rules.first_bar_mm + 0.1, "{breach:?}");
        }
        assert!(worst(&bare) > chord - 1200.0, "{} of {chord}", worst(&bare));
    }
}

/// From a bar's end to the wall a joint may run bare by the first-bar limit.
#[test]
fn a_joint_bare_at_its_end_is_told_by_how_far() {
    let (ceiling, layout) = sound();
    let outline = Polygon::new(&layout.outline).unwrap();
    let mut tried = 0;
    for (at, _) in joint_bars(&layout) {
        for to_end in [false, true] {
            let bar = &layout.bars[at];
            let (end, other) = if to_end { (bar.to, bar.from) } else { (bar.from, bar.to) };
            let edge = outline
                .clip_line(end + (end - other) * 10.0, other + (other - end) * 10.0)
                .into_iter()
                .flat_map(|(a, b)| [a, b])
                .min_by(|a, b| a.distance_mm(end).total_cmp(&b.distance_mm(end)))
                .unwrap();
            let back = |bare: f64| {
                told(sound(), Rule::EndsOnBars, |_, l| {
                    let moved = edge.toward(other, bare / edge.distance_mm(other));
                    let bar = &mut l.bars[at];
                    if to_end {
                        bar.to = moved;
                    } else {
                        bar.from = moved;
                    }
                })
                .into_iter()
                .filter(|breach| breach.sentence.contains("has no bar under its line"))
                .collect::<Vec<_>>()
            };
            assert_eq!(back(ceiling.rules.first_bar_mm - 1.0), []);
            let found = back(ceiling.rules.first_bar_mm + 40.0);
            // The bar along the wall may hold the end.
            if let Some(breach) = found.first() {
                by(breach, 40.0, 1.0);
                assert!(breach.sentence.contains("190 mm; between a bar's end"), "{breach:?}");
                tried += 1;
            }
        }
    }
    assert!(tried > 1, "{tried}");
}

#[test]
fn joints_of_neighbouring_strips_are_told_by_how_near_they_are() {
    let rows = |mm: f64| {
        told(sound(), Rule::Stagger, |c, _| c.rules.stagger_rows_mm = mm)
            .into_iter()
            .filter(|breach| breach.sentence.contains("end joints of neighbouring strips"))
            .collect::<Vec<_>>()
    };
    let nearest = 5000.0 - worst(&rows(5000.0));
    assert!(nearest >= 300.0);
    assert_eq!(rows(nearest), []);
    let found = rows(nearest + 30.0);
    assert!((worst(&found) - 30.0).abs() < 1e-6);
    let words = format!("are {nearest:.0} mm apart, the least is {:.0}", nearest + 30.0);
    assert!(found.iter().any(|breach| breach.sentence.contains(&words)), "{found:#?}");
    // The least there is between ends of strips side by side, from the layout's own list of joints.
    let (_, layout) = sound();
    let (mut least, mut pairs) = (f64::INFINITY, 0);
    for layer in &layout.layers {
        let ends: Vec<[f64; 3]> = layer
            .joints
            .iter()
            .filter(|joint| joint.kind == JointKind::End)
            .map(|joint| {
                let (a, b) =
                    (layout.frame.frame_from_room(joint.from), layout.frame.frame_from_room(joint.to));
                [a.y_mm, a.x_mm.min(b.x_mm), a.x_mm.max(b.x_mm)]
            })
            .collect();
        for a in &ends {
            for b in ends.iter().filter(|b| (b[1] - a[2]).abs() < 0.5) {
                least = least.min((a[0] - b[0]).abs());
                pairs += usize::from((a[0] - b[0]).abs() < nearest + 30.0 - 0.05);
            }
        }
    }
    assert!((least - nearest).abs() < 0.01, "{least} {nearest}");
    assert_eq!(found.len(), pairs, "each pair is told once");
}

#[test]
fn joints_of_two_layers_are_told_by_how_near_they_are() {
    for room in [sound as fn() -> _, sound_with_hatch] {
        for kind in ["end", "long"] {
            let layers = |mm: f64| {
                told(room(), Rule::Stagger, |c, _| c.rules.stagger_layers_mm = mm)
                    .into_iter()
                    .filter(|breach| {
                        breach.sentence.contains(&format!("{kind} joints of layers 1 and 2 are"))
                    })
                    .collect::<Vec<_>>()
            };
            let nearest = 5000.0 - worst(&layers(5000.0));
            assert!(nearest >= 200.0 - 1e-6, "{nearest}");
            assert_eq!(layers(nearest), []);
            assert!((worst(&layers(nearest + 30.0)) - 30.0).abs() < 1e-6);
            assert_eq!(layers(nearest + 30.0)[0].what, "layers 1 and 2");
            // The same from the layout's own list of joints.
            let (_, layout) = room();
            let wanted = if kind == "end" { JointKind::End } else { JointKind::Long };
            let lines = |layer: usize| -> Vec<[f64; 3]> {
                let own = layout.layers[layer].joints.iter().filter(|joint| joint.kind == wanted);
                own.map(|joint| {
                    let (a, b) =
                        (layout.frame.frame_from_room(joint.from), layout.frame.frame_from_room(joint.to));
                    if wanted == JointKind::End {
                        [a.y_mm, a.x_mm.min(b.x_mm), a.x_mm.max(b.x_mm)]
                    } else {
                        [a.x_mm, a.y_mm.min(b.y_mm), a.y_mm.max(b.y_mm)]
                    }
                })
                .collect()
            };
            let mut least = f64::INFINITY;
            for a in lines(0) {
                for b in lines(1) {
                    if a[2].min(b[2]) - a[1].max(b[1]) > 1.0 {
                        least = least.min((a[0] - b[0]).abs());
                    }
                }
            }
            assert!((least - nearest).abs() < 0.01, "{kind}: {least} {nearest}");
        }
    }
}

/// Where boards are up, staggers may be 10 mm less than asked for, and the sentence says both.
#[test]
fn staggers_may_be_a_little_less_where_boards_are_up() {
    let (ceiling, layout) = sound();
    let up = vec![layout.layers[0].pieces[0].name.clone()];
    let round = |up: &[String], change: &dyn Fn(&mut Ceiling)| {
        let mut ceiling = ceiling.clone();
        change(&mut ceiling);
        check_round(&ceiling, &layout, up)
    };
    let nearest = |change: &dyn Fn(&mut Ceiling), words: &str| {
        let found = round(&[], change);
        let of: Vec<Breach> = found.into_iter().filter(|breach| breach.sentence.contains(words)).collect();
        5000.0 - worst(&of)
    };
    let rows = nearest(&|c| c.rules.stagger_rows_mm = 5000.0, "neighbouring strips of layer 1");
    let layers = nearest(&|c| c.rules.stagger_layers_mm = 5000.0, "long joints of layers 1 and 2");
    let words = "neighbouring strips of layer 1";
    none(&round(&up, &|c| c.rules.stagger_rows_mm = rows + 9.0), words);
    assert!(round(&[], &|c| c.rules.stagger_rows_mm = rows + 9.0).iter().any(|b| b.sentence.contains(words)));
    let less = round(&up, &|c| c.rules.stagger_rows_mm = rows + 12.0);
    let told: Vec<&Breach> = less.iter().filter(|b| b.sentence.contains(words)).collect();
    assert!(!told.is_empty() && told.iter().all(|b| (b.by - 2.0).abs() < 0.01), "{told:#?}");
    let both =
        format!("the least is {:.0} beside boards that are up, {:.0} elsewhere", rows + 2.0, rows + 12.0);
    assert!(told[0].sentence.contains(&both), "{}", told[0].sentence);
    let words = "long joints of layers 1 and 2";
    none(&round(&up, &|c| c.rules.stagger_layers_mm = layers + 9.0), words);
    assert!(
        round(&up, &|c| c.rules.stagger_layers_mm = layers + 12.0).iter().any(|b| b.sentence.contains(words))
    );
    // The board over it is as good a reason.
    let over = vec![layout.layers[1].pieces[0].name.clone()];
    none(&round(&over, &|c| c.rules.stagger_layers_mm = layers + 9.0), words);
}
