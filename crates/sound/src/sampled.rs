//! From parts that let sound through and their uncertainties to what a receiver hears, by a fixed sample.
//!
//! Three kinds of error are drawn: of the source, of the way outdoors, and of each group of parts (one for each
//! build-up: five walls of one construction err together). Each is a standard normal number for every band, scaled by
//! the spread there. Along the bands it is correlated: half its variance is common to all bands, the other half
//! follows four slow waves from the lowest band to the highest. Neighbouring bands so have a correlation of 0.94 or
//! more, bands an octave apart about 0.8, distant ones 0.2 to 0.5. That is an assumption, on the cautious side for a
//! total in dB(A): independent bands would average out.

use std::sync::{Arc, OnceLock};

use bands::{BAND_COUNT, Band, Spectrum, iec_61672_1::a_weighting_db};
use quantities::math;
use rayon::prelude::*;

use crate::{
    composite::Part,
    criterion::{Criterion, Verdict},
    error_factors::{Sense, factors},
    latin_hypercube::{SAMPLE_SIZE, normal_coordinate, normal_levels},
    ranged::{RangedSpectrum, RangedValue},
    room_error::RoomError,
    share::{Heard, Share},
};

/// Level that stands for silence, dB: no sum falls below it, so that none is minus infinity.
pub(crate) const SILENCE_DB: f64 = -300.0;

/// Waves along the bands that make up an error: one common to all and four slow ones.
pub(crate) const WAVES: usize = 5;
/// Part of the variance of an error that all bands share.
const COMMON_VARIANCE: f64 = 0.5;

/// One part and how much of the source's energy it brings to the receiver.
pub(crate) struct Contribution<'a> {
    pub(crate) part: &'a Part,
    /// Level at the receiver less level of the source, dB, with the part's insulation at its median.
    pub(crate) transfer_db: Spectrum,
}

/// By which ways sound reaches a receiver.
pub(crate) struct Listening<'a> {
    pub(crate) receiver: &'a str,
    /// Standard deviation of what happens on the way, dB.
    pub(crate) way_deviation_db: f64,
    pub(crate) contributions: &'a [Contribution<'a>],
    pub(crate) notes: Vec<String>,
}

/// Draws the sample of one source and reads the results off it.
pub(crate) fn hear(
    listening: &Listening<'_>,
    source_db: &RangedSpectrum,
    criterion: Option<&Criterion>,
) -> Result<Heard, RoomError> {
    let draws = Draws::of(listening, source_db.is_exact())?;
    Ok(draws.hear(source_db, criterion.as_slice()).remove(0))
}

/// The same for several sources, each held against every criterion: a result for each criterion, or one without where there is none.
/// The ways are the same for all, so they are drawn once.
pub(crate) fn hear_each(
    listening: &Listening<'_>,
    sources_db: &[&RangedSpectrum],
    criteria: &[&Criterion],
) -> Result<Vec<Vec<Heard>>, RoomError> {
    let draws = Draws::of(listening, sources_db.iter().all(|source| source.is_exact()))?;
    Ok(sources_db.par_iter().map(|source| draws.hear(source, criteria)).collect())
}

/// What is drawn of the ways to a receiver, whatever the source.
struct Draws<'a> {
    listening: &'a Listening<'a>,
    points: usize,
    /// What the error of the way makes of a unit of energy, for each band one for each point.
    way: Arc<ByBand>,
    /// Of each part the energy that arrives of each unit of energy at the source.
    parts: Vec<ByBand>,
}

impl<'a> Draws<'a> {
    fn of(listening: &'a Listening<'a>, sources_are_exact: bool) -> Result<Self, RoomError> {
        let contributions = listening.contributions;
        crate::composite::check_parts(listening.receiver, contributions.iter().map(|c| c.part))?;
        let exact = sources_are_exact
            && listening.way_deviation_db == 0.0
            && contributions.iter().all(|c| c.part.ranged().is_exact());
        let way =
            factors(1, Sense::Adds, exact, |_| (listening.way_deviation_db, listening.way_deviation_db));
        let mut groups: Vec<&str> = Vec::new();
        for contribution in contributions {
            if !groups.contains(&contribution.part.group()) {
                groups.push(contribution.part.group());
            }
        }
        let parts = contributions
            .par_iter()
            .map(|contribution| {
                let group = groups.iter().position(|group| *group == contribution.part.group());
                let ranged = contribution.part.ranged();
                let factors =
                    factors(2 + group.unwrap_or(0), Sense::Takes, exact, |band| ranged.deviations_db(band));
                by_band(|band| {
                    let transfer = math::energy_of_db(contribution.transfer_db.get(band));
                    factors[band.index()].iter().map(|factor| transfer * factor).collect()
                })
            })
            .collect();
        Ok(Self { listening, points: if exact { 1 } else { SAMPLE_SIZE }, way, parts })
    }

