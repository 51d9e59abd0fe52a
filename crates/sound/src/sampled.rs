//! From parts that let sound through and their uncertainties to what a receiver hears, by a fixed sample.
//!
//! Three kinds of error are drawn: of the source, of the way outdoors, and of each group of parts (one for each
//! build-up: five walls of one construction err together). Each is a standard normal number for every band, scaled by
//! the spread there. Along the bands it is correlated: half its variance is common to all bands, the other half
//! follows four slow waves from the lowest band to the highest, so that neighbouring bands err together (0.97)
//! and distant ones share about half. That is an assumption, on the cautious side for a total in dB(A):
//! independent bands would average out.

use std::sync::OnceLock;

use bands::{BAND_COUNT, Band, Spectrum, iec_61672_1::a_weighting_db};
use quantities::math;

use crate::{
    composite::Part,
    criterion::{Criterion, Verdict},
    latin_hypercube::{SAMPLE_SIZE, normal_coordinate, normal_levels},
    ranged::{RangedSpectrum, RangedValue},
    room_error::RoomError,
    share::{Heard, Share},
};

/// Level that stands for silence, dB: no sum falls below it, so that none is minus infinity.
pub(crate) const SILENCE_DB: f64 = -300.0;

/// Waves along the bands that make up an error: one common to all and four slow ones.
const WAVES: usize = 5;
/// Part of the variance of an error that all bands share.
const COMMON_VARIANCE: f64 = 0.5;

/// One part and how much of the source's energy it brings to the receiver.
pub(crate) struct Contribution<'a> {
    pub(crate) part: &'a Part,
    /// Level at the receiver less level of the source, dB, with the part's insulation at its median.
    pub(crate) transfer_db: Spectrum,
}

/// Everything a receiver's level comes from.
pub(crate) struct Listening<'a> {
    pub(crate) receiver: &'a str,
    pub(crate) source_db: &'a RangedSpectrum,
    /// Standard deviation of what happens on the way, dB.
    pub(crate) way_deviation_db: f64,
    pub(crate) contributions: &'a [Contribution<'a>],
    pub(crate) criterion: Option<&'a Criterion>,
    pub(crate) notes: Vec<String>,
}

/// Draws the sample and reads the results off it.
pub(crate) fn hear(listening: Listening<'_>) -> Result<Heard, RoomError> {
    crate::composite::check_parts(listening.receiver, listening.contributions.iter().map(|c| c.part))?;
    let sample = Sample::draw(&listening);
    let level = sample.spectrum_percentiles(Point::total);
    let level_dba = sample.value_percentiles(Point::total_dba);
    let mut shares: Vec<Share> = listening
        .contributions
        .iter()
        .enumerate()
        .map(|(at, contribution)| sample.share(at, contribution.part, listening.contributions.len() == 1))
        .collect();
    // A stable sort keeps the given order among equals.
    shares.sort_by(|a, b| b.share_dba.total_cmp(&a.share_dba));
    let verdict = listening.criterion.map(|criterion| {
        let mut margins: Vec<f64> =
            sample.points().map(|point| criterion.margin(&point.level_db()).margin_db).collect();
        margins.sort_by(f64::total_cmp);
        Verdict::from_margins(criterion, &margins, criterion.margin(level.median_db()).deciding_band)
    });
    let sentence = crate::share::sentence(&shares);
    Ok(Heard {
        receiver: listening.receiver.to_owned(),
        level,
        level_dba,
        shares,
        verdict,
        sentence,
        notes: listening.notes,
    })
}

/// Energies at the receiver for every point of the sample, part and band.
struct Sample {
    parts: usize,
    points: usize,
    energy: Vec<[f64; BAND_COUNT]>,
    weights: [f64; BAND_COUNT],
}

/// One point of the sample.
#[derive(Clone, Copy)]
struct Point<'a> {
    parts: &'a [[f64; BAND_COUNT]],
    weights: &'a [f64; BAND_COUNT],
}

impl Point<'_> {
    fn total(&self, band: Band) -> f64 {
        self.parts.iter().map(|part| part[band.index()]).sum()
    }

    fn of_part(&self, part: usize, band: Band) -> f64 {
        self.parts.get(part).map_or(0.0, |energies| energies[band.index()])
    }

    fn part_dba(&self, part: usize) -> f64 {
        self.parts.get(part).map_or(0.0, |energies| {
            energies.iter().zip(self.weights).map(|(energy, weight)| energy * weight).sum()
        })
    }

    fn total_dba(&self) -> f64 {
        (0..self.parts.len()).map(|part| self.part_dba(part)).sum()
    }

    fn level_db(&self) -> Spectrum {
        Spectrum::from_fn(|band| level(self.total(band)))
    }
}

