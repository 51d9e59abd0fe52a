//! What is wrong with what was handed in, as a sentence for the person building.

use quantities::format::number;

/// Something handed in cannot be worked with; each message says what, and what to do.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FabricError {
    /// A number outside the range in which it makes sense.
    #[error(
        "{what} is {} {unit}, which is outside {} to {} {unit}: {remedy}",
        shown(*.value), shown(*.least), shown(*.most)
    )]
    OutOfRange {
        /// Which number.
        what: String,
        /// As handed in.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Smallest value accepted.
        least: f64,
        /// Largest value accepted.
        most: f64,
        /// What to do.
        remedy: &'static str,
    },
    /// A strength class that EN 338 does not have.
    #[error(
        "timber grade {given:?} is not a softwood class of EN 338: the nearest is {nearest}; if the timber carries no stamp, say unknown"
    )]
    UnknownGrade {
        /// As written.
        given: String,
        /// The nearest known class.
        nearest: &'static str,
    },
    /// A notch or hole that leaves no timber.
    #[error(
        "{name}: {kind} {} mm deep in a joist {} mm deep leaves no timber: measure it again, or replace the joist",
        shown(*.cut_mm), shown(*.depth_mm)
    )]
    CutTooDeep {
        /// Which joist.
        name: String,
        /// A notch or a hole.
        kind: &'static str,
        /// Depth of notch or diameter of hole.
        cut_mm: f64,
        /// Depth of the joist.
        depth_mm: f64,
    },
    /// A climate without twelve months.
    #[error("{what} has {count} months: give twelve monthly means, January first")]
    NotTwelveMonths {
        /// Which list.
        what: String,
        /// How many were given.
        count: usize,
    },
    /// People in a room that nothing lets air into.
    #[error(
        "{} people and no way for air in or out: sealed, the room passes {} ppm of carbon dioxide after {} minutes; give it an inlet and an extract and the litres per second they carry",
        shown(*.people), shown(*.limit_ppm), shown(*.minutes_to_limit)
    )]
    NoAirPath {
        /// How many people.
        people: f64,
        /// Limit asked for.
        limit_ppm: f64,
        /// When the sealed room passes it.
        minutes_to_limit: f64,
    },
    /// A list that must not be empty.
    #[error("{what} has no {of}: give at least {least}")]
    TooFew {
        /// Which thing.
        what: String,
        /// What it lacks.
        of: &'static str,
        /// How many are needed.
        least: usize,
    },
    /// A beam that would fall over or slide as a mechanism.
    #[error("{what} cannot stand: {why}")]
    CannotStand {
        /// Which beam.
        what: String,
        /// Why not.
        why: String,
    },
    /// A figure of a plan that no sum can be made from, such as a crossed outline.
    #[error("{what}: {why}")]
    BadShape {
        /// Which outline.
        what: String,
        /// What is wrong and what to do.
        why: String,
    },
}

/// Checks that a number is finite and lies in a range, both ends included.
pub(crate) fn in_range(
    what: impl Into<String>,
    value: f64,
    (least, most): (f64, f64),
    unit: &'static str,
    remedy: &'static str,
) -> Result<f64, FabricError> {
    if value.is_finite() && least <= value && value <= most {
        Ok(value)
    } else {
        Err(FabricError::OutOfRange { what: what.into(), value, unit, least, most, remedy })
    }
}

/// A number as short as it can be written to three decimals.
fn shown(value: f64) -> String {
    if !value.is_finite() {
        return "not a number".to_owned();
    }
    (0..3)
        .find(|&decimals| {
            (quantities::format::round_to(value, decimals) - value).abs() < 1e-9 * value.abs().max(1.0)
        })
        .map_or_else(|| number(value, 3), |decimals| number(value, decimals as usize))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_say_what_and_what_to_do() {
        let error =
            in_range("the span of J3", 0.0, (0.1, 20.0), "m", "measure between the bearings").unwrap_err();
        assert_eq!(
            error.to_string(),
            "the span of J3 is 0 m, which is outside 0.1 to 20 m: measure between the bearings"
        );
        let nan = in_range("the span", f64::NAN, (0.1, 20.0), "m", "measure").unwrap_err();
        assert!(nan.to_string().contains("not a number"));
    }
}