    /// The sample of one source, read off.
    fn hear(&self, source_db: &RangedSpectrum, criteria: &[&Criterion]) -> Vec<Heard> {
        let listening = self.listening;
        let sample = self.sample(source_db);
        let level = spectrum_percentiles(|band| sample.total[band].clone());
        let level_dba = percentiles_of_energy(&mut sample.total_dba.clone());
        let alone = listening.contributions.len() == 1;
        let mut shares: Vec<Share> = listening
            .contributions
            .par_iter()
            .zip(&sample.parts)
            .map(|(contribution, energies)| sample.share(contribution.part, energies, alone))
            .collect();
        // A stable sort keeps the given order among equals.
        shares.sort_by(|a, b| b.share_dba.total_cmp(&a.share_dba));
        let sentence = crate::share::sentence(&shares);
        let heard = |verdict: Option<Verdict>| Heard {
            receiver: listening.receiver.to_owned(),
            level,
            level_dba,
            shares: shares.clone(),
            verdict,
            sentence: sentence.clone(),
            notes: listening.notes.clone(),
        };
        if criteria.is_empty() {
            return vec![heard(None)];
        }
        criteria
            .iter()
            .map(|criterion| {
                let mut margins = criterion.margins_db(&sample.total, &sample.total_dba);
                margins.sort_unstable_by(f64::total_cmp);
                let deciding_band = criterion.margin(level.median_db()).deciding_band;
                heard(Some(Verdict::from_margins(criterion, &margins, deciding_band)))
            })
            .collect()
    }

    fn sample(&self, source_db: &RangedSpectrum) -> Sample {
        let source = factors(0, Sense::Adds, self.points == 1, |band| source_db.deviations_db(band));
        let common: ByBand = by_band(|band| {
            let level = math::energy_of_db(source_db.median_db().get(band));
            let errors = source[band.index()].iter().zip(&self.way[band.index()]);
            errors.map(|(source, way)| level * source * way).collect()
        });
        let parts: Vec<Energies> =
            self.parts.par_iter().map(|passes| Energies::of(&common, passes)).collect();
        let sum = |of: &dyn Fn(&Energies) -> &[f64]| parts.iter().map(of).fold(vec![0.0; self.points], add);
        let total = by_band(|band| sum(&|part: &Energies| part.by_band[band.index()].as_slice()));
        let total_dba = sum(&|part: &Energies| part.dba.as_slice());
        Sample { parts, total, total_dba }
    }
}

/// A number for every point of the sample, band by band.
pub(crate) type ByBand = [Vec<f64>; BAND_COUNT];

/// Energies at the receiver for every part, band and point of the sample.
struct Sample {
    parts: Vec<Energies>,
    total: ByBand,
    total_dba: Vec<f64>,
}

/// What one part brings to the receiver.
struct Energies {
    by_band: ByBand,
    dba: Vec<f64>,
}

impl Sample {
    fn share(&self, part: &Part, energies: &Energies, alone: bool) -> Share {
        let without = |whole: &[f64], part: &[f64]| median_of_energy(&mut less(whole, part));
        Share {
            name: part.name().to_owned(),
            level_db: spectrum_percentiles(|band| energies.by_band[band].clone()),
            level_dba: percentiles_of_energy(&mut energies.dba.clone()),
            share: Band::all()
                .map(|band| {
                    let at = band.index();
                    (band, mean_fraction(&energies.by_band[at], &self.total[at]))
                })
                .collect(),
            share_dba: mean_fraction(&energies.dba, &self.total_dba),
            if_perfect_db: (!alone).then(|| {
                Spectrum::from_fn(|band| without(&self.total[band.index()], &energies.by_band[band.index()]))
            }),
            if_perfect_dba: (!alone).then(|| without(&self.total_dba, &energies.dba)),
        }
    }
}

impl Energies {
    fn of(common: &ByBand, passes: &ByBand) -> Self {
        let silence = math::energy_of_db(SILENCE_DB);
        let by_band = by_band(|band| {
            let both = common[band.index()].iter().zip(&passes[band.index()]);
            both.map(|(energy, passes)| (energy * passes).max(silence)).collect()
        });
        let dba = Band::all().fold(vec![0.0; by_band[0].len()], |sum, band| {
            let weight = math::energy_of_db(a_weighting_db(band));
            let weighted: Vec<f64> = by_band[band.index()].iter().map(|energy| energy * weight).collect();
            add(sum, &weighted)
        });
        Self { by_band, dba }
    }
}

pub(crate) fn by_band(mut values: impl FnMut(Band) -> Vec<f64>) -> ByBand {
    let mut found: ByBand = std::array::from_fn(|_| Vec::new());
    for (slot, band) in found.iter_mut().zip(Band::all()) {
        *slot = values(band);
    }
    found
}

