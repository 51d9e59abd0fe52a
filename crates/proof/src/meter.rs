//! The level meter of one channel: samples go in block by block, levels come out at the end.

use crate::{
    LEVEL_BAND_COUNT,
    analysis::STEP_S,
    faults::Watch,
    filter_bank::{LANES, Octave},
    gazsi_1985::HalfBand,
    iec_61260_1_2014::bands_at_rate,
    iec_61672_1_2013::{FAST_S, SLOW_S, WeightedSquares, Weightings, uptake},
};

/// Squares are summed over stretches of this length before they go through a time weighting, s: it moves a time-weighted
/// level by less than 0.04 dB.
const STRETCH_S: f64 = 0.001;
/// Low octaves have at least as many samples in a stretch; their bands respond slowly enough.
const LEAST_STRETCH: usize = 4;
/// The longest a stretch may be, s.
const LONGEST_STRETCH_S: f64 = 0.012;

/// What a meter read in one band: mean squares.
#[derive(Clone, Debug, Default)]
pub(crate) struct BandReadout {
    pub(crate) mean: f64,
    pub(crate) fast_most: f64,
    /// Means of every step.
    pub(crate) steps: Vec<f32>,
    /// Time weighting F, once in every step in the mean.
    pub(crate) fast: Vec<f32>,
}

/// What a meter read: mean squares.
#[derive(Clone, Debug, Default)]
pub(crate) struct Readout {
    /// By place, as many as the rate serves.
    pub(crate) bands: Vec<BandReadout>,
    pub(crate) a_mean: f64,
    pub(crate) c_mean: f64,
    pub(crate) a_fast_most: f64,
    pub(crate) a_slow_most: f64,
    /// A-weighted, time weighting F, at the end of every step.
    pub(crate) fast_a: Vec<f32>,
    /// The same once in every step in the mean.
    pub(crate) sampled_a: Vec<f32>,
}

/// The meter.
pub(crate) struct Meter {
    rate_hz: f64,
    pub(crate) watch: Watch,
    whole: WholeMeter,
    octaves: Vec<OctaveMeter>,
    halves: [Vec<f64>; 2],
}

impl Meter {
    pub(crate) fn new(rate_hz: f64) -> Self {
        Self {
            rate_hz,
            watch: Watch::default(),
            whole: WholeMeter::new(rate_hz),
            octaves: Octave::all(rate_hz).into_iter().map(OctaveMeter::new).collect(),
            halves: [Vec::new(), Vec::new()],
        }
    }

    /// Takes the next samples; what is no sound in them is set to zero.
    pub(crate) fn push(&mut self, samples: &mut [f64]) {
        self.watch.look(samples, self.rate_hz);
        self.whole.push(samples);
        let [from, to] = &mut self.halves;
        from.clear();
        from.extend_from_slice(samples);
        for octave in &mut self.octaves {
            octave.push(from);
            to.clear();
            octave.half_band.halve(from, to);
            std::mem::swap(from, to);
        }
    }

    /// Ends the measurement.
    pub(crate) fn read_out(mut self) -> Readout {
        let mut readout = self.whole.read_out();
        readout.bands =
            (0..bands_at_rate(self.rate_hz).min(LEVEL_BAND_COUNT)).map(|_| BandReadout::default()).collect();
        for octave in &mut self.octaves {
            octave.read_out(&mut readout.bands);
        }
        readout
    }
}

/// Counts samples into stretches and stretches into steps.
struct Clock {
    rate_hz: f64,
    stretch: usize,
    in_stretch: usize,
    passed: u64,
    steps: u64,
    sampled: u64,
}

impl Clock {
    fn new(rate_hz: f64) -> Self {
        let short = (rate_hz * STRETCH_S) as usize;
        let most = (rate_hz * LONGEST_STRETCH_S) as usize;
        let stretch = short.max(LEAST_STRETCH).min(most).max(1);
        Self { rate_hz, stretch, in_stretch: 0, passed: 0, steps: 0, sampled: 0 }
    }

    /// How many samples of `left` still go into this stretch.
    fn take(&self, left: usize) -> usize {
        (self.stretch - self.in_stretch).min(left)
    }

    /// Counts samples that were taken; true where they end a stretch.
    fn count(&mut self, taken: usize) -> bool {
        self.in_stretch += taken;
        self.passed += taken as u64;
        let ended = self.in_stretch >= self.stretch;
        if ended {
            self.in_stretch = 0;
        }
        ended
    }

    /// Whether a step ends with the stretch that has just ended.
    fn ends_step(&mut self) -> bool {
        let ends = self.passed as f64 >= (self.steps + 1) as f64 * STEP_S * self.rate_hz - 0.5;
        self.steps += u64::from(ends);
        ends
    }
}

impl Clock {
    /// Whether a level is taken for the percentiles after the stretch that has just ended: at `k + frac((k + 1) φ)` steps, so that no beat
    /// can stay in time with it.
    fn takes_sample(&mut self) -> bool {
        let next = self.sampled as f64;
        let at = next + ((next + 1.0) * std::f64::consts::GOLDEN_RATIO).fract();
        let takes = self.passed as f64 >= at * STEP_S * self.rate_hz - 0.5;
        self.sampled += u64::from(takes);
        takes
    }
}

/// A and C over all frequencies.
struct WholeMeter {
    weightings: Weightings,
    clock: Clock,
    stretch: WeightedSquares,
    total: WeightedSquares,
    fast_uptake: f64,
    slow_uptake: f64,
    fast: f64,
    slow: f64,
    fast_most: f64,
    slow_most: f64,
    steps: Vec<f32>,
    sampled: Vec<f32>,
}

