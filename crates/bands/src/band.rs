//! The third-octave bands from 25 Hz to 10 kHz.

use serde::Serialize;

/// How many third-octave bands a [`Spectrum`](crate::Spectrum) holds: 25 Hz to 10 kHz.
pub const BAND_COUNT: usize = 27;

const NOMINAL: [&str; BAND_COUNT] = [
    "25", "31.5", "40", "50", "63", "80", "100", "125", "160", "200", "250", "315", "400", "500", "630",
    "800", "1000", "1250", "1600", "2000", "2500", "3150", "4000", "5000", "6300", "8000", "10000",
];

/// Exact mid-band frequencies `1000 · 10^(n/10)` Hz, n = −16 to 10, to the last bit of a double: looked up thousands of
/// times in one plan.
const CENTRE_HZ: [f64; BAND_COUNT] = [
    25.118864315095802,
    31.622776601683793,
    39.81071705534973,
    50.11872336272723,
    63.09573444801932,
    79.43282347242815,
    100.0,
    125.89254117941672,
    158.48931924611134,
    199.52623149688796,
    251.188643150958,
    316.22776601683796,
    398.10717055349727,
    501.1872336272723,
    630.9573444801932,
    794.3282347242815,
    1000.0,
    1258.9254117941673,
    1584.8931924611136,
    1995.2623149688795,
    2511.8864315095802,
    3162.2776601683795,
    3981.0717055349724,
    5011.872336272723,
    6309.573444801932,
    7943.282347242815,
    10000.0,
];
/// Half a third octave, `10^0.05`.
const HALF_BAND: f64 = 1.1220184543019633;

/// One third-octave band, 25 Hz to 10 kHz.
///
/// Mid-band frequencies are the exact base-10 ones, `f_m = 1000 · 10^(n/10)` (IEC 61260-1:2014, 5.2 to 5.4,
/// with G = 10^(3/10)); the nominal ones are labels (IEC 61260-1:2014 Annex E).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Band(u8);

impl Band {
    /// All bands, lowest first.
    pub fn all() -> impl DoubleEndedIterator<Item = Self> + ExactSizeIterator + Clone {
        (0..BAND_COUNT as u8).map(Self)
    }

    /// Bands from one nominal frequency to another, both included; empty where either is no band.
    pub fn range(from_nominal_hz: f64, to_nominal_hz: f64) -> impl Iterator<Item = Self> + Clone {
        let ends = Self::from_nominal_hz(from_nominal_hz).zip(Self::from_nominal_hz(to_nominal_hz));
        let (from, end) = ends.map_or((0, 0), |(a, b)| (a.0, b.0 + 1));
        (from..end).map(Self)
    }

    /// The band at a place in a spectrum, 0 for 25 Hz to 26 for 10 kHz.
    pub fn at(index: usize) -> Option<Self> {
        (index < BAND_COUNT).then_some(Self(index as u8))
    }

    /// The band of a nominal frequency, or of any frequency within half a per cent of a nominal or exact one.
    pub fn from_nominal_hz(frequency_hz: f64) -> Option<Self> {
        Self::all().find(|band| {
            let near = |reference: f64| (frequency_hz / reference - 1.0).abs() < 0.005;
            near(band.nominal_hz()) || near(band.centre_hz())
        })
    }

    /// The band whose edges enclose a frequency, or none outside 22.4 Hz to 11.2 kHz.
    pub fn containing_hz(frequency_hz: f64) -> Option<Self> {
        Self::all().find(|band| band.lower_edge_hz() <= frequency_hz && frequency_hz < band.upper_edge_hz())
    }

    /// Place in a spectrum, 0 for 25 Hz to 26 for 10 kHz.
    pub fn index(self) -> usize {
        usize::from(self.0)
    }

    /// Nominal frequency as a label, such as `31.5` or `1000`.
    pub fn nominal(self) -> &'static str {
        NOMINAL[self.index()]
    }

    /// Nominal frequency in hertz, for display and for standards that compute with it.
    pub fn nominal_hz(self) -> f64 {
        const HZ: [f64; BAND_COUNT] = [
            25.0, 31.5, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0, 500.0,
            630.0, 800.0, 1000.0, 1250.0, 1600.0, 2000.0, 2500.0, 3150.0, 4000.0, 5000.0, 6300.0, 8000.0,
            10000.0,
        ];
        HZ[self.index()]
    }

    /// Exact mid-band frequency in hertz.
    pub fn centre_hz(self) -> f64 {
        CENTRE_HZ[self.index()]
    }

    /// Lower band-edge frequency in hertz.
    pub fn lower_edge_hz(self) -> f64 {
        self.centre_hz() / HALF_BAND
    }

    /// Upper band-edge frequency in hertz.
    pub fn upper_edge_hz(self) -> f64 {
        self.centre_hz() * HALF_BAND
    }
}

impl Serialize for Band {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.nominal())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn centres_are_the_powers_of_ten_they_stand_for() {
        for band in Band::all() {
            let exact = 1000.0 * quantities::math::powf(10.0, (f64::from(band.0) - 16.0) / 10.0);
            assert!((band.centre_hz() / exact - 1.0).abs() < 1e-14, "{}", band.nominal());
        }
        assert!((HALF_BAND / quantities::math::powf(10.0, 0.05) - 1.0).abs() < 1e-15);
    }

    #[test]
    fn centres_lie_near_their_labels() {
        for band in Band::all() {
            assert!((band.centre_hz() / band.nominal_hz() - 1.0).abs() < 0.012, "{}", band.nominal());
            assert_eq!(Band::from_nominal_hz(band.nominal_hz()), Some(band));
            assert_eq!(Band::containing_hz(band.centre_hz()), Some(band));
            assert_eq!(band.nominal().parse::<f64>().ok(), Some(band.nominal_hz()));
        }
        assert_eq!(Band::from_nominal_hz(1000.0).map(Band::centre_hz), Some(1000.0));
        assert_eq!(Band::range(100.0, 3150.0).count(), 16);
        assert_eq!(Band::from_nominal_hz(110.0), None);
        assert_eq!(Band::at(BAND_COUNT - 1).map(Band::nominal_hz), Some(10_000.0));
        assert_eq!(Band::at(BAND_COUNT), None);
    }
}