impl Sample {
    fn draw(listening: &Listening<'_>) -> Self {
        let contributions = listening.contributions;
        let exact = listening.way_deviation_db == 0.0
            && listening.source_db.is_exact()
            && contributions.iter().all(|c| c.part.ranged().is_exact());
        let points = if exact { 1 } else { SAMPLE_SIZE };

        let none = Errors(Vec::new());
        let drawn = |factor: usize| if exact { &none } else { errors_of(factor) };
        let (source, way) = (drawn(0), drawn(1));
        let mut groups: Vec<&str> = Vec::new();
        for contribution in contributions {
            if !groups.contains(&contribution.part.group()) {
                groups.push(contribution.part.group());
            }
        }
        let errors: Vec<&Errors> = contributions
            .iter()
            .map(|c| drawn(2 + groups.iter().position(|group| *group == c.part.group()).unwrap_or(0)))
            .collect();
        let source_spread = Spreads::of(listening.source_db);
        let part_spreads: Vec<Spreads> = contributions.iter().map(|c| Spreads::of(c.part.ranged())).collect();

        let mut energy = Vec::with_capacity(points * contributions.len());
        for point in 0..points {
            let common: [f64; BAND_COUNT] = std::array::from_fn(|at| {
                source_spread.median[at]
                    + source_spread.scaled(at, source.at(point, at))
                    + way.at(point, at) * listening.way_deviation_db
            });
            for ((contribution, spread), error) in contributions.iter().zip(&part_spreads).zip(&errors) {
                let transfer = contribution.transfer_db.values_db();
                energy.push(std::array::from_fn(|at| {
                    let insulation_error = spread.scaled(at, error.at(point, at));
                    math::energy_of_db((common[at] + transfer[at] - insulation_error).max(SILENCE_DB))
                }));
            }
        }
        let weights = *Spectrum::from_fn(|band| math::energy_of_db(a_weighting_db(band))).values_db();
        Self { parts: contributions.len(), points, energy, weights }
    }

    fn points(&self) -> impl Iterator<Item = Point<'_>> {
        self.energy.chunks(self.parts).map(|parts| Point { parts, weights: &self.weights })
    }

    /// Percentiles of an energy, as levels.
    fn value_percentiles<'a>(&'a self, energy: impl Fn(&Point<'a>) -> f64) -> RangedValue {
        let mut energies: Vec<f64> = self.points().map(|point| energy(&point)).collect();
        let count = energies.len();
        // Selecting a few ranks is several times faster than sorting, and this is done for every part and band.
        percentiles_of(count, |at| {
            let rank = at.min(count.saturating_sub(1));
            if energies.is_empty() {
                return SILENCE_DB;
            }
            let (_, value, _) = energies.select_nth_unstable_by(rank, f64::total_cmp);
            level(*value)
        })
    }

    fn spectrum_percentiles<'a>(&'a self, energy: impl Fn(&Point<'a>, Band) -> f64) -> RangedSpectrum {
        let mut found = [Spectrum::flat(0.0); 3];
        for band in Band::all() {
            let value = self.value_percentiles(|point| energy(point, band));
            let [lower, median, upper] = &mut found;
            lower.set(band, value.lower_db);
            median.set(band, value.median_db);
            upper.set(band, value.upper_db);
        }
        let [lower, median, upper] = found;
        RangedSpectrum::from_percentiles(lower, median, upper)
    }

    fn share(&self, at: usize, part: &Part, alone: bool) -> Share {
        let mean = |value: &dyn Fn(&Point<'_>) -> f64| {
            self.points().map(|point| value(&point)).sum::<f64>() / self.points as f64
        };
        let level_db = self.spectrum_percentiles(|point, band| point.of_part(at, band));
        let without =
            self.spectrum_percentiles(|point, band| (point.total(band) - point.of_part(at, band)).max(0.0));
        let without_dba = self.value_percentiles(|point| (point.total_dba() - point.part_dba(at)).max(0.0));
        Share {
            name: part.name().to_owned(),
            level_db,
            level_dba: self.value_percentiles(|point| point.part_dba(at)),
            share: Band::all()
                .map(|band| (band, mean(&|point| point.of_part(at, band) / point.total(band))))
                .collect(),
            share_dba: mean(&|point| point.part_dba(at) / point.total_dba()),
            if_perfect_db: (!alone).then(|| *without.median_db()),
            if_perfect_dba: (!alone).then_some(without_dba.median_db),
        }
    }
}

/// How many kinds of error are told apart: source, way, and the groups of parts. Groups beyond them err together with an
/// earlier one, which widens the range: the cautious side.
const KINDS: usize = 48;

/// The errors of one kind, drawn once: they are the same for every receiver and every room.
fn errors_of(kind: usize) -> &'static Errors {
    static DRAWN: [OnceLock<Errors>; KINDS] = [const { OnceLock::new() }; KINDS];
    let slot = if kind < KINDS { kind } else { 2 + (kind - 2) % (KINDS - 2) };
    DRAWN[slot].get_or_init(|| Errors::draw(slot, SAMPLE_SIZE))
}

