//! What measuring has shown, in the verdict strip and among the findings.

use quantities::format::number;

use crate::{
    outcome::{
        HeardOutcome, Plan, Standing, Verdict,
        heard_words::to_spare,
        proof::{MeasuredLevel, RankedFault},
    },
    project::Stage,
};

/// The level at a receiver as it was measured after the work; none where it was not.
pub(crate) fn measured_level<'a>(plan: &'a Plan, receiver: &str) -> Option<&'a MeasuredLevel> {
    let proof = plan.proof.as_ref()?;
    let by_bands = proof.differences.iter().filter(|one| one.when == Stage::After);
    let by_bands = by_bands.filter(|one| one.receiver == receiver).find_map(|one| one.level.as_ref());
    let mut single = proof.single.iter().filter(|one| one.when == Stage::After && one.receiver == receiver);
    by_bands.or_else(|| single.find_map(|one| one.level.as_ref()))
}

/// The verdict of a receiver that was measured; none where it was not.
pub(crate) fn measured(plan: &Plan, heard: &HeardOutcome) -> Option<Verdict> {
    let level = measured_level(plan, &heard.receiver)?;
    let side = if level.margin_db >= 0.0 { " under" } else { "" };
    let hidden = level.at_most && level.standing == Standing::Open;
    Some(Verdict {
        about: heard.receiver.clone(),
        figure: level.figure(),
        uncertainty: Some(format!("±\u{00A0}{}", number(level.half_db(), 0))),
        meaning: if hidden {
            format!("measured: the background hides the rest; {} is not shown", level.limit)
        } else {
            format!("measured: {}{side} {}", to_spare(level.margin_db), level.limit)
        },
        standing: level.standing,
        chapter: "sound",
    })
}

/// What the person is told of it.
pub(crate) fn findings(plan: &Plan, put: &mut impl FnMut(Standing, &'static str, String)) {
    let Some(proof) = &plan.proof else { return };
    let mut say = |standing: Standing, sentence: String| put(standing, "sound", sentence);
    for sentence in &proof.as_proved {
        say(Standing::Fails, sentence.clone());
    }
    if let Some(diagnosis) = &proof.diagnosis {
        let first = diagnosis.explanations.first();
        let standing = match first {
            // Less likely than not even so: that is no alarm, and not proved either.
            Some(first) if diagnosis.no_further_fault() && first.probability < 0.5 => Standing::Open,
            Some(_) if diagnosis.no_further_fault() => Standing::Holds,
            Some(first) if first.size.is_some() => Standing::Fails,
            _ if diagnosis.fits_nothing
                || diagnosis.explanations.iter().any(|one| one.leads && one.size.is_some()) =>
            {
                Standing::Close
            }
            _ => Standing::Holds,
        };
        let looks: Vec<String> = diagnosis.advised().map(RankedFault::look_words).collect();
        say(standing, format!("{} {}", diagnosis.sentence, looks.join(" ")).trim_end().to_owned());
    }
    for sentence in &proof.not_judged {
        say(Standing::Open, sentence.clone());
    }
}
