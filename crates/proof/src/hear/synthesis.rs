//! Sounds made by the program: strokes of a drum kit, and a phrase that sounds like speech and says nothing.

use quantities::math;

use super::{Sound, noise::Noise};

/// Rate of everything that is made here, Hz.
pub const RATE_HZ: u32 = 48_000;
const RATE: f64 = 48_000.0;
/// Length of one bar of the kit, s.
const BAR_S: f64 = 2.0;

/// A snare drum, struck once: two modes of its skins and the rattle of the wires.
pub fn snare() -> Sound {
    let mut noise = Noise::new(11);
    let mut last = 0.0;
    stroke(0.45, |t| {
        let white = noise.normal();
        let bright = white - last;
        last = white;
        let skins = math::sin(math::TAU * 185.0 * t) + 0.7 * math::sin(math::TAU * 331.0 * t);
        0.6 * skins * math::exp(-t / 0.045) + 0.35 * bright * math::exp(-t / 0.085)
    })
}

/// A bass drum, struck once: its note falls, and the beater clicks.
pub fn kick() -> Sound {
    let mut phase = 0.0;
    let mut noise = Noise::new(12);
    stroke(0.6, |t| {
        phase += math::TAU * (47.0 + 70.0 * math::exp(-t / 0.03)) / RATE;
        math::sin(phase) * math::exp(-t / 0.16) + 0.15 * noise.normal() * math::exp(-t / 0.004)
    })
}

/// A cymbal, struck once: many notes out of tune with each other, the high ones gone first.
pub fn cymbal() -> Sound {
    let mut source = Noise::new(13);
    let partials: Vec<(f64, f64, f64)> = (0..70)
        .map(|_| {
            let hz = 320.0 * math::exp(source.even() * math::ln(14_000.0 / 320.0));
            (hz, math::TAU * source.even(), math::powf(hz / 4000.0, 0.3).min(1.6))
        })
        .collect();
    stroke(2.0, |t| {
        let attack = 1.0 - math::exp(-t / 0.006);
        let sum: f64 = partials
            .iter()
            .map(|(hz, phase, weight)| {
                weight * math::sin(math::TAU * hz * t + phase) * math::exp(-t * (1.2 + hz / 4000.0))
            })
            .sum();
        attack * sum / 12.0
    })
}

/// Two bars on the kit: bass and snare drum in turn, a cymbal on the first stroke.
pub fn kit() -> Sound {
    let (kick, snare, cymbal) = (kick(), snare(), cymbal());
    let mut samples = vec![0.0_f32; (2.0 * BAR_S * RATE) as usize];
    let mut put = |sound: &Sound, at_s: f64, gain: f32| {
        let start = (at_s * RATE) as usize;
        for (slot, value) in samples.iter_mut().skip(start).zip(&sound.samples) {
            *slot += gain * value;
        }
    };
    for bar in [0.0, BAR_S] {
        for (beat, gain) in [(0.0, 1.0), (0.75, 0.7), (1.0, 0.9)] {
            put(&kick, bar + beat, gain);
        }
        for (beat, gain) in [(0.5, 0.9), (1.5, 1.0), (1.75, 0.35)] {
            put(&snare, bar + beat, gain);
        }
    }
    put(&cymbal, 0.0, 0.6);
    at_peak(samples)
}

/// One sound of the phrase: seconds, three resonances in Hz, how much voice, how much breath.
type Piece = (f64, [f64; 3], f64, f64);

/// Vowels and consonants in turn; no language has these words.
const PHRASE: [Piece; 19] = [
    (0.07, [300.0, 1000.0, 2300.0], 0.3, 0.0),
    (0.16, [700.0, 1150.0, 2500.0], 1.0, 0.0),
    (0.08, [400.0, 1900.0, 4200.0], 0.0, 0.5),
    (0.15, [300.0, 2200.0, 2900.0], 0.9, 0.0),
    (0.06, [350.0, 1300.0, 2400.0], 0.4, 0.0),
    (0.18, [450.0, 800.0, 2500.0], 1.0, 0.0),
    (0.10, [500.0, 1500.0, 2500.0], 0.0, 0.0),
    (0.05, [400.0, 1600.0, 3200.0], 0.0, 0.7),
    (0.14, [550.0, 1750.0, 2500.0], 1.0, 0.0),
    (0.08, [300.0, 1100.0, 2300.0], 0.4, 0.0),
    (0.20, [320.0, 750.0, 2300.0], 0.9, 0.0),
    (0.22, [500.0, 1500.0, 2500.0], 0.0, 0.0),
    (0.10, [400.0, 2500.0, 5200.0], 0.0, 0.6),
    (0.16, [650.0, 1200.0, 2450.0], 1.0, 0.0),
    (0.07, [300.0, 1400.0, 2400.0], 0.4, 0.0),
    (0.14, [400.0, 2000.0, 2700.0], 0.9, 0.0),
    (0.06, [350.0, 1500.0, 3000.0], 0.1, 0.3),
    (0.24, [520.0, 900.0, 2450.0], 0.8, 0.0),
    (0.30, [500.0, 1500.0, 2500.0], 0.0, 0.0),
];
/// Widths of the three resonances, Hz.
const WIDTHS_HZ: [f64; 3] = [80.0, 110.0, 170.0];

