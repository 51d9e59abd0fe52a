//! Openings brought true, and battens to walls that bow.

use serde::Serialize;

/// Fixings of a batten at a wall are no farther apart than this \[mm\] (NBS K10/455, perimeter fixings).
pub const BATTEN_FIXING_MM: f64 = 600.0;
/// Length of the straightedge behind which bows are read \[mm\].
pub const STRAIGHTEDGE_MM: f64 = 2000.0;
/// A bow less than this is left to the sealant \[mm\] (walls flat to ±3 mm on 2 m, NHBC Standards 9.1.3).
pub const BOW_LEFT_MM: f64 = 3.0;

/// Readings of an opening's four sides with a level or plumb line, in mm over the side's own length; 0 where none was taken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Leans {
    /// The near reveal's head stands in from its foot by so much; minus: out.
    pub near_mm: f64,
    /// The far reveal's head stands in from its foot by so much; minus: out.
    pub far_mm: f64,
    /// The lintel's far end lies lower than its near end by so much; minus: higher.
    pub head_mm: f64,
    /// The sill's far end lies lower than its near end by so much; minus: higher.
    pub sill_mm: f64,
}

/// A packer or a scribed piece along one side: its thickness at both ends, tapering between.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Taper {
    /// At the foot of a reveal, at the near end of lintel or sill \[mm\].
    pub first_mm: f64,
    /// At its head, at the far end \[mm\].
    pub second_mm: f64,
}

/// The largest upright, level rectangle in an opening, and what packs each side out to it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TrueOpening {
    /// Width of the rectangle \[mm\].
    pub width_mm: f64,
    /// Height of the rectangle \[mm\].
    pub height_mm: f64,
    /// Its near side from the foot of the near reveal \[mm\].
    pub in_from_near_mm: f64,
    /// Its lower side above the sill's near end \[mm\].
    pub up_from_sill_mm: f64,
    /// Packing of the near reveal.
    pub near: Taper,
    /// Packing of the far reveal.
    pub far: Taper,
    /// Scribe under the lintel.
    pub head: Taper,
    /// Packing over the sill.
    pub sill: Taper,
}

/// Brings an opening true. Width is taped at its foot, height at its near reveal, both in mm.
///
/// The rectangle touches the innermost point of each side, so that every packer is 0 at one end. None for readings that are
/// no numbers or leave no opening.
pub fn bring_true(width_mm: f64, height_mm: f64, leans: Leans) -> Option<TrueOpening> {
    // A side that leans in holds the rectangle at its head, one that leans out at its foot.
    let inwards = |lean: f64| Taper { first_mm: lean.max(0.0), second_mm: lean.max(0.0) - lean };
    let (near, far) = (inwards(leans.near_mm), inwards(leans.far_mm));
    // A lintel that falls away holds it at its far end; a sill that falls away at its near end.
    let head = Taper { first_mm: leans.head_mm.max(0.0), second_mm: leans.head_mm.max(0.0) - leans.head_mm };
    let sill =
        Taper { first_mm: (-leans.sill_mm).max(0.0), second_mm: (-leans.sill_mm).max(0.0) + leans.sill_mm };
    let width = width_mm - near.first_mm - far.first_mm;
    let height = height_mm - head.first_mm - sill.first_mm;
    (width.is_finite() && height.is_finite() && width > 0.0 && height > 0.0).then_some(TrueOpening {
        width_mm: width,
        height_mm: height,
        in_from_near_mm: near.first_mm,
        up_from_sill_mm: sill.first_mm,
        near,
        far,
        head,
        sill,
    })
}

/// A batten along a wall that bows, in lengths no longer than the straightedge the bow was read with.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Batten {
    /// The wall, `A-B`.
    pub wall: String,
    /// Largest gap behind the straightedge, minus where the wall bulges \[mm\].
    pub bow_mm: f64,
    /// How many lengths.
    pub lengths: usize,
    /// Length of each \[mm\].
    pub length_mm: f64,
    /// Fixings of one length, from its end \[mm\].
    pub fixings_mm: Vec<f64>,
    /// Packer behind each of them \[mm\].
    pub packers_mm: Vec<f64>,
}

