//! A Fourier transform of real sounds and which of its bins belong to which band.

use std::{ops::Range, sync::Arc};

use bands::{Band, Spectrum};
use num_complex::Complex;
use quantities::math;
use realfft::{ComplexToReal, RealFftPlanner, RealToComplex};

/// A transform of one size, a power of two.
pub(crate) struct Transform {
    size: usize,
    forward: Arc<dyn RealToComplex<f64>>,
    inverse: Arc<dyn ComplexToReal<f64>>,
}

impl Transform {
    /// Of at least so many samples.
    pub(crate) fn at_least(count: usize) -> Self {
        let size = count.max(64).next_power_of_two();
        let mut planner = RealFftPlanner::<f64>::new();
        Self { size, forward: planner.plan_fft_forward(size), inverse: planner.plan_fft_inverse(size) }
    }

    /// Samples it takes.
    pub(crate) fn size(&self) -> usize {
        self.size
    }

    /// Spectrum of a sound, filled up with silence.
    pub(crate) fn forward(&self, sound: &[f64]) -> Vec<Complex<f64>> {
        let mut input = self.forward.make_input_vec();
        for (slot, value) in input.iter_mut().zip(sound) {
            *slot = *value;
        }
        let mut output = self.forward.make_output_vec();
        // The lengths are those the plan itself asks for.
        let _ = self.forward.process(&mut input, &mut output);
        output
    }

    /// The sound of a spectrum.
    pub(crate) fn inverse(&self, mut spectrum: Vec<Complex<f64>>) -> Vec<f64> {
        spectrum.resize(self.size / 2 + 1, Complex::new(0.0, 0.0));
        for end in [0, self.size / 2] {
            if let Some(bin) = spectrum.get_mut(end) {
                bin.im = 0.0;
            }
        }
        let mut output = self.inverse.make_output_vec();
        let _ = self.inverse.process(&mut spectrum, &mut output);
        let share = 1.0 / self.size as f64;
        for value in &mut output {
            *value *= share;
        }
        output
    }
}

/// Which bins belong to which band.
pub(crate) struct Bins {
    step_hz: f64,
    count: usize,
}

impl Bins {
    /// Of a transform of so many samples at a rate.
    pub(crate) fn new(rate_hz: u32, size: usize) -> Self {
        Self { step_hz: f64::from(rate_hz) / size as f64, count: size / 2 + 1 }
    }

    /// How many there are.
    pub(crate) fn count(&self) -> usize {
        self.count
    }

    /// Bins from one frequency up to below another.
    pub(crate) fn between(&self, from_hz: f64, to_hz: f64) -> Range<usize> {
        let at = |hz: f64| ((hz / self.step_hz).ceil() as usize).min(self.count);
        at(from_hz)..at(to_hz)
    }

    /// Bins of a band; none where the rate does not reach it or no bin falls into it.
    pub(crate) fn of(&self, band: Band) -> Option<Range<usize>> {
        let range = self.between(band.lower_edge_hz(), band.upper_edge_hz());
        let reached = band.upper_edge_hz() <= self.step_hz * (self.count - 1) as f64;
        (reached && !range.is_empty()).then_some(range)
    }

    /// Takes 60 dB off a curve within a third of an octave above the highest band, so that nothing is left there.
    pub(crate) fn cut_above_the_bands(&self, curve_db: &mut [f64]) {
        let edge_hz = Band::all().last().map_or(f64::INFINITY, Band::upper_edge_hz);
        for (bin, gain) in curve_db.iter_mut().enumerate() {
            let above = 3.0 * math::log2((bin as f64 * self.step_hz / edge_hz).max(1.0));
            *gain -= 60.0 * above.min(1.0);
        }
    }

    /// A value for each bin from one for each band: straight over the logarithm of frequency between the centres, held beyond the ends.
    pub(crate) fn curve(&self, by_band: &Spectrum) -> Vec<f64> {
        let values = by_band.values_db();
        let first_hz = Band::at(0).map_or(25.0, Band::centre_hz);
        (0..self.count)
            .map(|bin| {
                let hz = (bin as f64 * self.step_hz).max(1.0);
                let place = (10.0 * math::log10(hz / first_hz)).clamp(0.0, (values.len() - 1) as f64);
                let below = place.floor() as usize;
                let part = place - below as f64;
                let low = values.get(below).copied().unwrap_or(0.0);
                let high = values.get(below + 1).copied().unwrap_or(low);
                low + (high - low) * part
            })
            .collect()
    }
}
