//! Axes: third-octave bands side by side, and round steps for plain numbers.

use quantities::{format, math};

/// Bands laid side by side at equal width: on them a logarithmic frequency axis is even.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BandAxis {
    /// Left edge of the first band, mm.
    pub left_mm: f64,
    /// Right edge of the last band, mm.
    pub right_mm: f64,
    /// Number of bands.
    pub count: usize,
}

impl BandAxis {
    /// Width of one band, mm.
    pub fn band_mm(&self) -> f64 {
        (self.right_mm - self.left_mm) / self.count.max(1) as f64
    }

    /// Middle of band `index` (from 0), mm.
    pub fn middle_mm(&self, index: usize) -> f64 {
        self.left_mm + (index as f64 + 0.5) * self.band_mm()
    }

    /// Left edge of band `index`, mm; of `count` the right edge of the last.
    pub fn edge_mm(&self, index: usize) -> f64 {
        self.left_mm + index as f64 * self.band_mm()
    }
}

/// How a nominal band is written under an axis: `31.5`, `250`, `1k`, `1.25k`.
pub fn band_words(nominal_hz: f64) -> String {
    let short = |value: f64| {
        let text = format::number(value, 2);
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    if !nominal_hz.is_finite() {
        "–".to_owned()
    } else if nominal_hz >= 1000.0 {
        format!("{}k", short(nominal_hz / 1000.0))
    } else {
        short(nominal_hz)
    }
}

/// Whether a nominal frequency is the middle of an octave band (16, 31.5, 63, … 16 000 Hz).
pub fn is_octave_middle(nominal_hz: f64) -> bool {
    [16.0, 31.5, 63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0, 16_000.0]
        .iter()
        .any(|octave| (nominal_hz / octave - 1.0).abs() < 0.01)
}

/// A linear scale of figures with round steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LinearAxis {
    /// Value at the beginning.
    pub low: f64,
    /// Value at the end, above `low`.
    pub high: f64,
    /// Distance between figures.
    pub step: f64,
    /// Place of `low`, mm.
    pub low_mm: f64,
    /// Place of `high`, mm.
    pub high_mm: f64,
}

impl LinearAxis {
    /// An axis from `low` to `high`, widened to round figures, with about `wished_steps` steps.
    pub fn round(low: f64, high: f64, wished_steps: f64, (low_mm, high_mm): (f64, f64)) -> Self {
        let low = if low.is_finite() { low } else { 0.0 };
        let high = if high.is_finite() && high > low { high } else { low + 1.0 };
        let step = round_step((high - low) / wished_steps.max(1.0));
        Self {
            low: (low / step + 1e-9).floor() * step,
            high: (high / step - 1e-9).ceil() * step,
            step,
            low_mm,
            high_mm,
        }
    }

    /// An axis with limits and step as given; `None` unless `high` is above `low` and the step positive and not
    /// finer than a thousandth of the range.
    pub fn exact(low: f64, high: f64, step: f64, (low_mm, high_mm): (f64, f64)) -> Option<Self> {
        let sound = low.is_finite() && high.is_finite() && step.is_finite();
        (sound && high > low && step * 1000.0 >= high - low).then_some(Self {
            low,
            high,
            step,
            low_mm,
            high_mm,
        })
    }

    /// Where a value lies, mm.
    pub fn place_mm(&self, value: f64) -> f64 {
        self.low_mm + (value - self.low) / (self.high - self.low) * (self.high_mm - self.low_mm)
    }

    /// The values that get figures.
    pub fn figures(&self) -> Vec<f64> {
        let first = (self.low / self.step - 1e-9).ceil();
        let last = (self.high / self.step + 1e-9).floor();
        let count = (last - first).clamp(0.0, 2000.0) as u32;
        (0..=count).map(|index| (first + f64::from(index)) * self.step).collect()
    }

    /// A value as the axis writes it, with as many decimals as the step needs.
    pub fn words(&self, value: f64) -> String {
        let decimals = (0..6).find(|&decimals| {
            let scaled = self.step * math::powi(10.0, decimals);
            (scaled - scaled.round()).abs() < 1e-6 * scaled.abs()
        });
        format::number(value, decimals.unwrap_or(0).unsigned_abs() as usize)
    }
}

/// The least of 1, 2, 5 times a power of ten that is not under a step.
fn round_step(step: f64) -> f64 {
    let wished = step.max(1e-12);
    let power = math::powf(10.0, math::log10(wished).floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|times| times * power)
        .find(|round| *round >= wished * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bands_are_written_as_the_trade_says_them() {
        assert_eq!(
            [31.5, 50.0, 1000.0, 1250.0, 16_000.0].map(band_words),
            ["31.5", "50", "1k", "1.25k", "16k"]
        );
    }

    #[test]
    fn steps_are_round_and_hold_the_data() {
        let axis = LinearAxis::round(12.0, 58.0, 5.0, (0.0, 100.0));
        assert_eq!((axis.low, axis.high, axis.step), (10.0, 60.0, 10.0));
        assert_eq!(axis.figures().len(), 6);
        assert_eq!(axis.words(20.0), "20");
        assert_eq!(LinearAxis::round(0.0, 0.9, 4.0, (0.0, 1.0)).words(0.5), "0.5");
    }

    #[test]
    fn no_data_gives_an_axis_all_the_same() {
        let axis = LinearAxis::round(f64::INFINITY, f64::NEG_INFINITY, 5.0, (0.0, 10.0));
        assert!(axis.high > axis.low && axis.place_mm(axis.low).is_finite());
    }
}
