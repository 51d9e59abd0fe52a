//! Levels of one place as they reach the judging half: typed from a meter or taken from a recording.

use serde::Serialize;

use crate::BandLevels;

/// Third-octave levels of one place, with what they may be compared with.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeasuredLevels {
    /// Levels, dB; of an uncalibrated recording, dB relative to whatever its chain makes of a pascal.
    pub bands: BandLevels,
    /// Whether they count from 20 µPa.
    pub calibrated: bool,
    /// What recorded it, at which gain; levels that are not calibrated are compared within one chain only.
    pub chain: Option<String>,
}

impl MeasuredLevels {
    /// Levels read from a calibrated meter.
    pub fn calibrated(bands: BandLevels) -> Self {
        Self { bands, calibrated: true, chain: None }
    }

    /// Whether a difference of the two means anything: both calibrated, or neither and both of one named chain. One of either kind counts
    /// from 20 µPa and the other from full scale, whatever recorded them.
    pub fn comparable_with(&self, other: &Self) -> bool {
        let one_chain = self.chain.is_some() && self.chain == other.chain;
        self.calibrated == other.calibrated && (self.calibrated || one_chain)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn uncalibrated_levels_are_compared_within_one_chain_only() {
        let of = |calibrated, chain: Option<&str>| MeasuredLevels {
            bands: BandLevels::NONE,
            calibrated,
            chain: chain.map(str::to_owned),
        };
        let (meter, phone, other) = (of(true, None), of(false, Some("phone")), of(false, Some("recorder")));
        assert!(meter.comparable_with(&of(true, Some("phone"))));
        assert!(of(true, Some("recorder")).comparable_with(&of(true, Some("phone"))));
        // The same phone with its calibrator and without: one reads dB re 20 µPa, the other dB re full scale.
        assert!(
            !phone.comparable_with(&of(true, Some("phone")))
                && !of(true, Some("phone")).comparable_with(&phone)
        );
        assert!(phone.comparable_with(&of(false, Some("phone"))));
        assert!(!phone.comparable_with(&other) && !phone.comparable_with(&meter));
        assert!(!of(false, None).comparable_with(&of(false, None)));
    }
}
