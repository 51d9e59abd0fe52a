//! What a proposal lets through: its parts with their spread, and the energy they bring to every receiver in every draw.

use bands::{BAND_COUNT, Band, Spectrum};
use quantities::math;
use rayon::prelude::*;
use sound::{
    draws,
    model_spread::{Kind, spread_db},
    ranged::RangedSpectrum,
};
use survey::Survey;

use crate::{
    assemble::{
        air_path,
        element::ClipPattern,
        heard,
        shell::{DUCT_SPREAD_DB, Job, Place, jobs, leak_part},
        ways::Way,
    },
    choosing::proposal::{Proposal, Slot},
    memory::{Memory, Recalling},
    project::{ElementId, Layer, Project, Vent},
};

/// Where spectra are compared, in standard deviations of their error: the median and the loud end, which decides.
const ENDS: [f64; 2] = [-2.0, 0.0];

/// How many draws on each side of the one that decides are looked at to tell which bands decide.
const DECIDING: usize = draws::DRAWS / 32;

/// How many proposals share what is drawn for a way: enough that drawing it is little beside them.
const AT_A_TIME: usize = 48;

/// One part of what a proposal lets through.
#[derive(Clone, Debug)]
pub(super) struct Sounding {
    /// What its uncertainty comes from.
    group: String,
    place: Place,
    area_m2: f64,
    r: RangedSpectrum,
}

/// All parts of a proposal.
#[derive(Clone, Debug, Default)]
pub(super) struct Soundings {
    parts: Vec<Sounding>,
    /// Of a lined element: area and R of its heavy leaf alone, for what goes round.
    bare: Option<(f64, Spectrum)>,
    /// The element, where sound goes round it to a room next door.
    slot: Option<ElementId>,
}

/// How the spread of a prediction is found.
#[derive(Clone, Copy, Debug)]
pub(super) enum Care<'a> {
    /// The spread of the model by the family of the build-up.
    ByFamily,
    /// That, and the element built sixty-four times over with its materials varied: never a narrower spread.
    Full(&'a Memory),
}

/// What is known of a proposal before it is predicted.
#[derive(Clone, Copy, Debug)]
pub(super) struct Known {
    /// Whether sound goes round the element into a room next door that counts.
    pub(super) shared: bool,
    /// R of its build-up, where another proposal had the same.
    pub(super) r_db: Option<Spectrum>,
}