fn add(mut sum: Vec<f64>, more: &[f64]) -> Vec<f64> {
    for (sum, value) in sum.iter_mut().zip(more) {
        *sum += value;
    }
    sum
}

/// What is left of the whole without a part; never below nothing, where rounding would have it so.
fn less(whole: &[f64], part: &[f64]) -> Vec<f64> {
    whole.iter().zip(part).map(|(whole, part)| (whole - part).max(0.0)).collect()
}

fn mean_fraction(part: &[f64], whole: &[f64]) -> f64 {
    let sum: f64 = part.iter().zip(whole).map(|(part, whole)| part / whole).sum();
    sum / part.len().max(1) as f64
}

/// A standard normal error scaled by the spread below or above the median.
pub(crate) fn scaled(error: f64, (below, above): (f64, f64)) -> f64 {
    error * if error < 0.0 { below } else { above }
}

/// How many kinds of error are told apart: source, way, and the groups of parts. Groups beyond them err together with an
/// earlier one, which widens the range: the cautious side.
const KINDS: usize = 48;

/// The errors of one kind, drawn once: they are the same for every receiver and every room.
pub(crate) fn errors_of(kind: usize) -> &'static Errors {
    static DRAWN: [OnceLock<Errors>; KINDS] = [const { OnceLock::new() }; KINDS];
    let slot = if kind < KINDS { kind } else { 2 + (kind - 2) % (KINDS - 2) };
    DRAWN[slot].get_or_init(|| Errors::draw(slot))
}

/// Standard normal errors, for each band one for each point.
pub(crate) struct Errors(ByBand);

impl Errors {
    fn draw(kind: usize) -> Self {
        let waves: Vec<Vec<f64>> = (0..WAVES).map(|wave| normal_coordinate(kind * WAVES + wave)).collect();
        let shapes = wave_shapes();
        // A sum of five stratified numbers is only nearly normal: its ranks are given the exact levels, band by band, so
        // that the percentiles of one input come out as they went in.
        let levels = normal_levels();
        Self(by_band(|band| {
            let sum = waves.iter().zip(&shapes).fold(vec![0.0; SAMPLE_SIZE], |sum, (wave, shape)| {
                let weighted: Vec<f64> = wave.iter().map(|number| number * shape[band.index()]).collect();
                add(sum, &weighted)
            });
            let mut order: Vec<(f64, usize)> = sum.iter().copied().zip(0..).collect();
            order.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let mut errors = sum;
            for ((_, point), level) in order.iter().zip(&levels) {
                if let Some(error) = errors.get_mut(*point) {
                    *error = *level;
                }
            }
            errors
        }))
    }

    pub(crate) fn of(&self, band: Band) -> &[f64] {
        &self.0[band.index()]
    }
}

