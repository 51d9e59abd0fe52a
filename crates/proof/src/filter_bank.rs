//! A bank of third-octave filters at falling rates.
//!
//! Each octave is filtered at the lowest sampling rate at which class 1 still holds: the signal is halved again and again
//! ([`gazsi_1985`]), so that all lower octaves together cost no more than the highest. Filters run in
//! double precision, four bands side by side in lanes: in single precision the rounding of a loud band would stand some
//! 130 dB below it in its quiet neighbours, which a 24-bit recording of a well-insulated room comes near to.

use crate::{
    band_levels::LEVEL_BAND_COUNT,
    gazsi_1985::{self, HalfBand, STILL},
    iec_61260_1_2014::{BandPass, LONG, SHORT, SHORT_LIMIT, bands_at_rate, mid_band_hz},
};

/// Bands side by side.
pub(crate) const LANES: usize = 4;
/// A band is filtered at a halved rate as long as its middle lies below this part of it.
const HALVING_LIMIT: f64 = 0.228;

/// How many times the sampling rate is halved before the band at a place is filtered.
pub(crate) fn halvings(place: usize, sample_rate_hz: f64) -> u32 {
    let mut count = 0;
    let mut rate_hz = sample_rate_hz / 2.0;
    while mid_band_hz(place) <= HALVING_LIMIT * rate_hz {
        count += 1;
        rate_hz /= 2.0;
    }
    count
}

/// The filter of the band at a place, at the rate it is run at.
pub(crate) fn band_pass(place: usize, sample_rate_hz: f64) -> BandPass {
    let mut rate_hz = sample_rate_hz;
    for _ in 0..halvings(place, sample_rate_hz) {
        rate_hz /= 2.0;
    }
    let short = mid_band_hz(place) <= SHORT_LIMIT * rate_hz;
    BandPass::third_octave(place, rate_hz, if short { SHORT } else { LONG })
}

/// What a band makes of tones.
#[derive(Clone, Debug, PartialEq)]
pub struct Response {
    sample_rate_hz: f64,
    halvings: u32,
    filter: BandPass,
}

impl Response {
    /// Of the band at a place of [`BandLevels`](crate::BandLevels), 0 for 20 Hz, in a recording at a sampling rate.
    pub fn new(place: usize, sample_rate_hz: f64) -> Self {
        Self {
            sample_rate_hz,
            halvings: halvings(place, sample_rate_hz),
            filter: band_pass(place, sample_rate_hz),
        }
    }

    /// Magnitude with which a tone below half the sampling rate comes out, folded back by every halving as it may be.
    pub fn magnitude(&self, tone_hz: f64) -> f64 {
        let mut frequency = tone_hz / self.sample_rate_hz;
        let mut product = 1.0;
        for _ in 0..self.halvings {
            product *= gazsi_1985::magnitude(frequency);
            frequency *= 2.0;
            if frequency > 0.5 {
                frequency = 1.0 - frequency;
            }
        }
        product * self.filter.magnitude(frequency)
    }
}

/// One octave of the bank: the bands that are filtered at one rate.
pub(crate) struct Octave {
    /// Sampling rate of this octave, Hz.
    pub(crate) rate_hz: f64,
    /// The filters, in groups of lanes.
    pub(crate) groups: Vec<Group>,
}

/// Up to four neighbouring bands.
pub(crate) struct Group {
    /// Place of the band in each lane; none in a lane that is idle.
    pub(crate) places: [Option<usize>; LANES],
    filter: Filter,
}

enum Filter {
    Short(Lanes<SHORT>),
    Long(Lanes<LONG>),
}

impl Octave {
    /// The octaves for a sampling rate, from the full rate down; an octave may hold no band and only be halved.
    pub(crate) fn all(sample_rate_hz: f64) -> Vec<Self> {
        let bands = bands_at_rate(sample_rate_hz);
        let lowest = halvings(0, sample_rate_hz);
        let mut octaves = Vec::new();
        let mut rate_hz = sample_rate_hz;
        for depth in 0..=lowest {
            let places = (0..bands).rev().filter(|&place| halvings(place, sample_rate_hz) == depth);
            let (short, long): (Vec<usize>, Vec<usize>) =
                places.partition(|&place| mid_band_hz(place) <= SHORT_LIMIT * rate_hz);
            let groups = long
                .chunks(LANES)
                .map(|chunk| Group { places: lanes(chunk), filter: Filter::Long(Lanes::new(chunk, rate_hz)) })
                .chain(short.chunks(LANES).map(|chunk| Group {
                    places: lanes(chunk),
                    filter: Filter::Short(Lanes::new(chunk, rate_hz)),
                }))
                .collect();
            octaves.push(Self { rate_hz, groups });
            rate_hz /= 2.0;
        }
        octaves
    }
}

