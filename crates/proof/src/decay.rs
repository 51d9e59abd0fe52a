//! Decay times of a room, band by band.

mod events;
mod flag;
mod left_out;
mod measure;
mod pool;

use bands::Band;

use crate::{
    LEVEL_BAND_COUNT,
    filter_bank::{BandSignal, split},
    iec_61260_1_2014::mid_band_hz,
    iso_3382_2_2008 as iso, lundeby_1995,
};

pub use events::{interrupted_noise, strokes};
pub use flag::DecayFlag;
pub use left_out::{LeftOut, WhyLeftOut};
pub use measure::{DecayError, measure};

/// How the decays were excited.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DecayMethod {
    /// Noise that was switched off.
    InterruptedNoise,
    /// A short bang: a drum stroke, a balloon, two boards.
    Impulse,
    /// An impulse response from a sweep.
    Sweep,
}

/// Decay of one band.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct BandDecay {
    /// Early decay time, s; none from noise that was switched off, in which it scatters too far.
    pub edt_s: Option<f64>,
    /// Reverberation time from −5 dB to −25 dB, s.
    pub t20_s: Option<f64>,
    /// Reverberation time from −5 dB to −35 dB, s.
    pub t30_s: Option<f64>,
    /// The time to go on with: T20, as ISO 3382-2 prefers, where it holds; s.
    pub t_s: Option<f64>,
    /// Standard deviation of `edt_s`, s.
    pub edt_deviation_s: Option<f64>,
    /// Standard deviation of `t20_s` and `t_s` by ISO 3382-2 clause 7.2, s.
    pub deviation_s: Option<f64>,
    /// Standard deviation of `t30_s`, s.
    pub t30_deviation_s: Option<f64>,
    /// Level of the beginning over the noise, dB.
    pub range_db: Option<f64>,
    /// Degree of curvature, %.
    pub curvature_percent: Option<f64>,
    /// Non-linearity over the range of T20, ‰.
    pub non_linearity: Option<f64>,
    /// What speaks against the values.
    pub flags: Vec<DecayFlag>,
}

/// Decays of a room in third octaves.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Decay {
    /// How the decays were excited.
    pub method: DecayMethod,
    /// Decays averaged at each position.
    pub decays: usize,
    /// Positions averaged.
    pub positions: usize,
    /// By place: 0 for 20 Hz, then the bands from 25 Hz to 10 kHz; bands the recording does not serve hold nothing.
    pub bands: Vec<BandDecay>,
    /// Decay of the octave of 63 Hz, as the low-frequency procedure of ISO 16283-1 wants it.
    pub octave_63: BandDecay,
    /// Strokes that are in the recording and were not counted, with the reason.
    pub left_out: Vec<LeftOut>,
}

impl Decay {
    /// Reverberation time to go on with in a band, s.
    pub fn t_s(&self, band: Band) -> Option<f64> {
        self.of(band).and_then(|decay| decay.t_s)
    }

    /// Decay in a band.
    pub fn of(&self, band: Band) -> Option<&BandDecay> {
        self.bands.get(band.index() + 1)
    }

    /// Bands from 25 Hz on, lowest first.
    pub fn iter(&self) -> impl Iterator<Item = (Band, &BandDecay)> {
        Band::all().filter_map(|band| self.of(band).map(|decay| (band, decay)))
    }
}

/// Decays from an impulse response that is held whole: [`DecayMethod::Impulse`] or [`DecayMethod::Sweep`].
///
/// The filters run backwards in time, so that their own ringing falls before the decay. Always gives a [`Decay`]; where a
/// band has none, it holds nothing but flags.
pub fn decay_of_response(response: &[f64], sample_rate_hz: f64, method: DecayMethod) -> Decay {
    let onset = onset(response);
    let mut signals = squared_backwards(response, sample_rate_hz);
    for signal in &mut signals {
        let skipped = (onset as f64 / sample_rate_hz * signal.rate_hz) as usize;
        signal.samples.drain(..skipped.min(signal.samples.len()));
    }
    let mut bands = vec![BandDecay::default(); LEVEL_BAND_COUNT];
    for signal in &signals {
        if let Some(slot) = bands.get_mut(signal.place) {
            let bandwidth_hz = iso::THIRD_OCTAVE_BANDWIDTH * mid_band_hz(signal.place);
            *slot = decay_of_squares(&signal.samples, signal.rate_hz, bandwidth_hz);
        }
    }
    let octave_63 = octave_squares(&signals).map_or_else(BandDecay::default, |(squares, rate_hz)| {
        decay_of_squares(&squares, rate_hz, 0.707 * mid_band_hz(5))
    });
    Decay { method, decays: 1, positions: 1, bands, octave_63, left_out: Vec::new() }
}

