//! How what is heard is put into words, the same on every sheet.

use std::fmt::Write as _;

use quantities::format::{number, with_unit};
use sound::{
    criterion::{Status, Verdict},
    flanking::FLANKING_NAME,
    share::Heard,
};

/// Share from which a part is worth naming in a sentence, 0 to 1.
const WORTH_NAMING: f64 = 0.2;

/// What a part is called where shares are printed. Flanking is what somebody assumed, not what was found, and says so.
pub fn part_name(name: &str) -> &str {
    if name == FLANKING_NAME { "flanking (assumed)" } else { name }
}

/// Why a level is not the sum of the bands beside it.
pub const NOT_THE_SUM: &str = "Each band is drawn at its own median. The level is the median of their sum, which is more than the sum of their \
                               medians: whichever bands come out loud count most.";

/// `at the garden fence`, but `inside the room`: a receiver with the word before it that it needs.
pub fn at_place(receiver: &str) -> String {
    let first = receiver.split_whitespace().next().unwrap_or_default().to_lowercase();
    match first.as_str() {
        "inside" | "in" | "at" | "on" | "outside" | "behind" | "under" | "before" | "next" | "beside" => {
            receiver.to_owned()
        }
        "the" | "my" | "our" | "his" | "her" | "their" => format!("at {receiver}"),
        _ => format!("at the {receiver}"),
    }
}

/// `1.2 dB to spare` or `0.1 dB over`: a margin in dB, never with a minus.
pub fn to_spare(margin_db: f64) -> String {
    let amount = with_unit(margin_db.abs(), 1, "dB");
    if margin_db >= 0.0 { format!("{amount} to spare") } else { format!("{amount} over") }
}

/// The verdict in a sentence without a capital or a full stop, its margins said as in [`to_spare`].
pub fn verdict_sentence(verdict: &Verdict) -> String {
    if verdict.status != Status::Close {
        return verdict.sentence.clone();
    }
    let margin = &verdict.margin;
    let decides = verdict.sentence.rsplit_once("; ").map_or("", |(_, decides)| decides);
    format!(
        "too close to call against {}: {}, four times in five between {} and {}; it holds with a likelihood of {}; {decides}",
        verdict.criterion.label(),
        to_spare(margin.median_db),
        to_spare(margin.lower_db),
        to_spare(margin.upper_db),
        with_unit(verdict.confidence * 100.0, 0, "%")
    )
}

/// What lets most through, in a sentence without a full stop.
pub fn lets_through(heard: &Heard) -> String {
    let name = |name: &str| {
        if name == FLANKING_NAME { "what is assumed to go round".to_owned() } else { name.to_owned() }
    };
    let percent = |share: f64| format!("{}\u{00A0}%", number(share * 100.0, 0));
    let Some((first, rest)) = heard.shares.split_first() else { return heard.sentence.clone() };
    let mut text = format!("{} lets {} through", name(&first.name), percent(first.share_dba));
    for other in rest.iter().take_while(|share| share.share_dba >= WORTH_NAMING).take(2) {
        let _ = write!(text, ", {} {}", name(&other.name), percent(other.share_dba));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_margin_is_never_said_with_a_minus() {
        assert_eq!(to_spare(-0.1), "0.1\u{00A0}dB over");
        assert_eq!(to_spare(1.34), "1.3\u{00A0}dB to spare");
        assert_eq!(part_name("flanking"), "flanking (assumed)");
        assert_eq!(part_name("wall A-B"), "wall A-B");
    }

    #[test]
    fn a_place_has_the_word_before_it_that_it_needs() {
        assert_eq!(at_place("inside the room"), "inside the room");
        assert_eq!(at_place("garden fence"), "at the garden fence");
        assert_eq!(at_place("our bedroom"), "at our bedroom");
    }
}
