//! Rooms for tests to play into.

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
