//! What was measured, in words: the same in the terminal and on paper.

use plan::{
    Plan,
    outcome::{
        heard_words::at_place,
        proof::{FaultSize, MeasuredLevel, ProvedDifference, ProvedRating, RankedFault, SingleReading},
    },
};
use quantities::{
    format::{number, with_unit},
    lengths::Lengths,
};

use crate::drawings::capital;

/// Gains smaller than this are not worth a word, dB.
const LEAST_GAIN_DB: f64 = 0.2;

/// Headings with their lines; none where nothing was measured.
pub fn chapters(plan: &Plan) -> Vec<(String, Vec<String>)> {
    let Some(proof) = &plan.proof else { return Vec::new() };
    let mut chapters = Vec::new();
    let mut measured: Vec<String> = proof.differences.iter().flat_map(difference_lines).collect();
    measured.extend(proof.single.iter().flat_map(single_lines));
    measured.extend(proof.decays.iter().cloned());
    if !measured.is_empty() {
        chapters.push(("Measured".to_owned(), measured));
    }
    if let Some(diagnosis) = &proof.diagnosis {
        let mut lines = vec![diagnosis.sentence.clone()];
        lines.extend(diagnosis.explanations.iter().take(6).map(|one| explanation_line(one, plan.lengths())));
        for one in diagnosis.advised() {
            lines.push(one.look_words());
            lines.push(one.tell_words());
            lines.extend(gains_line(one));
        }
        let limits = match diagnosis.limits {
            0 => String::new(),
            1 => ", one of them only a limit set by the background".to_owned(),
            some => format!(", {some} of them only limits set by the background"),
        };
        lines.push(format!("It rests on {} measured bands{limits}.", diagnosis.observations));
        chapters.push(("What explains it".to_owned(), lines));
    }
    let mut rest = proof.as_proved.clone();
    rest.extend(proof.not_judged.iter().cloned());
    if !rest.is_empty() {
        chapters.push(("Also".to_owned(), rest));
    }
    chapters
}

fn difference_lines(one: &ProvedDifference) -> Vec<String> {
    let mut lines = vec![one.sentence.clone()];
    lines.extend(one.level.iter().flat_map(|level| level_lines(level, &one.receiver)));
    lines.extend(rating_lines(one));
    lines
}

/// A single reading, and what it makes of the limit.
pub fn single_lines(one: &SingleReading) -> Vec<String> {
    let mut lines = vec![one.sentence.clone()];
    lines.extend(one.level.iter().flat_map(|level| level_lines(level, &one.receiver)));
    lines
}

fn level_lines(level: &MeasuredLevel, receiver: &str) -> Vec<String> {
    let held = format!(
        "With the {} as loud as stated that is {} (±\u{A0}{}) {}, held against {}: {}.",
        level.sound,
        level.figure(),
        number(level.half_db(), 0),
        at_place(receiver),
        level.limit,
        level.outcome_words()
    );
    std::iter::once(held).chain(level.missing_words()).collect()
}

/// The single numbers of what was measured, each with the place it holds for; none where decay times are missing.
pub fn rating_lines(one: &ProvedDifference) -> Vec<String> {
    let line = |rating: &ProvedRating| {
        let with = |name: &str, value: Option<f64>| {
            value.map_or_else(String::new, |value| format!(", with {name} {}", number(value, 1)))
        };
        let adapted = with("C", rating.with_c_db) + &with("Ctr", rating.with_ctr_db);
        let (receiver, name) = (capital(&one.receiver), rating.name);
        let value = with_unit(rating.value_db, 1, "dB");
        if rating.at_least {
            format!("{receiver}: {name} is at least {value}{adapted}; the background hides the rest.")
        } else {
            format!(
                "{receiver}: {name} = {value}{adapted}, standard uncertainty {} to {}.",
                number(rating.uncorrelated_db, 1),
                with_unit(rating.correlated_db, 1, "dB")
            )
        }
    };
    one.rating.iter().chain(&one.reduction).map(line).collect()
}

/// `72 %  the seal of the door does not close, about 2.1 mm (1.4 to 3.0)`.
pub fn explanation_line(one: &RankedFault, lengths: Lengths) -> String {
    let size = one.size.as_ref().map_or_else(String::new, |size| format!(", {}", size_words(size, lengths)));
    let alike = if one.leads { "" } else { " (less likely)" };
    format!("{}  {}{size}{alike}", likely(one.probability), one.name)
}

/// A probability: nothing is called surer than 99 %.
pub fn likely(probability: f64) -> String {
    if probability > 0.99 {
        format!("over {}", with_unit(99.0, 0, "%"))
    } else {
        with_unit(100.0 * probability, 0, "%")
    }
}

/// `about 2.1 mm (1.4 to 3.0)`.
pub fn size_words(size: &FaultSize, lengths: Lengths) -> String {
    if let Some(after) =
        size.unit.strip_prefix("mm").filter(|after| lengths.in_feet() && !after.starts_with('²'))
    {
        let told = |mm: f64| {
            if size.decimals > 0 {
                lengths.fine(mm, size.decimals)
            } else {
                lengths.figure(mm, size.decimals)
            }
        };
        return format!("about {}{after} ({} to {})", told(size.median), told(size.lower), told(size.upper));
    }
    format!(
        "about {} ({} to {})",
        with_unit(size.median, size.decimals, size.unit),
        number(size.lower, size.decimals),
        number(size.upper, size.decimals)
    )
}

/// What mending would gain, receiver by receiver.
pub fn gains_line(one: &RankedFault) -> Option<String> {
    let gains: Vec<String> = one
        .gains
        .iter()
        .filter(|gain| gain.gain_dba >= LEAST_GAIN_DB)
        .map(|gain| format!("{} {}", with_unit(gain.gain_dba, 1, "dB(A)"), at_place(&gain.receiver)))
        .collect();
    (!gains.is_empty()).then(|| format!("Mending it would gain {}.", gains.join(", ")))
}
