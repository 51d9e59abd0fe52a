//! The prediction of one element: what it insulates, how sure that is, what limits it and what to change.

use bands::{Band, Ratings, Spectrum, rate_spectrum};
use quantities::math;
use serde::Serialize;

use crate::{
    advice,
    element::Element,
    error::ElementError,
    limits, measured,
    model_spread::{self, Kind},
    prepared::{Prepared, Transmission},
    spread::{self, Spread},
};

pub use crate::limits::{BandLimit, Limit};

/// Everything predicted of one element.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Prediction {
    /// Sound reduction index R, best estimate, dB.
    pub r_db: Spectrum,
    /// 10th percentile of R, dB.
    pub lower_db: Spectrum,
    /// 90th percentile of R, dB.
    pub upper_db: Spectrum,
    /// Single numbers of the best estimate.
    pub ratings: Ratings,
    /// 10th percentile of Rw, dB.
    pub rw_lower_db: f64,
    /// 90th percentile of Rw, dB.
    pub rw_upper_db: f64,
    /// Mass–air–mass resonances, outermost cavity first.
    pub resonances: Vec<Resonance>,
    /// Critical frequency of each leaf that has one.
    pub critical_frequencies: Vec<CriticalFrequency>,
    /// Mass of leaves and fills, kg/m².
    pub mass_kg_m2: f64,
    /// Depth, mm.
    pub depth_mm: f64,
    /// What limits each band.
    pub limits: Vec<BandLimit>,
    /// What limits it and what to change, in sentences, most worth first.
    pub advice: Vec<String>,
    /// What each path alone would let through.
    pub paths_db: Paths,
    /// Models and sources used, a sentence each.
    pub method: Vec<String>,
}

/// A mass–air–mass resonance.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Resonance {
    /// Which cavity, 0 the outermost.
    pub cavity: usize,
    /// Frequency f0, Hz.
    pub frequency_hz: f64,
}

/// Where bending waves in a leaf run as fast as sound along it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CriticalFrequency {
    /// Name of the leaf.
    pub leaf: String,
    /// Critical frequency fc, Hz.
    pub fc_hz: f64,
}

/// What each path alone would let through, as a sound reduction index, dB.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Paths {
    /// Through leaves and cavities.
    pub air_db: Spectrum,
    /// Through studs, clips, ties and frames; none where there are none.
    pub bridge_db: Option<Spectrum>,
    /// Through joints and holes; none where there are none.
    pub leak_db: Option<Spectrum>,
}

/// Transmission coefficients of one element at its nominal values: the fast inner path, for choosing among thousands of
/// build-ups. [`Prepared`] separates checking from computing.
pub fn transmission(element: &Element) -> Result<Transmission, ElementError> {
    if let Some(given) = &element.measured {
        let model = if element.parts.is_empty() { None } else { Some(Prepared::new(element)?) };
        if model.is_none() {
            crate::check::check(element)?;
        }
        let r = measured::spectrum(given, model.map(|m| m.transmission().reduction_index()).as_ref());
        let leaks = crate::leak::transmission(element, &[]);
        return Ok(Transmission::measured(&r, leaks.as_ref()));
    }
    Ok(Prepared::new(element)?.transmission())
}

/// Predicts one element.
///
/// Returns an error with a sentence for anything that cannot be built.
pub fn predict(element: &Element) -> Result<Prediction, ElementError> {
    predict_with(element, &spread::spread(element)?)
}