impl Group {
    /// Filters a stretch and gives the sum of the squares of each lane.
    pub(crate) fn squares(&mut self, samples: &[f64]) -> [f64; LANES] {
        match &mut self.filter {
            Filter::Short(lanes) => lanes.squares(samples),
            Filter::Long(lanes) => lanes.squares(samples),
        }
    }
}

fn lanes(places: &[usize]) -> [Option<usize>; LANES] {
    let mut lanes = [None; LANES];
    for (lane, &place) in lanes.iter_mut().zip(places) {
        *lane = Some(place);
    }
    lanes
}

/// Cascades of second-order sections `(1 − z⁻²)/(1 + a₁z⁻¹ + a₂z⁻²)`, one in each lane, in transposed direct form II.
struct Lanes<const SECTIONS: usize> {
    gain: [f64; LANES],
    a1: [[f64; LANES]; SECTIONS],
    a2: [[f64; LANES]; SECTIONS],
    s1: [[f64; LANES]; SECTIONS],
    s2: [[f64; LANES]; SECTIONS],
}

impl<const SECTIONS: usize> Lanes<SECTIONS> {
    fn new(places: &[usize], rate_hz: f64) -> Self {
        let zero = [[0.0; LANES]; SECTIONS];
        let mut lanes = Self { gain: [0.0; LANES], a1: zero, a2: zero, s1: zero, s2: zero };
        for (lane, &place) in places.iter().enumerate().take(LANES) {
            let filter = BandPass::third_octave(place, rate_hz, SECTIONS);
            lanes.gain[lane] = filter.gain;
            for (section, &(a1, a2)) in filter.sections.iter().enumerate().take(SECTIONS) {
                lanes.a1[section][lane] = a1;
                lanes.a2[section][lane] = a2;
            }
        }
        lanes
    }

    fn squares(&mut self, samples: &[f64]) -> [f64; LANES] {
        let (gain, a1, a2) = (self.gain, self.a1, self.a2);
        let (mut s1, mut s2) = (self.s1, self.s2);
        let mut sum = [0.0; LANES];
        for &sample in samples {
            let mut signal = times(gain, [sample; LANES]);
            for section in 0..SECTIONS {
                let output = plus(signal, s1[section]);
                s1[section] = minus(s2[section], times(a1[section], output));
                s2[section] = minus([0.0; LANES], plus(signal, times(a2[section], output)));
                signal = output;
            }
            sum = plus(sum, times(signal, signal));
        }
        self.s1 = s1.map(|section| section.map(stilled));
        self.s2 = s2.map(|section| section.map(stilled));
        sum
    }
}

#[inline]
fn plus(a: [f64; LANES], b: [f64; LANES]) -> [f64; LANES] {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2], a[3] + b[3]]
}

#[inline]
fn minus(a: [f64; LANES], b: [f64; LANES]) -> [f64; LANES] {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2], a[3] - b[3]]
}

#[inline]
fn times(a: [f64; LANES], b: [f64; LANES]) -> [f64; LANES] {
    [a[0] * b[0], a[1] * b[1], a[2] * b[2], a[3] * b[3]]
}

#[inline]
fn stilled(state: f64) -> f64 {
    if state.abs() < STILL { 0.0 } else { state }
}

/// A signal filtered into one band, at the rate it is filtered at.
#[derive(Clone, Debug, PartialEq)]
pub struct BandSignal {
    /// Place in [`BandLevels`](crate::BandLevels), 0 for 20 Hz.
    pub place: usize,
    /// Sampling rate, Hz.
    pub rate_hz: f64,
    /// The samples.
    pub samples: Vec<f64>,
}

/// Splits a signal that is held whole into third octaves, highest rate first; bands the rate does not allow are missing.
pub fn split(samples: &[f64], sample_rate_hz: f64) -> Vec<BandSignal> {
    let mut signals = Vec::new();
    let mut at_rate = samples.to_vec();
    let mut rate_hz = sample_rate_hz;
    let bands = bands_at_rate(sample_rate_hz);
    for depth in 0..=halvings(0, sample_rate_hz) {
        if depth > 0 {
            let mut half = Vec::with_capacity(at_rate.len() / 2 + 1);
            HalfBand::new().halve(&at_rate, &mut half);
            at_rate = half;
            rate_hz /= 2.0;
        }
        for place in (0..bands.min(LEVEL_BAND_COUNT)).filter(|&p| halvings(p, sample_rate_hz) == depth) {
            let mut samples = at_rate.clone();
            band_pass(place, sample_rate_hz).run(&mut samples);
            signals.push(BandSignal { place, rate_hz, samples });
        }
    }
    signals
}
