//! Rooms for the tests: made ones with known corners, and tapes read in them.
#![allow(dead_code, reason = "each test file uses its share")]
#![allow(unreachable_pub, reason = "a module of test files")]

use geometry::Point;
use survey::{Height, Input, Sense, Tape};

/// A room of one-letter corners without readings.
pub fn input(corners: &str) -> Input {
    Input {
        corners: corners.chars().map(String::from).collect(),
        sense: Sense::Anticlockwise,
        tapes: Vec::new(),
        ties: Vec::new(),
        tape_sd_mm: 1.5,
        tape_sd_mm_per_m: 0.3,
        bows: Vec::new(),
        joists: Vec::new(),
        laser_above_floor_mm: 1200.0,
    }
}

/// A ceiling tape.
pub fn tape(from: usize, to: usize, reading_mm: f64) -> Tape {
    Tape { from, to, reading_mm, height: Height::Ceiling, sd_mm: None }
}

/// All lines between corners: walls first, then diagonals.
pub fn all_lines(corners: usize) -> Vec<(usize, usize)> {
    let mut lines: Vec<(usize, usize)> = (0..corners).map(|at| (at, (at + 1) % corners)).collect();
    for from in 0..corners {
        for to in from + 2..corners {
            if !(from == 0 && to + 1 == corners) {
                lines.push((from, to));
            }
        }
    }
    lines
}

/// A small repeatable source of numbers (splitmix64), so that no test depends on a library's stream.
pub struct Numbers(pub u64);

impl Numbers {
    /// The next number from 0 up to 1.
    pub fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// The next standard normal number (sum of twelve, to 6 standard deviations).
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }
}

/// Rooms of many kinds: convex, L, T, with a chimney breast, turned and not square.
pub fn room(kind: usize, numbers: &mut Numbers) -> Vec<Point> {
    let plan: &[(f64, f64)] = match kind % 6 {
        0 => &[(0.0, 0.0), (4800.0, 0.0), (4830.0, 3610.0), (-20.0, 3570.0)],
        1 => &[(0.0, 0.0), (5235.0, 0.0), (5270.0, 3868.0), (1040.0, 3930.0), (30.0, 2990.0)],
        2 => {
            &[(0.0, 0.0), (6000.0, 0.0), (6000.0, 2500.0), (3100.0, 2500.0), (3100.0, 5200.0), (0.0, 5200.0)]
        }
        3 => &[
            (0.0, 0.0),
            (5000.0, 0.0),
            (5000.0, 4000.0),
            (3300.0, 4000.0),
            (3300.0, 3600.0),
            (1800.0, 3600.0),
            (1800.0, 4000.0),
            (0.0, 4000.0),
        ],
        4 => &[
            (0.0, 0.0),
            (3400.0, -150.0),
            (4900.0, 1800.0),
            (4200.0, 4300.0),
            (1500.0, 4600.0),
            (-300.0, 2500.0),
        ],
        _ => &[
            (0.0, 0.0),
            (7000.0, 0.0),
            (7000.0, 2000.0),
            (4600.0, 2000.0),
            (4600.0, 5000.0),
            (2500.0, 5000.0),
            (2500.0, 2000.0),
            (0.0, 2000.0),
        ],
    };
    plan.iter().map(|&(x, y)| Point::new(x + 40.0 * numbers.normal(), y + 40.0 * numbers.normal())).collect()
}

/// The lines of a room read with a tape of the survey's standard deviation.
pub fn measured(truth: &[Point], lines: &[(usize, usize)], numbers: &mut Numbers) -> Input {
    let names: String = ('A'..).take(truth.len()).collect();
    let mut input = input(&names);
    for &(from, to) in lines {
        let length = truth[from].distance_mm(truth[to]);
        let sd = input.tape_sd_mm + input.tape_sd_mm_per_m * length / 1000.0;
        input.tapes.push(tape(from, to, length + sd * numbers.normal()));
    }
    input
}