/// Arithmetic mean of the times at several positions (ISO 3382-2:2008, 8.1), or of several strokes at one.
///
/// A band has a time where at least one of them has; one far off all others is left out, with a flag; what speaks against any of them is kept
/// once, a bend where half of them show it. None of none.
pub fn average(decays: &[Decay], what: Averaged) -> Option<Decay> {
    let first = decays.first()?;
    let merged = |of: &dyn Fn(&Decay) -> Option<&BandDecay>| {
        let all: Vec<&BandDecay> = decays.iter().filter_map(of).collect();
        pool::merge(&all, what)
    };
    let (positions, per_position) = match what {
        Averaged::Positions => (
            decays.iter().map(|one| one.positions).sum(),
            decays.iter().map(|one| one.decays).min().unwrap_or(1),
        ),
        Averaged::Repeats => (first.positions, decays.iter().map(|one| one.decays).sum()),
    };
    Some(Decay {
        method: first.method,
        decays: per_position,
        positions,
        bands: (0..first.bands.len()).map(|place| merged(&|one| one.bands.get(place))).collect(),
        octave_63: merged(&|one| Some(&one.octave_63)),
        left_out: Vec::new(),
    })
}

/// What is averaged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Averaged {
    /// Different places of source or microphone.
    Positions,
    /// The same place again.
    Repeats,
}

/// Decay of one band from its squared impulse response, which begins with the sound.
fn decay_of_squares(squares: &[f64], rate_hz: f64, bandwidth_hz: f64) -> BandDecay {
    let Some(crossing) = lundeby_1995::crossing(squares, rate_hz) else {
        return BandDecay { flags: vec![DecayFlag::NoDecay], ..BandDecay::default() };
    };
    let end = (crossing.at_s * rate_hz) as usize;
    let curve = iso::backward_integrated(squares, end, crossing.beyond, crossing.taken_off());
    of_curve(
        &curve,
        &Curve {
            rate_hz,
            bandwidth_hz,
            range_db: crossing.range_db,
            // Integrated responses count as ten decays by interrupted noise.
            decays: 10.0,
            ragged: false,
        },
    )
}

/// What is known of a decay curve besides its levels.
struct Curve {
    rate_hz: f64,
    bandwidth_hz: f64,
    range_db: f64,
    decays: f64,
    /// Whether it holds energies that go up and down, as those of noise do that was switched off; else levels in dB.
    ragged: bool,
}

/// A T30 longer than T20 by more than this, %, is taken for noise that was integrated as decay (judgement, no source).
const MOST_BELIEVED_PERCENT: f64 = 300.0;
/// A T30 shorter than T20 by more than this, %, and by more than chance allows, is no room: one of the two is not its decay (judgement).
const LEAST_BELIEVED_PERCENT: f64 = -40.0;
/// Standard deviations of T20 that chance allows there (judgement).
const BY_CHANCE: f64 = 4.0;
/// An early decay time longer than T20 by more than this factor is an outlier (judgement).
const MOST_EDT_OVER_T20: f64 = 2.0;
/// An early decay time less sure than this part of itself, in standard deviations, is left out (judgement).
const MOST_EDT_DEVIATION: f64 = 0.25;

