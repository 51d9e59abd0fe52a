//! A fixed sample of independent standard normal numbers: a Latin hypercube (McKay, Beckman & Conover,
//! Technometrics 21, 1979), the same on every machine.

use quantities::math;

/// Half the sample: a prime.
const HALF: usize = 509;
/// How many points the sample has: every point is there with its mirror image, so that what is symmetrical stays so.
pub(crate) const SAMPLE_SIZE: usize = 2 * HALF;

/// Step from one coordinate to the next: of all steps the one whose worst correlation of two coordinates among ninety
/// is smallest, 0.12 (`oracles/latin_hypercube_step.py` tries them all).
const STEP: usize = 266;

/// The normal numbers of one coordinate, one for each point of the sample.
///
/// Point i of the first half lies in the stratum `(i + j h)^-1 mod N` of coordinate j, an explicit inversive sequence
/// (Niederreiter, *Random Number Generation and Quasi-Monte Carlo Methods*, 1992, chapter 8), a quarter of its
/// width from the lower end; the second half is the first with all signs turned. Every coordinate so takes each of the
/// levels `(k + ½)/1018` once, and the quantiles of any one input are exact.
pub(crate) fn normal_coordinate(coordinate: usize) -> Vec<f64> {
    let start = coordinate % HALF * STEP;
    let mut numbers: Vec<f64> =
        (0..HALF).map(|point| inverse_normal((inverse(point + start) as f64 + 0.25) / HALF as f64)).collect();
    let mirrored: Vec<f64> = numbers.iter().map(|number| -number).collect();
    numbers.extend(mirrored);
    numbers
}

/// The normal numbers of a sample of this size, in rising order: `Φ⁻¹((k + ½)/1018)`.
pub(crate) fn normal_levels() -> Vec<f64> {
    (0..SAMPLE_SIZE).map(|level| inverse_normal((level as f64 + 0.5) / SAMPLE_SIZE as f64)).collect()
}

/// The number that gives 1 when multiplied by this one modulo the prime, 0 for 0 (Fermat: a^(N−2)).
fn inverse(number: usize) -> usize {
    let mut base = number % HALF;
    let mut left = HALF - 2;
    let mut product = 1;
    while left > 0 {
        if left & 1 == 1 {
            product = product * base % HALF;
        }
        base = base * base % HALF;
        left >>= 1;
    }
    product
}

/// Value below which a standard normal number lies with a probability, which must lie inside 0 to 1.
///
/// Wichura, Algorithm AS 241 (PPND16), Applied Statistics 37 (1988): about 16 digits.
pub(crate) fn inverse_normal(probability: f64) -> f64 {
    let from_middle = probability - 0.5;
    if from_middle.abs() <= 0.425 {
        let r = 0.180625 - from_middle * from_middle;
        return from_middle * horner(&CENTRE.0, r) / horner(&CENTRE.1, r);
    }
    let tail = if from_middle < 0.0 { probability } else { 1.0 - probability };
    let r = (-math::ln(tail)).sqrt();
    let size = if r <= 5.0 {
        horner(&MIDDLE.0, r - 1.6) / horner(&MIDDLE.1, r - 1.6)
    } else {
        horner(&FAR.0, r - 5.0) / horner(&FAR.1, r - 5.0)
    };
    if from_middle < 0.0 { -size } else { size }
}

fn horner(coefficients: &[f64; 8], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

const CENTRE: ([f64; 8], [f64; 8]) = (
    [
        3.387_132_872_796_366_5,
        1.331_416_678_917_843_8e2,
        1.971_590_950_306_551_3e3,
        1.373_169_376_550_946e4,
        4.592_195_393_154_987e4,
        6.726_577_092_700_87e4,
        3.343_057_558_358_813e4,
        2.509_080_928_730_122_7e3,
    ],
    [
        1.0,
        4.231_333_070_160_091e1,
        6.871_870_074_920_579e2,
        5.394_196_021_424_751e3,
        2.121_379_430_158_659_7e4,
        3.930_789_580_009_271e4,
        2.872_908_573_572_194_3e4,
        5.226_495_278_852_854e3,
    ],
);
const MIDDLE: ([f64; 8], [f64; 8]) = (
    [
        1.423_437_110_749_683_5,
        4.630_337_846_156_546,
        5.769_497_221_460_691,
        3.647_848_324_763_204_5,
        1.270_458_252_452_368_4,
        2.417_807_251_774_506e-1,
        2.272_384_498_926_918_4e-2,
        7.745_450_142_783_414e-4,
    ],
    [
        1.0,
        2.053_191_626_637_759,
        1.676_384_830_183_803_8,
        6.897_673_349_851e-1,
        1.481_039_764_274_800_8e-1,
        1.519_866_656_361_645_7e-2,
        5.475_938_084_995_345e-4,
        1.050_750_071_644_416_9e-9,
    ],
);
const FAR: ([f64; 8], [f64; 8]) = (
    [
        6.657_904_643_501_103,
        5.463_784_911_164_114,
        1.784_826_539_917_291_3,
        2.965_605_718_285_048_7e-1,
        2.653_218_952_657_612_4e-2,
        1.242_660_947_388_078_4e-3,
        2.711_555_568_743_487_6e-5,
        2.010_334_399_292_288_1e-7,
    ],
    [
        1.0,
        5.998_322_065_558_88e-1,
        1.369_298_809_227_358e-1,
        1.487_536_129_085_061_5e-2,
        7.868_691_311_456_133e-4,
        1.846_318_317_510_054_7e-5,
        1.421_511_758_316_446e-7,
        2.044_263_103_389_939_8e-15,
    ],
);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inverse_normal_undoes_the_normal_distribution() {
        for (probability, value) in
            [(0.5, 0.0), (0.9, 1.2815515655446004), (0.975, 1.959963984540054), (0.001, -3.090232306167813)]
        {
            assert!((inverse_normal(probability) - value).abs() < 1e-13, "{probability}");
        }
        let through = 0.5 * (1.0 + math::erf(inverse_normal(1e-9).abs() / 2.0_f64.sqrt()));
        assert!((through - (1.0 - 1e-9)).abs() < 1e-15);
    }

    #[test]
    fn coordinates_are_centred_of_unit_spread_and_uncorrelated() {
        let coordinates: Vec<_> = (0..90).map(normal_coordinate).collect();
        let n = SAMPLE_SIZE as f64;
        assert!(coordinates.iter().all(|numbers| numbers.len() == SAMPLE_SIZE));
        for (at, a) in coordinates.iter().enumerate() {
            assert!((a.iter().sum::<f64>() / n).abs() < 1e-12);
            assert!((a.iter().map(|x| x * x).sum::<f64>() / n - 1.0).abs() < 0.01);
            for b in coordinates.iter().skip(at + 1) {
                let correlation: f64 = a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>() / n;
                assert!(correlation.abs() < 0.12, "{correlation}");
            }
        }
    }
}