/// Predicts one element whose sampled spread is known already, or is taken from a like one: the best estimate is the element's own, its
/// percentiles stand at the distances given.
///
/// # Errors
/// As [`predict`].
pub fn predict_with(element: &Element, sampled: &Spread) -> Result<Prediction, ElementError> {
    let best = transmission(element)?;
    let prepared = if element.parts.is_empty() { None } else { Some(Prepared::new(element)?) };
    let r_db = best.reduction_index();
    let kind = Kind::of(element);
    let deviation = |band: Band| match &element.measured {
        Some(given) => measured::standard_uncertainty_db(given, band),
        None => model_spread::spread_db(kind, band),
    };
    // Materials and model err independently of each other.
    let join = |a: f64, b: f64| (a * a + b * b).sqrt();
    let lower_db = r_db.map(|band, r| r - join(sampled.below.get(band), NORMAL_90 * deviation(band)));
    let upper_db = r_db.map(|band, r| r + join(sampled.above.get(band), NORMAL_90 * deviation(band)));
    let ratings = rate(element, &r_db)?;
    let single = match &element.measured {
        Some(given) => measured::single_number_uncertainty_db(given),
        None => model_spread::single_number_spread_db(kind),
    };
    let limits = limits::limits(element, prepared.as_ref(), &best);
    let db = |tau: &[f64; bands::BAND_COUNT]| {
        Spectrum::from_values(*tau).map(|_, tau| -math::db_of_energy(tau.clamp(1e-30, 1e3)))
    };
    Ok(Prediction {
        rw_lower_db: ratings.rw_exact_db - join(sampled.rw_below, NORMAL_90 * single),
        rw_upper_db: ratings.rw_exact_db + join(sampled.rw_above, NORMAL_90 * single),
        resonances: resonances(prepared.as_ref()),
        critical_frequencies: critical_frequencies(element, prepared.as_ref()),
        mass_kg_m2: element.mass_kg_m2(),
        depth_mm: element.depth_m() * 1000.0,
        advice: advice::advice(element, prepared.as_ref(), &limits),
        method: method(element, &r_db),
        paths_db: Paths {
            air_db: db(&best.air),
            bridge_db: (!element.bridges.is_empty()).then(|| db(&best.bridge)),
            leak_db: (!element.leaks.is_empty()).then(|| db(&best.leak)),
        },
        r_db,
        lower_db,
        upper_db,
        ratings,
        limits,
    })
}

/// Ratio of critical frequencies from which both are told.
const RIBS_APART: f64 = 4.0;
/// Above this R nothing is measured in a building, dB (common practice).
const NOT_MEASURED_DB: f64 = 80.0;

/// 90th percentile of the standard normal distribution.
const NORMAL_90: f64 = 1.281_551_565_544_6;

/// Models and sources, and a word where a prediction is higher than anything that is ever measured.
fn method(element: &Element, r_db: &Spectrum) -> Vec<String> {
    let mut lines = advice::method(element);
    if Band::range(50.0, 5000.0).any(|band| r_db.get(band) > NOT_MEASURED_DB) {
        lines.push(String::from(
            "Above 80 dB a prediction is only a sum: no laboratory or building measures it, sound that goes round decides there.",
        ));
    }
    lines
}

fn rate(element: &Element, r_db: &Spectrum) -> Result<Ratings, ElementError> {
    rate_spectrum(r_db)
        .map_err(|error| ElementError::Rating { element: element.name.clone(), reason: error.to_string() })
}

fn resonances(prepared: Option<&Prepared>) -> Vec<Resonance> {
    let Some(prepared) = prepared else { return Vec::new() };
    (0..prepared.cavities.len())
        .filter_map(|gap| {
            prepared.resonance_hz(gap).map(|frequency_hz| Resonance { cavity: gap, frequency_hz })
        })
        .collect()
}

fn critical_frequencies(element: &Element, prepared: Option<&Prepared>) -> Vec<CriticalFrequency> {
    let Some(prepared) = prepared else { return Vec::new() };
    element
        .leaves()
        .zip(&prepared.leaves)
        .filter(|(_, ready)| ready.fc.is_finite())
        .flat_map(|(leaf, ready)| {
            let (along, across) = ready.critical_range_hz();
            // A grain spreads a dip; ribs make two frequencies of it, octaves apart.
            if across < RIBS_APART * along {
                vec![CriticalFrequency { leaf: leaf.name.clone(), fc_hz: ready.fc }]
            } else {
                vec![
                    CriticalFrequency { leaf: format!("{} along its ribs", leaf.name), fc_hz: along },
                    CriticalFrequency { leaf: format!("{} across them", leaf.name), fc_hz: across },
                ]
            }
        })
        .collect()
}