fn of_curve(curve: &[f64], about: &Curve) -> BandDecay {
    let step_s = 1.0 / about.rate_hz;
    let reaches = |range: (f64, f64)| about.range_db >= iso::NOISE_BELOW_DB - range.1;
    let by = if about.ragged { iso::evaluate_ragged } else { iso::evaluate };
    let evaluate = |range: (f64, f64)| reaches(range).then(|| by(curve, step_s, range)).flatten();
    let t20 = evaluate(iso::T20_RANGE_DB);
    let believed = |t30: &iso::Evaluated| {
        t20.is_none_or(|t20| iso::curvature_percent(t20.t_s, t30.t_s).abs() <= MOST_BELIEVED_PERCENT)
    };
    let t30 = evaluate(iso::T30_RANGE_DB).filter(believed);
    if let Some((t20, t30)) = t20.zip(t30) {
        let deviation_s = iso::t20_deviation_s(t20.t_s, about.bandwidth_hz, about.decays, 1.0);
        if iso::curvature_percent(t20.t_s, t30.t_s) < LEAST_BELIEVED_PERCENT
            && t20.t_s - t30.t_s > BY_CHANCE * deviation_s
        {
            return BandDecay {
                range_db: Some(about.range_db),
                flags: vec![DecayFlag::Contradicts { t20_s: t20.t_s, t30_s: t30.t_s }],
                ..BandDecay::default()
            };
        }
    }
    let deviation = |of: fn(f64, f64, f64, f64) -> f64, found: Option<iso::Evaluated>| {
        found.map(|found| of(found.t_s, about.bandwidth_hz, about.decays, 1.0))
    };
    // Over 10 dB switched-off noise scatters far more than its deviation says: that time is left to integrated responses.
    let edt = (!about.ragged).then(|| evaluate(iso::EDT_RANGE_DB)).flatten();
    let edt_deviation_s = deviation(iso::edt_deviation_s, edt);
    let (edt, edt_deviation_s) = match (edt, edt_deviation_s) {
        (Some(found), Some(deviation))
            if deviation <= MOST_EDT_DEVIATION * found.t_s
                && t20.is_none_or(|t20| found.t_s <= MOST_EDT_OVER_T20 * t20.t_s) =>
        {
            (Some(found), Some(deviation))
        }
        _ => (None, None),
    };
    let (mut deviation_s, mut t30_deviation_s) =
        (deviation(iso::t20_deviation_s, t20), deviation(iso::t30_deviation_s, t30));
    let mut flags = Vec::new();
    if !reaches(iso::T20_RANGE_DB) {
        flags.push(DecayFlag::NoiseTooNear { range_db: about.range_db });
    } else if t20.is_none() {
        flags.push(DecayFlag::NoDecay);
    }
    let curvature = t20.zip(t30).map(|(t20, t30)| iso::curvature_percent(t20.t_s, t30.t_s));
    // A bend that the two uncertainties explain is none.
    let by_chance = deviation_s.zip(t20).map_or(0.0, |(deviation, t20)| 200.0 * deviation / t20.t_s);
    if let Some(percent) =
        curvature.filter(|percent| percent.abs() > iso::MOST_CURVATURE_PERCENT.max(by_chance))
    {
        flags.push(DecayFlag::Curved { percent });
        // Of a decay that bends both times are true of a part: twice the deviation reaches from the one to the other.
        let apart_s = t20.zip(t30).map_or(0.0, |(t20, t30)| 0.5 * (t30.t_s - t20.t_s).abs());
        deviation_s = deviation_s.map(|deviation| deviation.max(apart_s));
        t30_deviation_s = t30_deviation_s.map(|deviation| deviation.max(apart_s));
    }
    if let Some(t20) = t20 {
        // Of noise the single levels scatter about any line; only an integrated response can be told to be none.
        let bt = about.bandwidth_hz * t20.t_s;
        if t20.non_linearity > iso::MOST_NON_LINEARITY && !about.ragged {
            flags.push(DecayFlag::NotStraight { non_linearity: t20.non_linearity });
            // A line bent into a parabola with this ξ begins and ends with slopes that lie two of these parts off the middle one.
            let bent_s = t20.t_s * (t20.non_linearity / 1000.0).sqrt();
            deviation_s = deviation_s.map(|deviation| deviation.max(bent_s));
        }
        if bt < iso::LEAST_BT_REVERSED {
            flags.push(DecayFlag::FilterRings { shortest_s: iso::LEAST_BT_REVERSED / about.bandwidth_hz });
        }
    }
    BandDecay {
        edt_s: edt.map(|found| found.t_s),
        t20_s: t20.map(|found| found.t_s),
        t30_s: t30.map(|found| found.t_s),
        t_s: t20.map(|found| found.t_s),
        edt_deviation_s,
        deviation_s,
        t30_deviation_s,
        range_db: Some(about.range_db),
        curvature_percent: curvature,
        non_linearity: t20.map(|found| found.non_linearity),
        flags,
    }
}

/// Third octaves of a recording whose filters run backwards in time, so that their ringing falls before what decays; squared.
fn squared_backwards(samples: &[f64], sample_rate_hz: f64) -> Vec<BandSignal> {
    let reversed: Vec<f64> = samples.iter().rev().copied().collect();
    let mut signals = split(&reversed, sample_rate_hz);
    for signal in &mut signals {
        signal.samples.reverse();
        for sample in &mut signal.samples {
            *sample *= *sample;
        }
    }
    signals
}

/// Where the sound begins: the first sample within 20 dB of the greatest (ISO 3382-1:2009, 5.3).
fn onset(response: &[f64]) -> usize {
    let peak = response.iter().fold(0.0_f64, |peak, sample| peak.max(sample.abs()));
    response.iter().position(|sample| sample.abs() >= 0.1 * peak).unwrap_or(0)
}

/// Squares of the octave of 63 Hz, as the sum of its third octaves at the lowest of their rates.
fn octave_squares(signals: &[BandSignal]) -> Option<(Vec<f64>, f64)> {
    const THIRDS: [usize; 3] = [4, 5, 6];
    let thirds: Vec<&BandSignal> = signals.iter().filter(|signal| THIRDS.contains(&signal.place)).collect();
    let rate_hz = thirds.iter().map(|signal| signal.rate_hz).fold(f64::INFINITY, f64::min);
    if thirds.len() < THIRDS.len() || !rate_hz.is_finite() {
        return None;
    }
    let mut sum: Vec<f64> = Vec::new();
    for third in thirds {
        let ratio = (third.rate_hz / rate_hz).round().max(1.0) as usize;
        let means = third.samples.chunks_exact(ratio).map(|chunk| chunk.iter().sum::<f64>() / ratio as f64);
        if sum.is_empty() {
            sum = means.collect();
        } else {
            for (slot, mean) in sum.iter_mut().zip(means) {
                *slot += mean;
            }
        }
    }
    Some((sum, rate_hz))
}
