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
