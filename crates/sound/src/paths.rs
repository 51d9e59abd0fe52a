//! The ways by which sound reaches a receiver, as data: for whoever changes one part and keeps the others.

use bands::{BAND_COUNT, Band, Spectrum};
use quantities::math;

use crate::{
    composite::Part,
    ranged::RangedSpectrum,
    room_error::RoomError,
    sampled::{Contribution, Listening, WAVES, hear, wave_shapes},
};

/// One part of the shell and how much of the sound it brings to a receiver.
#[derive(Clone, Debug, PartialEq)]
pub struct SoundPath {
    /// The part.
    pub name: String,
    /// What its uncertainty comes from; parts of one group err together.
    pub group: String,
    /// Level at the receiver less level of the source, dB, with the part's insulation at its median.
    pub transfer_db: Spectrum,
    /// The same for one square metre of open hole in its place, dB: any other part there brings this less its R, plus ten times the
    /// logarithm of its area.
    pub open_m2_db: Spectrum,
    /// Standard deviation of its insulation, dB, the mean of both halves.
    pub deviation_db: Spectrum,
}

impl SoundPath {
    fn of(contribution: &Contribution<'_>) -> Self {
        let part = contribution.part;
        let area_db = math::db_of_energy(part.reference_area_m2());
        Self {
            name: part.name().to_owned(),
            group: part.group().to_owned(),
            transfer_db: contribution.transfer_db,
            open_m2_db: contribution
                .transfer_db
                .map(|band, transfer| transfer + part.ranged().median_db().get(band) - area_db),
            deviation_db: deviation_db(part),
        }
    }
}

/// Standard deviation of the insulation of a part, dB, the mean of both halves.
pub fn deviation_db(part: &Part) -> Spectrum {
    Spectrum::from_fn(|band| {
        let (below, above) = part.ranged().deviations_db(band);
        f64::midpoint(below, above)
    })
}

/// All ways to one receiver.
#[derive(Clone, Debug, PartialEq)]
pub struct SoundPaths {
    /// Each part.
    pub paths: Vec<SoundPath>,
    /// Standard deviation of what happens on the way, dB.
    pub way_deviation_db: f64,
    /// Level at the receiver less level of the source, dB: median and 10th and 90th percentile over the errors of parts and way.
    pub transfer_db: RangedSpectrum,
}

impl SoundPaths {
    pub(crate) fn of(
        receiver: &str,
        contributions: &[Contribution<'_>],
        way_deviation_db: f64,
    ) -> Result<Self, RoomError> {
        let silent = RangedSpectrum::exact(receiver, Spectrum::flat(0.0))?;
        let listening = Listening { receiver, way_deviation_db, contributions, notes: Vec::new() };
        let heard = hear(&listening, &silent, None)?;
        Ok(Self {
            paths: contributions.iter().map(SoundPath::of).collect(),
            way_deviation_db,
            transfer_db: heard.level,
        })
    }
}

/// Correlation between two bands of any one error of a prediction, as everything heard is drawn with.
pub fn error_correlation() -> [[f64; BAND_COUNT]; BAND_COUNT] {
    let shapes = error_waves();
    let mut correlation = [[0.0; BAND_COUNT]; BAND_COUNT];
    for (row, a) in correlation.iter_mut().zip(Band::all()) {
        for (slot, b) in row.iter_mut().zip(Band::all()) {
            *slot = shapes.iter().map(|shape| shape[a.index()] * shape[b.index()]).sum();
        }
    }
    correlation
}

/// The waves along the bands that make up one error; each is multiplied by a standard normal number of its own.
pub fn error_waves() -> [[f64; BAND_COUNT]; WAVES] {
    wave_shapes()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        absorption::Absorption,
        flanking::FlankingAllowance,
        inwards::{QuietRoom, heard_next_door, paths_next_door},
    };

    #[test]
    fn paths_add_up_to_what_is_heard() {
        let ranged =
            |r| RangedSpectrum::with_deviation("wall", Spectrum::flat(r), &Spectrum::flat(2.0)).unwrap();
        let parts = [
            Part::with_area("wall", "wall", ranged(50.0), 10.0).unwrap(),
            Part::with_area("door", "door", ranged(30.0), 2.0).unwrap(),
        ];
        let room = QuietRoom {
            name: "next door".to_owned(),
            absorption: Absorption::from_decay("next door", 40.0, [0.5; BAND_COUNT]).unwrap(),
            criterion: None,
        };
        let flanking = FlankingAllowance::new(3.0, 2.0).unwrap();
        let paths = paths_next_door(&parts, &flanking, None, &room).unwrap();
        let level = RangedSpectrum::exact("drums", Spectrum::flat(100.0)).unwrap();
        let heard = heard_next_door(&parts, &level, &flanking, None, &room).unwrap();
        for band in Band::all() {
            let here = paths.transfer_db.median_db().get(band) + 100.0;
            assert!((here - heard.level.median_db().get(band)).abs() < 1e-9);
        }
        assert_eq!(paths.paths.len(), 3);
        let door = &paths.paths[1];
        let area_db = math::db_of_energy(2.0);
        assert!(
            (door.open_m2_db.values_db()[9] - 30.0 + area_db - door.transfer_db.values_db()[9]).abs() < 1e-9
        );
        let correlation = error_correlation();
        assert!((correlation[4][4] - 1.0).abs() < 1e-9 && correlation[4][5] > 0.93);
    }
}