/// A phrase that sounds like speech and says nothing: pulses and breath through three resonances that move.
pub fn phrase() -> Sound {
    let total_s: f64 = PHRASE.iter().map(|piece| piece.0).sum();
    let mut source = Noise::new(14);
    let mut resonators = [Resonator::default(); 3];
    let mut formants = PHRASE[0].1;
    let (mut voice, mut breath, mut turn) = (0.0, 0.0, 0.0);
    let mut samples = Vec::with_capacity((total_s * RATE) as usize);
    for (seconds, targets, voiced, breathy) in PHRASE {
        for _ in 0..(seconds * RATE) as usize {
            // Tongue and breath move within some 25 ms.
            let glide = 1.0 / (0.025 * RATE);
            for (now, target) in formants.iter_mut().zip(targets) {
                *now += (target - *now) * glide;
            }
            voice += (voiced - voice) * glide;
            breath += (breathy - breath) * 2.0 * glide;
            let spoken = samples.len() as f64 / (total_s * RATE);
            let pitch_hz = 128.0 - 34.0 * spoken + 7.0 * math::sin(math::TAU * 2.7 * spoken * total_s);
            turn += pitch_hz / RATE;
            turn -= turn.floor();
            // A pulse that opens slowly and shuts at once.
            let pulse = if turn < 0.6 { turn * turn * (0.6 - turn) * 12.0 } else { 0.0 };
            let driven =
                voice * (pulse - 0.2) + breath * 0.25 * source.normal() + voice * 0.01 * source.normal();
            let mut sum = 0.0;
            for ((resonator, hz), (width, weight)) in
                resonators.iter_mut().zip(formants).zip(WIDTHS_HZ.into_iter().zip([1.0, 0.55, 0.3]))
            {
                sum += weight * resonator.step(driven, hz, width);
            }
            samples.push(sum as f32);
        }
    }
    at_peak(samples)
}

/// A sound over and over, for as long as levels need to be read from it: at least `seconds`.
pub fn repeated(sound: &Sound, seconds: f64) -> Sound {
    let wanted = seconds * f64::from(sound.rate_hz.max(1));
    let times = (wanted / sound.samples.len().max(1) as f64).ceil().clamp(1.0, 1000.0) as usize;
    Sound { samples: sound.samples.repeat(times), rate_hz: sound.rate_hz }
}

/// Steady noise, as strong at every frequency.
pub fn steady(seconds: f64) -> Sound {
    let mut source = Noise::new(15);
    at_peak((0..(seconds * RATE) as usize).map(|_| source.normal() as f32).collect())
}

/// A resonance of second order.
#[derive(Clone, Copy, Default)]
struct Resonator {
    once: f64,
    twice: f64,
}

impl Resonator {
    fn step(&mut self, driven: f64, hz: f64, width_hz: f64) -> f64 {
        let radius = math::exp(-math::PI * width_hz / RATE);
        let turn = 2.0 * radius * math::cos(math::TAU * hz / RATE);
        let value = (1.0 - radius) * driven + turn * self.once - radius * radius * self.twice;
        self.twice = self.once;
        self.once = value;
        value
    }
}

fn stroke(seconds: f64, mut value: impl FnMut(f64) -> f64) -> Sound {
    let count = (seconds * RATE) as usize;
    at_peak(
        (0..count)
            .map(|at| {
                let left = (count - at) as f64 / (0.02 * RATE);
                (value(at as f64 / RATE) * left.min(1.0)) as f32
            })
            .collect(),
    )
}

/// At a peak of 0.9.
fn at_peak(mut samples: Vec<f32>) -> Sound {
    let peak = samples.iter().fold(1e-9_f32, |peak, value| peak.max(value.abs()));
    for value in &mut samples {
        *value *= 0.9 / peak;
    }
    Sound { samples, rate_hz: RATE_HZ }
}

#[cfg(test)]
mod tests {
    use bands::Band;

    use super::*;
    use crate::hear::Pressure;

    fn loudest_hz(sound: &Sound) -> f64 {
        let levels = Pressure::at_level(sound, 90.0).unwrap().levels();
        let most = levels.measured().max_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
        Band::nominal_hz(most.0)
    }

    #[test]
    fn each_stroke_has_its_colour() {
        assert!((40.0..=80.0).contains(&loudest_hz(&kick())));
        assert!((125.0..=8000.0).contains(&loudest_hz(&snare())));
        assert!(loudest_hz(&cymbal()) > 1000.0);
        for sound in [kick(), snare(), cymbal(), kit(), phrase()] {
            assert!(sound.samples.iter().all(|value| value.is_finite() && value.abs() <= 0.91));
        }
        assert_eq!(kit(), kit());
    }

    /// Speech has most of its level from 200 to 700 Hz and falls by 6 to 12 dB an octave above (common knowledge, no source).
    #[test]
    fn the_phrase_has_the_colour_of_a_voice() {
        let levels = Pressure::at_level(&phrase(), 60.0).unwrap().levels();
        let around = |from, to| {
            let band: Vec<f64> = Band::range(from, to).filter_map(|band| levels.get(band)).collect();
            bands::energy_sum_db(band)
        };
        assert!(
            around(200.0, 800.0) > around(1000.0, 4000.0) && around(1000.0, 4000.0) > around(5000.0, 10000.0)
        );
    }
}