/// Standard normal errors, one for each point and band.
struct Errors(Vec<[f64; BAND_COUNT]>);

impl Errors {
    fn draw(factor: usize, points: usize) -> Self {
        let waves: Vec<Vec<f64>> = (0..WAVES).map(|wave| normal_coordinate(factor * WAVES + wave)).collect();
        let shape = wave_shapes();
        let mut errors: Vec<[f64; BAND_COUNT]> = (0..points)
            .map(|point| {
                std::array::from_fn(|band| {
                    waves
                        .iter()
                        .zip(&shape)
                        .map(|(wave, shape)| wave.get(point).copied().unwrap_or(0.0) * shape[band])
                        .sum()
                })
            })
            .collect();
        // A sum of five stratified numbers is only nearly normal: its ranks are given the exact levels, band by band, so
        // that the percentiles of one input come out as they went in.
        let levels = normal_levels();
        let mut order: Vec<usize> = (0..points).collect();
        for band in 0..BAND_COUNT {
            let of = |point: usize| errors.get(point).map_or(0.0, |bands| bands[band]);
            order.sort_unstable_by(|&a, &b| of(a).total_cmp(&of(b)).then(a.cmp(&b)));
            for (&point, level) in order.iter().zip(&levels) {
                if let Some(bands) = errors.get_mut(point) {
                    bands[band] = *level;
                }
            }
        }
        Self(errors)
    }

    fn at(&self, point: usize, band: usize) -> f64 {
        self.0.get(point).and_then(|bands| bands.get(band)).copied().unwrap_or(0.0)
    }
}

/// Weight of each wave in each band; their squares sum to 1 in every band.
fn wave_shapes() -> [[f64; BAND_COUNT]; WAVES] {
    let mut shapes = [[0.0; BAND_COUNT]; WAVES];
    for band in 0..BAND_COUNT {
        let place = (band as f64 + 0.5) / BAND_COUNT as f64;
        let mut slow = [0.0; WAVES];
        for (wave, value) in slow.iter_mut().enumerate().skip(1) {
            *value = math::cos(math::PI * wave as f64 * place);
        }
        let size = slow.iter().map(|value| value * value).sum::<f64>().sqrt();
        for (wave, (shape, value)) in shapes.iter_mut().zip(slow).enumerate() {
            shape[band] = if wave == 0 {
                COMMON_VARIANCE.sqrt()
            } else {
                (1.0 - COMMON_VARIANCE).sqrt() * value / size
            };
        }
    }
    shapes
}

/// Median and the two spreads of a ranged spectrum as plain arrays.
struct Spreads {
    median: [f64; BAND_COUNT],
    below: [f64; BAND_COUNT],
    above: [f64; BAND_COUNT],
}

impl Spreads {
    fn of(ranged: &RangedSpectrum) -> Self {
        Self {
            median: *ranged.median_db().values_db(),
            below: *Spectrum::from_fn(|band| ranged.deviations_db(band).0).values_db(),
            above: *Spectrum::from_fn(|band| ranged.deviations_db(band).1).values_db(),
        }
    }

    fn scaled(&self, band: usize, error: f64) -> f64 {
        error * if error < 0.0 { self.below[band] } else { self.above[band] }
    }
}

fn level(energy: f64) -> f64 {
    math::db_of_energy(energy).max(SILENCE_DB)
}

/// The 10th, 50th and 90th percentile of values in rising order, interpolated between the two nearest.
pub(crate) fn percentiles(sorted: &[f64]) -> RangedValue {
    percentiles_of(sorted.len(), |at| sorted.get(at).copied().unwrap_or(SILENCE_DB))
}

fn percentiles_of(count: usize, mut value: impl FnMut(usize) -> f64) -> RangedValue {
    let mut at = |part: f64| {
        let place = (part * count as f64 - 0.5).max(0.0);
        let below = (place.floor() as usize).min(count.saturating_sub(1));
        let above = (below + 1).min(count.saturating_sub(1));
        let (low, high) = (value(below), value(above));
        low + (high - low) * (place - below as f64)
    };
    RangedValue { median_db: at(0.5), lower_db: at(0.1), upper_db: at(0.9) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn errors_have_unit_variance_and_neighbours_err_together() {
        let shapes = wave_shapes();
        let correlation = |a: usize, b: usize| shapes.iter().map(|shape| shape[a] * shape[b]).sum::<f64>();
        for band in 0..BAND_COUNT {
            assert!((correlation(band, band) - 1.0).abs() < 1e-12);
        }
        for band in 1..BAND_COUNT {
            assert!(correlation(band - 1, band) > 0.85, "{}", correlation(band - 1, band));
        }
    }

    #[test]
    fn percentiles_of_one_value_are_that_value() {
        assert_eq!(percentiles(&[4.0]), RangedValue { median_db: 4.0, lower_db: 4.0, upper_db: 4.0 });
    }
}
