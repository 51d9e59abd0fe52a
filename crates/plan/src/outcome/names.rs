//! How lengths of a plan are shown, and what keeps its own words.

use std::{borrow::Cow, sync::LazyLock};

use quantities::{
    lengths::{Lengths, holds_length},
    numerals::{DayOrder, Decimals},
};

use super::{Plan, Verdict};
use crate::project::{DatesIn, NumbersIn};

impl Plan {
    /// How lengths are shown, as the title says.
    pub const fn lengths(&self) -> Lengths {
        self.title.lengths.shown()
    }

    /// What sets decimals apart, where the room file says it.
    pub fn decimals(&self) -> Option<Decimals> {
        self.title.numbers.map(NumbersIn::shown)
    }

    /// In which order days are written, where the room file says it.
    pub fn day_order(&self) -> Option<DayOrder> {
        self.title.dates.map(DatesIn::shown)
    }

    /// The date of the plan in an order, as it is printed.
    pub fn date_in(&self, order: DayOrder) -> Option<Cow<'_, str>> {
        self.title.date.as_deref().map(|date| order.of_day(date))
    }

    /// Words written for millimetres as they are shown: every length in them put as the title says, but for names. A product is asked for by
    /// the name it is sold by, and what the person named keeps the person's words.
    pub fn shown(&self, words: &str) -> String {
        let lengths = self.lengths();
        if !lengths.in_feet() || !holds_length(words) {
            return words.to_owned();
        }
        lengths.in_words(&lengths.heading(words), &self.names_with_lengths())
    }

    /// Names with a length in them, as they are printed: those of the catalogue and of the room file; and where the data of a material come
    /// from, which a document says in its own figures.
    pub fn names_with_lengths(&self) -> Vec<Cow<'static, str>> {
        let mut names = vec![self.title.name.as_str()];
        names.extend(self.title.place.as_deref());
        names.extend(self.openings.iter().map(|one| one.name.as_str()));
        for buildup in &self.buildups {
            names.push(&buildup.name);
            names.extend(buildup.layers.iter().flat_map(|layer| [layer.name.as_str(), layer.basis.as_str()]));
        }
        names.extend(self.elements.iter().map(|one| one.name.as_str()));
        names.extend(self.penetrations.iter().map(|one| one.place.as_str()));
        names.extend(self.sources.iter().map(|one| one.name.as_str()));
        names.extend(self.heard.iter().map(|one| one.receiver.as_str()));
        names.extend(self.fabric.joists.iter().map(|one| one.name.as_str()));
        names.extend(self.fabric.dead_loads.iter().map(|one| one.name.as_str()));
        names.retain(|name| holds_length(name));
        names.sort_unstable();
        names.dedup();
        let products = product_names().iter().map(|name| Cow::Borrowed(name.as_str()));
        products.chain(printed(names).into_iter().map(Cow::Owned)).collect()
    }
}

/// The names of products with a length in them, as they are printed.
pub fn product_names() -> &'static [String] {
    static NAMES: LazyLock<Vec<String>> = LazyLock::new(|| {
        let mut names = catalogue::names();
        names.retain(|name| holds_length(name));
        printed(names)
    });
    &NAMES
}

/// Names as they are and as a sentence begins, their units with and without a no-break space, and without hyphens.
fn printed(names: Vec<&str>) -> Vec<String> {
    let ways = |name: &str| {
        let mut letters = name.chars();
        let first = letters.next().map(|letter| letter.to_uppercase().to_string()).unwrap_or_default();
        let capital = format!("{first}{}", letters.as_str());
        [name, &capital]
            .map(|name| [name.to_owned(), name.replace(" mm", "\u{a0}mm"), name.replace('-', " ")])
    };
    let mut all: Vec<String> = names.into_iter().flat_map(ways).flatten().collect();
    all.sort_unstable();
    all.dedup();
    all
}

impl Verdict {
    /// The uncertainty as it is shown: it bears the unit of the figure before it, and no unit of its own.
    pub fn uncertainty_shown(&self, lengths: Lengths) -> Option<String> {
        let uncertainty = self.uncertainty.as_ref()?;
        let of_length = lengths.in_feet() && self.figure.ends_with("mm");
        let none: [&str; 0] = [];
        Some(if of_length {
            lengths.in_words(&format!("{uncertainty}\u{a0}mm"), &none)
        } else {
            uncertainty.clone()
        })
    }
}
