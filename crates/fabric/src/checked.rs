//! The three ways a check can end.

use serde::Serialize;

/// How a check ended. What could not be checked is [`Checked::Open`], never passed in silence.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "state")]
pub enum Checked {
    /// It holds; utilisation is demand over capacity, 0 to 1.
    Holds {
        /// Demand over capacity, 1 at most.
        utilisation: f64,
    },
    /// It does not hold; utilisation is demand over capacity, above 1.
    Fails {
        /// Demand over capacity, above 1.
        utilisation: f64,
    },
    /// It was not checked because a figure is missing.
    Open {
        /// What to enter, as a sentence.
        missing: String,
    },
}

impl Checked {
    /// Judges demand against capacity, both in the same unit; a capacity of zero or less with a demand fails.
    pub fn against(demand: f64, capacity: f64) -> Self {
        let utilisation = if demand <= 0.0 {
            0.0
        } else if capacity > 0.0 {
            (demand / capacity).min(NO_CAPACITY)
        } else {
            NO_CAPACITY
        };
        Self::of(utilisation)
    }

    /// Judges a utilisation.
    pub fn of(utilisation: f64) -> Self {
        if utilisation <= 1.0 { Self::Holds { utilisation } } else { Self::Fails { utilisation } }
    }

    /// Not checked: the maker's figure for `what` is missing.
    pub fn open(what: &str) -> Self {
        Self::Open { missing: format!("not checked: enter the maker's figure for {what}") }
    }

    /// Demand over capacity where it was checked.
    pub fn utilisation(&self) -> Option<f64> {
        match self {
            Self::Holds { utilisation } | Self::Fails { utilisation } => Some(*utilisation),
            Self::Open { .. } => None,
        }
    }

    /// Whether it was checked and holds.
    pub fn holds(&self) -> bool {
        matches!(self, Self::Holds { .. })
    }

    /// Whether it was checked and fails.
    pub fn fails(&self) -> bool {
        matches!(self, Self::Fails { .. })
    }
}

/// Written in place of an infinite utilisation, where there is no capacity at all.
const NO_CAPACITY: f64 = 999.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_missing_is_ever_passed() {
        let open = Checked::open("one clip");
        assert!(!open.holds());
        assert_eq!(open.utilisation(), None);
        assert!(Checked::against(2.0, 0.0).fails());
        assert!(Checked::against(2.0, 2.0).holds());
        assert!(Checked::against(f64::NAN, 1.0).fails() || !Checked::against(f64::NAN, 1.0).holds());
    }
}