/// Weight of each wave in each band; their squares sum to 1 in every band.
pub(crate) fn wave_shapes() -> [[f64; BAND_COUNT]; WAVES] {
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

fn level(energy: f64) -> f64 {
    math::db_of_energy(energy).max(SILENCE_DB)
}

fn spectrum_percentiles(energies: impl Fn(usize) -> Vec<f64>) -> RangedSpectrum {
    let mut found = [Spectrum::flat(0.0); 3];
    for band in Band::all() {
        let value = percentiles_of_energy(&mut energies(band.index()));
        let [lower, median, upper] = &mut found;
        lower.set(band, value.lower_db);
        median.set(band, value.median_db);
        upper.set(band, value.upper_db);
    }
    let [lower, median, upper] = found;
    RangedSpectrum::from_percentiles(lower, median, upper)
}

/// The 10th, 50th and 90th percentile of energies in any order, as levels.
///
/// Selecting a few ranks is several times faster than sorting, and this is done for every part and band: the median first, then the
/// others among what lies on their side of it.
fn percentiles_of_energy(energies: &mut [f64]) -> RangedValue {
    let count = energies.len();
    let (low, middle, high) = (Place::of(0.1, count), Place::of(0.5, count), Place::of(0.9, count));
    // So few that the ranks meet: an exact value is a sample of one.
    if low.below + 1 >= middle.below || middle.below + 1 >= high.below {
        energies.sort_unstable_by(f64::total_cmp);
        let at = |place: Place| {
            let level_at = |rank: usize| energies.get(rank).copied().map_or(SILENCE_DB, level);
            place.between(level_at(place.below), level_at(place.above))
        };
        return RangedValue { median_db: at(middle), lower_db: at(low), upper_db: at(high) };
    }
    let (under, median, over) = energies.select_nth_unstable_by(middle.below, f64::total_cmp);
    let after = least(over).unwrap_or(*median);
    let median_db = middle.between(level(*median), level(after));
    let (value, next) = two_ranks(under, low.below);
    let lower_db = low.between(level(value), level(next));
    let (value, next) = two_ranks(over, high.below - middle.below - 1);
    let upper_db = high.between(level(value), level(next));
    RangedValue { median_db, lower_db, upper_db }
}

/// The 50th percentile alone, as [`percentiles_of_energy`] gives it.
fn median_of_energy(energies: &mut [f64]) -> f64 {
    if energies.is_empty() {
        return SILENCE_DB;
    }
    let middle = Place::of(0.5, energies.len());
    let (value, next) = two_ranks(energies, middle.below);
    middle.between(level(value), level(next))
}

/// The value of a rank and the one after it; the rank must be there.
fn two_ranks(values: &mut [f64], rank: usize) -> (f64, f64) {
    let (_, value, over) = values.select_nth_unstable_by(rank, f64::total_cmp);
    let value = *value;
    (value, least(over).unwrap_or(value))
}

fn least(values: &[f64]) -> Option<f64> {
    values.iter().copied().min_by(f64::total_cmp)
}

/// Where a percentile lies among ranked values: between two neighbours.
#[derive(Clone, Copy)]
struct Place {
    below: usize,
    above: usize,
    part: f64,
}

impl Place {
    fn of(part: f64, count: usize) -> Self {
        let place = (part * count as f64 - 0.5).max(0.0);
        let below = (place.floor() as usize).min(count.saturating_sub(1));
        let above = (below + 1).min(count.saturating_sub(1));
        Self { below, above, part: place - below as f64 }
    }

    fn between(self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.part
    }
}

/// The 10th, 50th and 90th percentile of values in rising order.
pub(crate) fn percentiles(sorted: &[f64]) -> RangedValue {
    let at = |part: f64| {
        let place = Place::of(part, sorted.len());
        let value = |rank: usize| sorted.get(rank).copied().unwrap_or(SILENCE_DB);
        place.between(value(place.below), value(place.above))
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
            assert!(correlation(band - 1, band) > 0.93, "{}", correlation(band - 1, band));
        }
    }

    #[test]
    fn selected_percentiles_are_those_of_the_sorted_values() {
        for count in [1, 2, 5, 9, 10, 11, 19, 20, 64, 1018] {
            let mut energies: Vec<f64> =
                (0..count).map(|k: usize| ((k * 7919) % 1009) as f64 + 0.5).collect();
            let mut levels: Vec<f64> = energies.iter().copied().map(level).collect();
            levels.sort_by(f64::total_cmp);
            let median_db = median_of_energy(&mut energies.clone());
            assert_eq!(median_db.to_bits(), percentiles(&levels).median_db.to_bits(), "{count}");
            assert_eq!(percentiles_of_energy(&mut energies), percentiles(&levels), "{count}");
        }
    }

    #[test]
    fn what_energies_leave_to_spare_is_what_their_levels_leave() {
        let points = 50;
        let energies: ByBand = by_band(|band| {
            let at = |point: usize| ((point * 31 + band.index() * 17) % 97) as f64 * 1.1 - 30.0;
            (0..points).map(|point| math::energy_of_db(at(point))).collect()
        });
        let weighted = |point: usize| {
            Band::all()
                .map(|band| energies[band.index()][point] * math::energy_of_db(a_weighting_db(band)))
                .sum::<f64>()
        };
        let energies_dba: Vec<f64> = (0..points).map(weighted).collect();
        let background = Spectrum::from_fn(|band| 40.0 - band.index() as f64);
        let thresholds = [
            crate::criterion::HearingThreshold::NotUsed,
            crate::criterion::HearingThreshold::AlsoHides,
            crate::criterion::HearingThreshold::MustAlsoHold,
        ];
        let under = |threshold| Criterion::under_background(background, 10.0, threshold).unwrap();
        let mut criteria = vec![Criterion::limit_dba(35.0).unwrap(), Criterion::noise_rating(25.0).unwrap()];
        criteria.extend(thresholds.map(under));
        for criterion in criteria {
            for (point, margin_db) in criterion.margins_db(&energies, &energies_dba).into_iter().enumerate() {
                let levels_db = Spectrum::from_fn(|band| level(energies[band.index()][point]));
                let by_levels_db = criterion.margin(&levels_db).margin_db;
                assert!((margin_db - by_levels_db).abs() < 1e-9, "{criterion:?}: {margin_db} {by_levels_db}");
            }
        }
    }

    #[test]
    fn percentiles_of_one_value_are_that_value() {
        assert_eq!(percentiles(&[4.0]), RangedValue { median_db: 4.0, lower_db: 4.0, upper_db: 4.0 });
    }
}
