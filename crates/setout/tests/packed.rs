//! Packers to the least within a stated flatness and fall, checked; the level plane where nothing is allowed.
#![allow(clippy::unwrap_used, reason = "a test stops at once")]

mod rooms;

use setout::check::{Rule, check};
use setout::{Budget, Ceiling, Layout, set_out};

const SMALL: Budget = Budget { steps: 40, shifts: 0 };

fn laid(flatness_mm: f64, fall_mm_per_m: f64) -> (Ceiling, Layout) {
    let mut ceiling = rooms::percussion_room();
    ceiling.rules.flatness_mm = flatness_mm;
    ceiling.rules.fall_mm_per_m = fall_mm_per_m;
    let layout = set_out(&ceiling, &SMALL).unwrap();
    assert!(check(&ceiling, &layout).is_empty(), "{:?}", layout.breaches);
    (ceiling, layout)
}

#[test]
fn nothing_allowed_is_one_plane_dead_level() {
    let (ceiling, layout) = laid(0.0, 0.0);
    let level = layout.level.unwrap();
    assert!((level.packing_mm - level.packing_dead_level_mm).abs() < 1e-9);
    assert!(level.fall_mm_per_m < 1e-12);
    assert!((level.plane.height_at_origin_mm - level.lowest_underside_mm).abs() < 1e-9);
    assert!((level.spacer_block_mm - ceiling.clip.drop_mm).abs() < 1e-9);
}

#[test]
fn each_allowance_saves_packing_and_tells_what_it_costs() {
    let (ceiling, level) = laid(0.0, 0.0);
    let level = level.level.unwrap();
    let (_, band) = laid(3.0, 0.0);
    let band = band.level.unwrap();
    // Every packer over 3 mm gets 3 mm thinner, the others go: whole millimetres, since both are whole.
    assert!(band.packing_mm < band.packing_dead_level_mm - 20.0);
    assert!((band.thickest_packer_mm - (level.thickest_packer_mm - 3.0)).abs() < 1e-9);
    assert!((band.spacer_block_mm - (ceiling.clip.drop_mm - 3.0)).abs() < 1e-9);
    assert!((band.face_mm - level.face_mm).abs() < 1e-9);
    let (_, fall) = laid(0.0, 2.0);
    let fall = fall.level.unwrap();
    assert!(fall.packing_mm < fall.packing_dead_level_mm && fall.fall_mm_per_m <= 2.0 + 1e-9);
    assert!(fall.fall_mm_per_m > 0.1);
    let (_, both) = laid(3.0, 2.0);
    assert!(both.level.unwrap().packing_mm < fall.packing_mm.min(band.packing_mm));
}

#[test]
fn the_check_sees_a_clip_out_of_the_band_and_a_plane_too_steep() {
    let (ceiling, mut layout) = laid(3.0, 0.0);
    let clip = layout.clips.iter_mut().find(|c| c.packer_mm.is_some_and(|p| p > 1.0)).unwrap();
    clip.packer_mm = Some(clip.packer_mm.unwrap() - 1.0);
    assert!(check(&ceiling, &layout).iter().any(|b| b.rule == Rule::Packing));
    let (mut ceiling, layout) = laid(0.0, 2.0);
    ceiling.rules.fall_mm_per_m = 0.0;
    assert!(check(&ceiling, &layout).iter().any(|b| b.rule == Rule::Packing && b.what == "plane"));
}

/// Both edges of the timbers read: each packer is the mean of the two edges less the lowest edge of all.
#[test]
fn a_twisted_joist_packs_its_middle_and_its_low_edge_sets_the_plane() {
    let mut ceiling = rooms::percussion_room();
    ceiling.rules.packer_step_mm = 0.5;
    for joist in &mut ceiling.joists {
        for reading in &mut joist.undersides {
            reading.height_mm = 2400.0;
        }
    }
    // J3's right edge hangs 18 mm under its left one from end to end, the left one level with all others.
    let twisted = &mut ceiling.joists[2];
    let along = (twisted.to - twisted.from).unit().unwrap();
    let half_mm = twisted.width_mm / 2.0;
    for reading in &mut twisted.undersides {
        reading.at = reading.at + along.left() * half_mm;
    }
    let left = twisted.undersides.clone();
    twisted.undersides.extend(
        left.iter()
            .map(|one| setout::Underside { at: one.at + along.left() * (-2.0 * half_mm), height_mm: 2382.0 }),
    );
    let layout = set_out(&ceiling, &SMALL).unwrap();
    assert!(check(&ceiling, &layout).is_empty(), "{:?}", layout.breaches);
    let level = layout.level.as_ref().unwrap();
    assert!((level.lowest_underside_mm - 2382.0).abs() < 1e-9);
    assert_eq!(level.lowest_joist, 2);
    let boards_mm: f64 = ceiling.layers.iter().map(|layer| layer.thickness_mm).sum();
    assert!((level.face_mm - (2382.0 - ceiling.clip.drop_mm - boards_mm)).abs() < 1e-9);
    let mut seen = 0;
    for clip in &layout.clips {
        let setout::Support::Joist(on) = clip.on else { continue };
        // By hand: (2400 + 2382)/2 - 2382 = 9 under J3, from 0 at its right edge to 18 at its left; 2400 - 2382 = 18 elsewhere.
        let packer = clip.packer_mm.unwrap();
        if on == 2 {
            seen += 1;
            assert!((packer - 9.0).abs() < 1e-9, "{packer}");
            let [low, high] = clip.packer_edges_mm(&ceiling).unwrap();
            assert!(low.abs() < 1e-9 && (high - 18.0).abs() < 1e-9, "{low} {high}");
        } else {
            assert!((packer - 18.0).abs() < 1e-9, "{packer}");
            assert!(clip.packer_edges_mm(&ceiling).is_none());
        }
    }
    assert!(seen > 0);
    assert!(layout.notes.iter().any(|note| note.starts_with("J3 is twisted")), "{:?}", layout.notes);
    // The check sees a packer told for one edge alone.
    let mut wrong = layout;
    let clip = wrong.clips.iter_mut().find(|clip| clip.on == setout::Support::Joist(2)).unwrap();
    clip.packer_mm = Some(18.0);
    assert!(check(&ceiling, &wrong).iter().any(|breach| breach.rule == Rule::Packing));
}
