//! All readings of a survey as sights, and which of them take part.

use crate::sight::{Sight, What};
use crate::{Height, Input, TieReading};

/// How far a length under the ceiling may differ from the one along the floor below it, mm, one standard deviation: walls
/// out of plumb (common practice for old masonry, no source).
pub const PLUMB_SD_MM: f64 = 5.0;

/// A reading as given, and whether it takes part.
pub(crate) struct Taken {
    pub(crate) sight: Sight,
    pub(crate) name: String,
    pub(crate) height: Height,
    pub(crate) used: bool,
}

/// Height at which the ring is adjusted: the ceiling when there is any ceiling tape.
pub(crate) fn ring_at(input: &Input) -> Height {
    if input.tapes.iter().any(|t| t.height == Height::Ceiling) { Height::Ceiling } else { Height::Floor }
}

/// Every reading, tapes first. Those at the height of the ring take part; those at the other height where the ring has no
/// reading of the same kind, their σ widened by [`PLUMB_SD_MM`].
pub(crate) fn taken(input: &Input, ring_at: Height) -> Vec<Taken> {
    let tapes = input.tapes.iter().map(|tape| {
        let sight = Sight::tape(tape.from, tape.to, tape.reading_mm, input.tape_sd_of_mm(tape));
        (sight, tape.height)
    });
    let ties = input.ties.iter().flat_map(|tie| {
        [(TieReading::Along, tie.along_mm), (TieReading::Offset, tie.offset_mm)].into_iter().filter_map(
            move |(reading, value)| {
                let reading_mm = value?;
                let sd_mm = input.tie_sd_of_mm(tie, reading, reading_mm);
                let what = What::Tie { corner: tie.corner, reading };
                Some((Sight { what, ..Sight::tape(tie.from, tie.to, reading_mm, sd_mm) }, tie.height))
            },
        )
    });
    let all: Vec<(Sight, Height)> = tapes.chain(ties).collect();
    all.iter()
        .map(|&(own, height)| {
            let at_ring = height == ring_at;
            let stood_in = all.iter().any(|(other, at)| *at == ring_at && other.same_as(&own));
            let mut sight = own;
            if !at_ring && !stood_in {
                sight.sd_mm = (own.sd_mm * own.sd_mm + PLUMB_SD_MM * PLUMB_SD_MM).sqrt();
            }
            Taken { sight, name: own.name(input), height, used: at_ring || !stood_in }
        })
        .collect()
}
