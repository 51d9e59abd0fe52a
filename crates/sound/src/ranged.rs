//! Values with their uncertainty: median, 10th and 90th percentile.

use bands::{Band, Spectrum};
use quantities::format::round_to;
use serde::Serialize;

use crate::room_error::RoomError;

/// Distance of the 90th percentile of a normal distribution from its middle, in standard deviations.
pub const DEVIATIONS_TO_90TH: f64 = 1.281_551_565_544_600_4;

/// Levels and insulations accepted, dB: wider than anything real, so that only slips are turned away.
const ACCEPTED_DB: (f64, f64) = (-200.0, 250.0);

/// A spectrum with its uncertainty: the median and the 10th and 90th percentile of every band, dB.
///
/// Between the percentiles it is read as two half normal distributions joined at the median, so a range need
/// not be symmetrical.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[expect(clippy::struct_field_names, reason = "written out, each key carries its unit")]
pub struct RangedSpectrum {
    median_db: Spectrum,
    lower_db: Spectrum,
    upper_db: Spectrum,
}

impl RangedSpectrum {
    /// From the median and the 10th (`lower`) and 90th (`upper`) percentile, dB.
    ///
    /// `what` names the element or source in the sentence given when a value is no number, lies outside
    /// −200 to 250 dB, or when the range runs the wrong way round.
    pub fn new(what: &str, median: Spectrum, lower: Spectrum, upper: Spectrum) -> Result<Self, RoomError> {
        for band in Band::all() {
            for spectrum in [&median, &lower, &upper] {
                let quantity = format!("value at {} Hz", band.nominal());
                RoomError::in_range(what, &quantity, spectrum.get(band), "dB", ACCEPTED_DB)?;
            }
            if lower.get(band) > median.get(band) || median.get(band) > upper.get(band) {
                return Err(RoomError::RangeUpsideDown { what: what.to_owned(), band: band.nominal() });
            }
        }
        Ok(Self { median_db: median, lower_db: lower, upper_db: upper })
    }

    /// A spectrum taken as known exactly.
    pub fn exact(what: &str, value: Spectrum) -> Result<Self, RoomError> {
        Self::new(what, value, value, value)
    }

    /// A median with a standard deviation for each band, dB, 0 or more.
    pub fn with_deviation(what: &str, median: Spectrum, deviation: &Spectrum) -> Result<Self, RoomError> {
        let step = deviation.map(|_, db| db * DEVIATIONS_TO_90TH);
        Self::new(what, median, median.minus(&step), median.plus_correction(&step))
    }

    /// Percentiles already known to be in order.
    pub(crate) fn from_percentiles(lower_db: Spectrum, median_db: Spectrum, upper_db: Spectrum) -> Self {
        Self { median_db, lower_db, upper_db }
    }

    /// The median, dB.
    pub fn median_db(&self) -> &Spectrum {
        &self.median_db
    }

    /// The 10th percentile, dB.
    pub fn lower_db(&self) -> &Spectrum {
        &self.lower_db
    }

    /// The 90th percentile, dB.
    pub fn upper_db(&self) -> &Spectrum {
        &self.upper_db
    }

    /// The same range shifted by a correction, dB.
    #[must_use]
    pub fn shifted(&self, correction: &Spectrum) -> Self {
        Self {
            median_db: self.median_db.plus_correction(correction),
            lower_db: self.lower_db.plus_correction(correction),
            upper_db: self.upper_db.plus_correction(correction),
        }
    }

    /// Standard deviation of the lower and of the upper half in a band, dB.
    pub fn deviations_db(&self, band: Band) -> (f64, f64) {
        let median = self.median_db.get(band);
        (
            (median - self.lower_db.get(band)) / DEVIATIONS_TO_90TH,
            (self.upper_db.get(band) - median) / DEVIATIONS_TO_90TH,
        )
    }

    /// Whether no band has any spread.
    pub fn is_exact(&self) -> bool {
        self.median_db == self.lower_db && self.median_db == self.upper_db
    }
}

/// One value with its uncertainty: median, 10th and 90th percentile, dB.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RangedValue {
    /// Median, dB.
    pub median_db: f64,
    /// 10th percentile, dB.
    pub lower_db: f64,
    /// 90th percentile, dB.
    pub upper_db: f64,
}

impl Serialize for RangedValue {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        use serde::ser::SerializeStruct;
        let mut written = serializer.serialize_struct("RangedValue", 3)?;
        written.serialize_field("median_db", &round_to(self.median_db, 2))?;
        written.serialize_field("lower_db", &round_to(self.lower_db, 2))?;
        written.serialize_field("upper_db", &round_to(self.upper_db, 2))?;
        written.end()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_must_run_upwards_and_hold_numbers() {
        let flat = Spectrum::flat;
        assert!(RangedSpectrum::new("door", flat(30.0), flat(28.0), flat(33.0)).is_ok());
        let wrong = RangedSpectrum::new("door", flat(30.0), flat(31.0), flat(33.0)).unwrap_err();
        assert!(wrong.to_string().starts_with("door: at 25 Hz the range runs the wrong way round"));
        let nan = RangedSpectrum::exact("door", flat(f64::NAN)).unwrap_err();
        assert!(nan.to_string().contains("value at 25 Hz"), "{nan}");
    }

    #[test]
    fn a_deviation_is_what_comes_back() {
        let ranged =
            RangedSpectrum::with_deviation("wall", Spectrum::flat(50.0), &Spectrum::flat(2.0)).unwrap();
        let (below, above) = ranged.deviations_db(Band::at(9).unwrap());
        assert!((below - 2.0).abs() < 1e-12 && (above - 2.0).abs() < 1e-12);
        assert!(!ranged.is_exact());
    }
}