impl WholeMeter {
    fn new(rate_hz: f64) -> Self {
        let clock = Clock::new(rate_hz);
        let stretch_s = clock.stretch as f64 / rate_hz;
        Self {
            weightings: Weightings::new(rate_hz),
            stretch: WeightedSquares::default(),
            total: WeightedSquares::default(),
            fast_uptake: uptake(stretch_s, FAST_S),
            slow_uptake: uptake(stretch_s, SLOW_S),
            fast: 0.0,
            slow: 0.0,
            fast_most: 0.0,
            slow_most: 0.0,
            steps: Vec::new(),
            sampled: Vec::new(),
            clock,
        }
    }

    fn push(&mut self, mut samples: &[f64]) {
        while let Some((piece, rest)) = samples.split_at_checked(self.clock.take(samples.len())) {
            if piece.is_empty() {
                break;
            }
            samples = rest;
            let squares = self.weightings.squares(piece);
            self.stretch.a += squares.a;
            self.stretch.c += squares.c;
            if self.clock.count(piece.len()) {
                self.end_stretch();
            }
        }
    }

    fn end_stretch(&mut self) {
        let mean = self.stretch.a / self.clock.stretch as f64;
        self.fast += self.fast_uptake * (mean - self.fast);
        self.slow += self.slow_uptake * (mean - self.slow);
        self.fast_most = self.fast_most.max(self.fast);
        self.slow_most = self.slow_most.max(self.slow);
        self.total.a += self.stretch.a;
        self.total.c += self.stretch.c;
        self.stretch = WeightedSquares::default();
        if self.clock.ends_step() {
            self.steps.push(self.fast as f32);
        }
        if self.clock.takes_sample() {
            self.sampled.push(self.fast as f32);
        }
    }

    fn read_out(&mut self) -> Readout {
        let count = self.clock.passed.max(1) as f64;
        Readout {
            bands: Vec::new(),
            a_mean: (self.total.a + self.stretch.a) / count,
            c_mean: (self.total.c + self.stretch.c) / count,
            a_fast_most: self.fast_most,
            a_slow_most: self.slow_most,
            fast_a: std::mem::take(&mut self.steps),
            sampled_a: std::mem::take(&mut self.sampled),
        }
    }
}

/// The bands of one octave.
struct OctaveMeter {
    octave: Octave,
    half_band: HalfBand,
    clock: Clock,
    uptake: f64,
    groups: Vec<GroupSums>,
    step_from: u64,
}

/// Sums of one group of lanes.
#[derive(Default)]
struct GroupSums {
    stretch: [f64; LANES],
    step: [f64; LANES],
    total: [f64; LANES],
    fast: [f64; LANES],
    fast_most: [f64; LANES],
    steps: [Vec<f32>; LANES],
    fast_samples: [Vec<f32>; LANES],
}

impl OctaveMeter {
    fn new(octave: Octave) -> Self {
        let clock = Clock::new(octave.rate_hz);
        Self {
            half_band: HalfBand::new(),
            uptake: uptake(clock.stretch as f64 / octave.rate_hz, FAST_S),
            groups: octave.groups.iter().map(|_| GroupSums::default()).collect(),
            step_from: 0,
            clock,
            octave,
        }
    }

    fn push(&mut self, mut samples: &[f64]) {
        if self.groups.is_empty() {
            return;
        }
        while let Some((piece, rest)) = samples.split_at_checked(self.clock.take(samples.len())) {
            if piece.is_empty() {
                break;
            }
            samples = rest;
            for (group, sums) in self.octave.groups.iter_mut().zip(&mut self.groups) {
                let squares = group.squares(piece);
                for (sum, square) in sums.stretch.iter_mut().zip(squares) {
                    *sum += square;
                }
            }
            if self.clock.count(piece.len()) {
                self.end_stretch();
            }
        }
    }

    fn end_stretch(&mut self) {
        let per_sample = 1.0 / self.clock.stretch as f64;
        for sums in &mut self.groups {
            for lane in 0..LANES {
                let stretch = sums.stretch[lane];
                let fast = sums.fast[lane] + self.uptake * (stretch * per_sample - sums.fast[lane]);
                sums.fast[lane] = fast;
                sums.fast_most[lane] = sums.fast_most[lane].max(fast);
                sums.step[lane] += stretch;
            }
            sums.stretch = [0.0; LANES];
        }
        if self.clock.ends_step() {
            let count = (self.clock.passed - self.step_from).max(1) as f64;
            self.step_from = self.clock.passed;
            for sums in &mut self.groups {
                for lane in 0..LANES {
                    sums.steps[lane].push((sums.step[lane] / count) as f32);
                    sums.total[lane] += sums.step[lane];
                }
                sums.step = [0.0; LANES];
            }
        }
        if self.clock.takes_sample() {
            for sums in &mut self.groups {
                for lane in 0..LANES {
                    sums.fast_samples[lane].push(sums.fast[lane] as f32);
                }
            }
        }
    }

    fn read_out(&mut self, bands: &mut [BandReadout]) {
        let count = self.clock.passed.max(1) as f64;
        for (group, sums) in self.octave.groups.iter().zip(&mut self.groups) {
            for (lane, place) in group.places.iter().enumerate() {
                if let Some(band) = place.and_then(|place| bands.get_mut(place)) {
                    band.mean = (sums.total[lane] + sums.step[lane] + sums.stretch[lane]) / count;
                    band.fast_most = sums.fast_most[lane];
                    band.steps = std::mem::take(&mut sums.steps[lane]);
                    band.fast = std::mem::take(&mut sums.fast_samples[lane]);
                }
            }
        }
    }
}
