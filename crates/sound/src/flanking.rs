//! Sound round the separating element: along walls, floors and ceilings that join both rooms.

use bands::Spectrum;
use quantities::{format::with_unit, math};
use serde::Serialize;

use crate::{
    composite::Part,
    ranged::{DEVIATIONS_TO_90TH, RangedSpectrum},
    room_error::RoomError,
};

/// Name under which flanking is reported.
pub const FLANKING_NAME: &str = "flanking";

/// A stated allowance for flanking: how much less the wall or floor insulates in place than in a laboratory.
///
/// A number one decides on, or better measures: it depends on every junction. Heavy walls on all sides lose about 2 to
/// 5 dB; a good lining on one leaf only, 10 dB and more (common practice).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FlankingAllowance {
    loss_db: f64,
    deviation_db: f64,
}

impl FlankingAllowance {
    /// Loss R − R′, dB, 0 to 40, and the standard deviation of the flanking sound, dB, 0 to 15.
    pub fn new(loss_db: f64, deviation_db: f64) -> Result<Self, RoomError> {
        RoomError::in_range("flanking", "the allowance", loss_db, "dB", (0.0, 40.0))?;
        RoomError::in_range("flanking", "its standard deviation", deviation_db, "dB", (0.0, 15.0))?;
        Ok(Self { loss_db, deviation_db })
    }

    /// Flanking as a part of its own: `Rf = −10 lg(10^(−R′/10) − 10^(−R/10))` with `R′ = R − loss`; none for no loss.
    pub(crate) fn path(
        &self,
        what: &str,
        direct: &Spectrum,
        area_m2: f64,
    ) -> Result<Option<Part>, RoomError> {
        let extra = math::energy_of_db(self.loss_db) - 1.0;
        if extra <= 0.0 {
            return Ok(None);
        }
        let median = direct.map(|_, r| r - math::db_of_energy(extra));
        let step = Spectrum::flat(self.deviation_db * DEVIATIONS_TO_90TH);
        let ranged = RangedSpectrum::new(what, median, median.minus(&step), median.plus_correction(&step))?;
        Part::with_area(FLANKING_NAME, FLANKING_NAME, ranged, area_m2).map(Some)
    }

    pub(crate) fn note(&self) -> String {
        format!(
            "flanking is a stated allowance of {}, not a prediction: measure before relying on it",
            with_unit(self.loss_db, 0, "dB")
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::composite::composite_reduction;

    #[test]
    fn direct_and_flanking_together_lose_the_allowance() {
        let direct = Spectrum::flat(57.0);
        let wall =
            Part::with_area("wall", "wall", RangedSpectrum::exact("wall", direct).unwrap(), 11.5).unwrap();
        let path = FlankingAllowance::new(5.0, 2.0).unwrap().path("wall", &direct, 11.5).unwrap().unwrap();
        let both = composite_reduction("wall", &[wall, path], 11.5).unwrap();
        assert!(both.values_db().iter().all(|r| (r - 52.0).abs() < 1e-9));
    }

    #[test]
    fn no_loss_is_no_path() {
        assert_eq!(FlankingAllowance::new(0.0, 2.0).unwrap().path("w", &Spectrum::flat(50.0), 9.0), Ok(None));
        assert!(FlankingAllowance::new(-1.0, 2.0).is_err());
    }
}
