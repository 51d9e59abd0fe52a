//! Rooms for tests to play into.

use proof::noise::White;
use quantities::math;
use realfft::RealFftPlanner;

/// What is heard of a sound through a response, `length` samples of it.
pub(crate) fn played_into(sound: &[f64], response: &[f64], length: usize) -> Vec<f64> {
    let size = (sound.len().max(length) + response.len()).next_power_of_two();
    let mut planner = RealFftPlanner::<f64>::new();
    let (forward, inverse) = (planner.plan_fft_forward(size), planner.plan_fft_inverse(size));
    let lines = |samples: &[f64]| {
        let mut padded = samples.to_vec();
        padded.resize(size, 0.0);
        let mut lines = forward.make_output_vec();
        forward.process(&mut padded, &mut lines).unwrap();
        lines
    };
    let mut product: Vec<_> =
        lines(sound).iter().zip(&lines(response)).map(|(a, b)| a * b / size as f64).collect();
    let mut heard = inverse.make_output_vec();
    inverse.process(&mut product, &mut heard).unwrap();
    heard.truncate(length);
    heard
}

/// White noise that falls by 60 dB in `decay_s`, with unit energy.
#[allow(dead_code, reason = "not every test that plays into a room makes one")]
pub(crate) fn falling(decay_s: f64, rate_hz: f64, seed: u64) -> Vec<f64> {
    let count = (1.3 * decay_s * rate_hz) as u32;
    let mut response: Vec<f64> = White::new(seed)
        .take(count as usize)
        .zip(0..count)
        .map(|(x, n)| x * math::energy_of_db(-30.0 * f64::from(n) / rate_hz / decay_s))
        .collect();
    let energy: f64 = response.iter().map(|x| x * x).sum();
    for x in &mut response {
        *x /= energy.sqrt();
    }
    response
}