/// What a proposal lets through.
pub(super) fn soundings(
    project: &Project,
    survey: &Survey,
    clips: Option<ClipPattern>,
    (slot, proposal): (Slot, &Proposal),
    (care, known): (Care<'_>, Known),
) -> Result<Soundings, String> {
    let mut changed = project.clone();
    proposal.change.put_into(&mut changed, slot);
    match slot {
        Slot::Element(id) => {
            let hung = if on_clips(&changed, id) { clips } else { None };
            let Some(job) = jobs(&changed, survey, hung, 0, &|one| one == id).into_iter().next() else {
                return Ok(Soundings::default());
            };
            of_job(&changed, &job, id, (care, known))
        }
        Slot::Vent(at) => {
            let Some(vent) = changed.vents.get(at) else { return Ok(Soundings::default()) };
            of_vent(&changed, vent)
        }
        Slot::Gaps => of_gaps(&changed, survey),
    }
}

/// The pattern of the clips that were set out holds for clips only.
fn on_clips(project: &Project, id: ElementId) -> bool {
    project.buildup_of(id).is_some_and(|buildup| crate::assemble::ceiling::hangs_on_clips(&buildup.element))
}

fn of_job(
    project: &Project,
    job: &Job,
    id: ElementId,
    (care, known): (Care<'_>, Known),
) -> Result<Soundings, String> {
    let ranged = match care {
        Care::Full(memory) => {
            // A whole plan with the same element asks for the same.
            let predicted = Recalling::exact(memory).predicted(&job.element)?;
            RangedSpectrum::new(&job.element.name, predicted.r_db, predicted.lower_db, predicted.upper_db)
        }
        Care::ByFamily => {
            let predicted = || {
                sound::predict::transmission(&job.element)
                    .map(|transmission| transmission.reduction_index())
                    .map_err(|error| error.to_string())
            };
            let r_db = known.r_db.map_or_else(predicted, Ok)?;
            let kind = Kind::of(&job.element);
            RangedSpectrum::with_deviation(
                &job.element.name,
                r_db,
                &Spectrum::from_fn(|band| spread_db(kind, band)),
            )
        }
    }
    .map_err(|error| error.to_string())?;
    let mut parts =
        vec![Sounding { group: job.buildup.clone(), place: job.place, area_m2: job.area_m2, r: ranged }];
    // The gaps of the file come first and are an element of their own here.
    let gaps = project.gaps.iter().filter(|gap| gap.element == id).count();
    for leak in job.leaks.iter().skip(gaps) {
        parts.push(of_leak(job, leak)?);
    }
    let lined = project
        .buildup_of(id)
        .is_some_and(|buildup| buildup.element.layers.iter().any(|layer| matches!(layer, Layer::Cavity(_))));
    let bare =
        (lined && known.shared).then(|| heard::bare_of(project, id)).flatten().map(|r| (job.area_m2, r));
    Ok(Soundings { parts, bare, slot: known.shared.then_some(id) })
}

fn of_leak(job: &Job, leak: &sound::element::Leak) -> Result<Sounding, String> {
    let part = leak_part(&job.element, leak, job.area_m2)?;
    Ok(Sounding { group: leak.name.clone(), place: job.place, area_m2: job.area_m2, r: *part.ranged() })
}

fn of_vent(project: &Project, vent: &Vent) -> Result<Soundings, String> {
    let dn_e = air_path::air_path(project, vent)?.normalised_level_difference_db();
    let r = RangedSpectrum::with_deviation(&vent.name, dn_e, &Spectrum::flat(DUCT_SPREAD_DB))
        .map_err(|error| error.to_string())?;
    let place = Place::InWall {
        wall: vent.wall,
        from_mm: vent.from_corner_mm - vent.duct_width_mm / 2.0,
        sill_mm: vent.above_floor_mm - vent.duct_height_mm / 2.0,
        width_mm: vent.duct_width_mm,
        height_mm: vent.duct_height_mm,
    };
    let part = Sounding {
        group: "air path".to_owned(),
        place,
        area_m2: sound::composite::REFERENCE_ABSORPTION_M2,
        r,
    };
    Ok(Soundings { parts: vec![part], ..Soundings::default() })
}

fn of_gaps(project: &Project, survey: &Survey) -> Result<Soundings, String> {
    let mut parts = Vec::new();
    let mut seen: Vec<ElementId> = Vec::new();
    for gap in &project.gaps {
        if seen.contains(&gap.element) {
            continue;
        }
        seen.push(gap.element);
        let count = project.gaps.iter().filter(|other| other.element == gap.element).count();
        for job in jobs(project, survey, None, 0, &|one| one == gap.element) {
            for leak in job.leaks.iter().take(count) {
                parts.push(of_leak(&job, leak)?);
            }
        }
    }
    Ok(Soundings { parts, ..Soundings::default() })
}

impl Soundings {
    /// Numbers by which one proposal beats another: shares of what is allowed in each band, by the weight that counts most anywhere, at the
    /// median and at the loud end of the spread, in whole steps of `step`. Two that differ by less than a step are the same.
    pub(super) fn ends(&self, weights: &[f64; BAND_COUNT], parts: usize, step: f64) -> Vec<f64> {
        let silent = [0.0; BAND_COUNT];
        let mut numbers = Vec::new();
        let mut put = |energies: &[f64; BAND_COUNT]| {
            numbers
                .extend(energies.iter().zip(weights).map(|(energy, weight)| (energy * weight / step).ceil()));
        };
        for place in 0..parts {
            for end in ENDS {
                match self.parts.get(place) {
                    Some(part) => put(&part.energies(end)),
                    None => put(&silent),
                }
            }
        }
        // What goes round: of a lined element its bare leaf, of another what goes through it.
        match (&self.bare, self.parts.first().filter(|_| self.slot.is_some())) {
            (Some((area_m2, r)), _) => {
                put(Spectrum::from_fn(|band| area_m2 * math::energy_of_db(-r.get(band))).values_db());
            }
            (None, Some(part)) => put(&part.energies(0.0)),
            (None, None) => put(&silent),
        }
        numbers
    }

    /// How many parts it has.
    pub(super) fn count(&self) -> usize {
        self.parts.len()
    }

    /// For each band the largest share of what is allowed that a square metre would bring that insulates nothing, at the tenth percentile of
    /// every way from its places.
    pub(super) fn weights(&self, ways: &[Way]) -> [f64; BAND_COUNT] {
        let mut most = [0.0_f64; BAND_COUNT];
        for way in ways {
            for transfer in self.parts.iter().filter_map(|part| way.transfer_db(part.place)) {
                let round = way.flanking.map_or(1.0, |flanking| 1.0 + flanking.extra);
                for band in Band::all() {
                    let at = band.index();
                    let weight = way.rows.iter().map(|row| row[at]).fold(0.0, f64::max);
                    let loud = way.loud.get(at).copied().unwrap_or(0.0);
                    most[at] = most[at].max(weight * loud * round * math::energy_of_db(transfer.get(band)));
                }
            }
        }
        most
    }

    /// R of its first part, dB.
    pub(super) fn r_db(&self) -> Option<Spectrum> {
        self.parts.first().map(|part| *part.r.median_db())
    }

    /// Everything through which it is heard on a way: the place, the kind of its errors, its area and what it insulates.
    fn heard_by(&self, way: &Way, element: usize) -> Vec<(Place, usize, f64, RangedSpectrum)> {
        let mut heard: Vec<(Place, usize, f64, RangedSpectrum)> = self
            .parts
            .iter()
            .map(|part| (part.place, way.kind(&part.group, element), part.area_m2, part.r))
            .collect();
        if let Some(flanking) = way.flanking {
            let kind = way.kind(sound::flanking::FLANKING_NAME, 0);
            let round = |r: Spectrum| {
                RangedSpectrum::with_deviation("flanking", r, &Spectrum::flat(flanking.deviation_db))
            };
            match (&self.bare, self.parts.first()) {
                (Some((area_m2, r)), Some(part)) if self.slot == Some(flanking.shared) => {
                    if let Ok(r) = round(*r) {
                        heard.push((part.place, kind, area_m2 * flanking.extra, r));
                    }
                }
                // What else is in a lined wall adds nothing to what goes round it.
                _ if flanking.by_bare_leaf && self.slot != Some(flanking.shared) => {}
                _ => {
                    for part in &self.parts {
                        if let Ok(r) = round(*part.r.median_db()) {
                            heard.push((part.place, kind, part.area_m2 * flanking.extra, r));
                        }
                    }
                }
            }
        }
        heard
    }

    /// Adds its energy in every row of a way, as a share of what is allowed, all draws, row by row.
    fn in_way(&self, way: &Way, element: usize, drawn: &mut Drawn<'_>, into: &mut [f64]) {
        for (place, kind, area_m2, r) in self.heard_by(way, element) {
            let Some(transfer) = way.transfer_db(place) else { continue };
            let drawn = drawn.of(&r, kind);
            for (band, drawn) in Band::all().zip(drawn) {
                let at = band.index();
                let gain = area_m2 * math::energy_of_db(transfer.get(band) - r.median_db().get(band));
                for (row, weights) in into.chunks_mut(draws::DRAWS).zip(&way.rows) {
                    let weight = weights[at] * gain;
                    if weight > 0.0 {
                        for (sum, drawn) in row.iter_mut().zip(drawn) {
                            *sum += weight * drawn;
                        }
                    }
                }
            }
        }
    }
}

/// Of one proposal of each element, for each row of every way: the energies of its bands, as shares of what is allowed, in the draws round the one
/// that decides if `may_fail` may fail.
pub(super) fn deciding_bands(
    selected: &[&Soundings],
    ways: &[Way],
    may_fail: usize,
) -> Vec<[f64; BAND_COUNT]> {
    let of_way = |way: &Way| -> Vec<[f64; BAND_COUNT]> {
        let mut drawn = Drawn { way, known: Vec::new() };
        // For each band what arrives of all, whatever the row weighs it with.
        let mut arrives = vec![vec![0.0; draws::DRAWS]; BAND_COUNT];
        for (element, one) in selected.iter().enumerate() {
            for (place, kind, area_m2, r) in one.heard_by(way, element + 1) {
                let Some(transfer) = way.transfer_db(place) else { continue };
                for ((band, drawn), sum) in Band::all().zip(drawn.of(&r, kind)).zip(&mut arrives) {
                    let gain = area_m2 * math::energy_of_db(transfer.get(band) - r.median_db().get(band));
                    for (sum, drawn) in sum.iter_mut().zip(drawn) {
                        *sum += gain * drawn;
                    }
                }
            }
        }
        let of_row = |weights: &[f64; BAND_COUNT]| {
            let level = |draw: usize| -> f64 {
                arrives
                    .iter()
                    .zip(weights)
                    .map(|(band, weight)| weight * band.get(draw).unwrap_or(&0.0))
                    .sum()
            };
            let mut order: Vec<(f64, usize)> = (0..draws::DRAWS).map(|draw| (level(draw), draw)).collect();
            order.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let rank = draws::DRAWS.saturating_sub(1 + may_fail);
            let near = order.iter().skip(rank.saturating_sub(DECIDING)).take(2 * DECIDING + 1);
            let mut energies = [0.0; BAND_COUNT];
            for (_, draw) in near {
                for ((sum, band), weight) in energies.iter_mut().zip(&arrives).zip(weights) {
                    *sum += weight * band.get(*draw).unwrap_or(&0.0);
                }
            }
            energies
        };
        way.rows.iter().map(of_row).collect()
    };
    ways.par_iter().map(of_way).flatten().collect()
}

/// Energy of each proposal of an element in every row of every way, as a share of what is allowed, all draws. `element` tells the
/// elements apart, from 0.
pub(super) fn energies(proposals: &[&Soundings], ways: &[Way], element: usize) -> Vec<Vec<f64>> {
    let rows: usize = ways.iter().map(|way| way.rows.len()).sum();
    let mut found: Vec<Vec<f64>> = vec![vec![0.0; rows * draws::DRAWS]; proposals.len()];
    // Of every way some proposals at a time: each writes into its own part of what was found.
    let mut parts: Vec<Vec<(&Soundings, &mut [f64])>> = Vec::new();
    parts.resize_with(ways.len() * proposals.len().div_ceil(AT_A_TIME), Vec::new);
    for (at, (one, own)) in proposals.iter().zip(&mut found).enumerate() {
        let mut rest = own.as_mut_slice();
        for (number, way) in ways.iter().enumerate() {
            let (mine, left) = rest.split_at_mut(way.rows.len() * draws::DRAWS);
            rest = left;
            if let Some(part) = parts.get_mut(at / AT_A_TIME * ways.len() + number) {
                part.push((one, mine));
            }
        }
    }
    parts.into_par_iter().enumerate().for_each(|(at, part)| {
        let Some(way) = ways.get(at % ways.len()) else { return };
        let mut drawn = Drawn { way, known: Vec::new() };
        for (one, into) in part {
            // Kind 0 is what goes round.
            one.in_way(way, element + 1, &mut drawn, into);
        }
    });
    found
}

/// Puts first, of every way, the draws that are loudest with one proposal of each element: where too many fail that is soon seen.
pub(super) fn loudest_first(selected: &[&Soundings], ways: &mut [Way]) {
    for way in ways.iter_mut() {
        way.order.clear();
    }
    let each: Vec<Vec<f64>> = selected
        .iter()
        .enumerate()
        .filter_map(|(element, one)| energies(&[one], ways, element).into_iter().next())
        .collect();
    let mut first = 0;
    for way in ways.iter_mut() {
        let rows = first..first + way.rows.len();
        first = rows.end;
        let level = |draw: usize| {
            let of_row = |row: usize| -> f64 {
                each.iter().filter_map(|energies| energies.get(row * draws::DRAWS + draw)).sum()
            };
            rows.clone().map(of_row).fold(0.0, f64::max)
        };
        let mut order: Vec<(f64, usize)> = (0..draws::DRAWS).map(|draw| (level(draw), draw)).collect();
        order.sort_unstable_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        way.order = order.into_iter().map(|(_, draw)| draw).collect();
    }
}

/// What a square metre brings that insulates nothing at its median, with the errors of the source, of the way and of the part: in each
/// band all draws. Parts of one kind and spread share it, so that a further one costs a sum over the bands.
struct Drawn<'a> {
    way: &'a Way,
    known: Vec<(usize, Spreads, Vec<Vec<f64>>)>,
}

/// Spread below and above the median in each band.
type Spreads = Vec<(f64, f64)>;

impl Drawn<'_> {
    fn of(&mut self, r: &RangedSpectrum, kind: usize) -> &[Vec<f64>] {
        let spreads: Spreads = Band::all().map(|band| r.deviations_db(band)).collect();
        let alike = |one: &(usize, Spreads, Vec<Vec<f64>>)| {
            let close = |(a, b): (&(f64, f64), &(f64, f64))| (a.0 - b.0).abs().max((a.1 - b.1).abs()) < 1e-9;
            one.0 == kind && one.1.iter().zip(&spreads).all(close)
        };
        let at = self.known.iter().position(alike).unwrap_or_else(|| {
            let drawn = Band::all()
                .zip(&spreads)
                .zip(&self.way.common)
                .map(|((band, spread), common)| self.way.ordered(draws::through(kind, band, *spread, common)))
                .collect();
            self.known.push((kind, spreads.clone(), drawn));
            self.known.len() - 1
        });
        self.known.get(at).map_or(&[][..], |known| known.2.as_slice())
    }
}

impl Sounding {
    /// Energy through it with the error of `deviations`.
    fn energies(&self, deviations: f64) -> [f64; BAND_COUNT] {
        let spectrum = Spectrum::from_fn(|band| {
            let r = self.r.median_db().get(band) + draws::scaled(deviations, self.r.deviations_db(band));
            self.area_m2 * math::energy_of_db(-r)
        });
        *spectrum.values_db()
    }
}