/// The batten that gives a straight edge along a wall of so many mm, from the bow read on it; none where the bow is less than
/// [`BOW_LEFT_MM`] or no number.
///
/// Within one length the wall is taken for an arc: packers `g·4x(l − x)/l²` where it is hollow, the rest of `g` where it
/// bulges. The reading is the largest on the wall, so no packer comes out too thin; offer each up dry.
pub fn batten(wall: &str, wall_mm: f64, bow_mm: f64) -> Option<Batten> {
    if !(wall_mm.is_finite() && wall_mm >= 100.0 && bow_mm.is_finite()) || bow_mm.abs() < BOW_LEFT_MM {
        return None;
    }
    let lengths = (wall_mm / STRAIGHTEDGE_MM - 1e-9).ceil().max(1.0);
    let length = wall_mm / lengths;
    let parts = (length / BATTEN_FIXING_MM - 1e-9).ceil().max(2.0);
    // An even number of parts has a fixing in the middle, where the arc is deepest.
    let parts = if parts % 2.0 > 0.5 { parts + 1.0 } else { parts };
    let fixings_mm: Vec<f64> = (0..=parts as u32).map(|k| length * f64::from(k) / parts).collect();
    // A shorter length spans less of the arc.
    let deepest = bow_mm.abs() * (length / STRAIGHTEDGE_MM) * (length / STRAIGHTEDGE_MM);
    let packers_mm = fixings_mm
        .iter()
        .map(|x| {
            let arc = deepest * 4.0 * x * (length - x) / (length * length);
            if bow_mm > 0.0 { arc } else { deepest - arc }
        })
        .collect();
    Some(Batten {
        wall: wall.to_owned(),
        bow_mm,
        lengths: lengths as usize,
        length_mm: length,
        fixings_mm,
        packers_mm,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: f64, b: f64) -> bool {
        (a - b).abs() < 1e-9
    }

    #[test]
    fn every_packer_is_nothing_at_one_end() {
        let leans = Leans { near_mm: 6.0, far_mm: -4.0, head_mm: 5.0, sill_mm: -3.0 };
        let found = bring_true(1180.0, 760.0, leans).unwrap_or_else(|| unreachable!("it fits"));
        assert!(near(found.width_mm, 1174.0) && near(found.height_mm, 752.0), "{found:?}");
        for taper in [found.near, found.far, found.head, found.sill] {
            assert!(near(taper.first_mm.min(taper.second_mm), 0.0), "{taper:?}");
        }
        assert!(near(found.near.first_mm, 6.0) && near(found.near.second_mm, 0.0));
        assert!(near(found.far.first_mm, 0.0) && near(found.far.second_mm, 4.0));
        assert!(near(found.head.first_mm, 5.0) && near(found.sill.first_mm, 3.0));
    }

    #[test]
    fn the_rectangle_lies_inside_the_opening() {
        for a in [-8.0, 0.0, 7.0] {
            for b in [-5.0, 0.0, 9.0] {
                let leans = Leans { near_mm: a, far_mm: b, head_mm: b, sill_mm: a };
                let found = bring_true(900.0, 2000.0, leans).unwrap_or_else(|| unreachable!("it fits"));
                let right = found.in_from_near_mm + found.width_mm;
                // Reveals as lines from foot to head.
                for t in [0.0, 0.5, 1.0] {
                    assert!(found.in_from_near_mm >= a * t - 1e-9);
                    assert!(right <= 900.0 - b * t + 1e-9);
                    let top = found.up_from_sill_mm + found.height_mm;
                    assert!(top <= 2000.0 - b * t + 1e-9 && found.up_from_sill_mm >= -a * t - 1e-9);
                }
            }
        }
        assert_eq!(bring_true(10.0, 10.0, Leans { near_mm: 20.0, ..Leans::default() }), None);
        assert_eq!(bring_true(f64::NAN, 10.0, Leans::default()), None);
    }

    #[test]
    fn battens_follow_the_arc() {
        let hollow = batten("C-D", 4000.0, 6.0).unwrap_or_else(|| unreachable!("it bows"));
        assert_eq!((hollow.lengths, hollow.fixings_mm.len()), (2, 5));
        assert!(
            near(hollow.packers_mm[0], 0.0)
                && near(hollow.packers_mm[2], 6.0)
                && near(hollow.packers_mm[1], 4.5)
        );
        let bulge = batten("B-C", 2000.0, -4.0).unwrap_or_else(|| unreachable!("it bows"));
        assert!(near(bulge.packers_mm[0], 4.0) && near(bulge.packers_mm[2], 0.0));
        assert_eq!(batten("A-B", 4000.0, 2.0), None);
    }
}
