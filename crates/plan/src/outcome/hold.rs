//! The figure a hold point asks for, where one decides.

use quantities::format::with_unit;
use serde::Serialize;

use super::HoldPoint;

/// A figure a hold point asks for, and what it may be.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HoldLimit {
    /// Which figure is to be given: "the wettest of them".
    pub figure: String,
    /// Its unit, `mm` or `%`.
    pub unit: String,
    /// The least it may be; none where there is no least.
    pub least: Option<f64>,
    /// The most it may be; none where there is no most.
    pub most: Option<f64>,
    /// Whether the figure is all that is asked; else something is to be seen as well, and a person says whether it is so.
    pub alone: bool,
}

impl HoldLimit {
    /// The figure that what was measured begins with; none where it begins with none. A comma counts as the point: `14,5 %`, `3 mm at J4`.
    #[must_use]
    pub fn read(measured: &str) -> Option<f64> {
        let plain = measured.trim().replace('\u{2212}', "-").replacen(',', ".", 1);
        let end = plain
            .char_indices()
            .find(|(at, c)| !(c.is_ascii_digit() || *c == '.' || (*c == '-' && *at == 0)))
            .map_or(plain.len(), |(at, _)| at);
        let rest = plain.get(end..).unwrap_or_default();
        // `1/2` is no figure of a meter.
        if rest.starts_with('/') {
            return None;
        }
        plain.get(..end)?.trim_end_matches('.').parse::<f64>().ok().filter(|figure| figure.is_finite())
    }

    /// How far beyond it a length may be and still read as what is shown, mm: half a sixteenth of an inch where lengths are in feet and inches.
    #[must_use]
    pub fn slack(&self, in_feet: bool) -> f64 {
        if in_feet && self.unit == "mm" { 25.4 / 32.0 + 0.06 } else { 0.0 }
    }

    /// Whether a figure is what it may be, to what is shown of it. Off to either side is off: for the most it may be the sign is left away.
    #[must_use]
    pub fn keeps(&self, figure: f64, in_feet: bool) -> bool {
        let slack = self.slack(in_feet);
        self.least.is_none_or(|least| figure >= least - slack)
            && self.most.is_none_or(|most| figure.abs() <= most + slack)
    }

    /// What it may be, in words: "at most 20 %".
    #[must_use]
    pub fn words(&self) -> String {
        let of = |value: f64| with_unit(value, usize::from(value.fract().abs() > 1e-9), &self.unit);
        match (self.least, self.most) {
            (Some(least), Some(most)) => format!("{} to {}", of(least), of(most)),
            (Some(least), None) => format!("at least {}", of(least)),
            (None, Some(most)) => format!("at most {}", of(most)),
            (None, None) => "as it is".to_owned(),
        }
    }
}

impl HoldPoint {
    /// Asks for a figure that may be so much at most; `alone` where nothing else is to be seen.
    pub(crate) fn at_most(mut self, figure: &str, (most, unit): (f64, &str), alone: bool) -> Self {
        self.limit = Some(HoldLimit {
            figure: figure.to_owned(),
            unit: unit.to_owned(),
            least: None,
            most: Some(most),
            alone,
        });
        self
    }

    /// Asks for a figure that must be so much at least; `alone` where nothing else is to be seen.
    pub(crate) fn at_least(mut self, figure: &str, (least, unit): (f64, &str), alone: bool) -> Self {
        self.limit = Some(HoldLimit {
            figure: figure.to_owned(),
            unit: unit.to_owned(),
            least: Some(least),
            most: None,
            alone,
        });
        self
    }

    /// Whether what was measured is within: where a figure beyond what it may be was measured it is not, whatever was said; else as it
    /// was said.
    #[must_use]
    pub fn is_within(&self, measured: &str, said: bool, in_feet: bool) -> bool {
        let beyond = self.limit.as_ref().is_some_and(|limit| {
            HoldLimit::read(measured).is_none_or(|figure| !limit.keeps(figure, in_feet))
        });
        said && !beyond
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_read_and_words_are_not() {
        for (measured, figure) in [
            ("14 %", Some(14.0)),
            ("14,5 % at J3", Some(14.5)),
            ("52 mm at J4", Some(52.0)),
            ("3.", Some(3.0)),
            ("\u{2212}2 mm", Some(-2.0)),
            ("27%", Some(27.0)),
            ("abc", None),
            ("about 14", None),
            ("1/2", None),
            ("", None),
            ("-", None),
            ("1.2.3", None),
        ] {
            assert_eq!(HoldLimit::read(measured), figure, "{measured}");
        }
    }

    #[test]
    fn a_figure_beyond_its_limit_is_out_whatever_is_said() {
        let plain = HoldPoint {
            measure: "moisture".to_owned(),
            with: "meter".to_owned(),
            tolerance: "20 % or less".to_owned(),
            otherwise: "dry it".to_owned(),
            limit: None,
        };
        assert!(plain.is_within("abc", true, false) && !plain.is_within("abc", false, false));
        let hold = plain.at_most("the wettest", (20.0, "%"), true);
        assert!(hold.is_within("20 %", true, false) && !hold.is_within("20 %", false, false));
        assert!(!hold.is_within("20.1 %", true, false) && !hold.is_within("abc", true, false));
        assert_eq!(hold.limit.as_ref().unwrap().words(), "at most 20\u{a0}%");
        // An eighth of an inch is what 3 mm read as; three sixteenths are more.
        let off = HoldPoint { limit: None, ..hold.clone() }.at_most("the worst", (3.0, "mm"), true);
        assert!(off.is_within("3.2 mm", true, true) && !off.is_within("4.8 mm", true, true));
        assert!(!off.is_within("3.2 mm", true, false) && !off.is_within("-4", true, false));
        let gap = hold.at_least("the least", (50.0, "mm"), false);
        assert!(gap.is_within("50 mm", true, false) && !gap.is_within("49", true, false));
    }
}
