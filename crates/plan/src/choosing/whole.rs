//! A set of proposals planned whole, and what that plan says of it.

use std::sync::Arc;

use crate::{
    assemble::{faults, lined},
    choosing::{
        field::Field,
        outcome::{MarginRow, Verified},
        settling::Room,
        watch::Work,
    },
    outcome::{Finding, Plan, Standing},
    project::Project,
};

/// A set planned whole.
pub(super) struct Whole {
    /// The project with the set in it, as it is planned.
    pub(super) lined: Project,
    pub(super) plan: Plan,
}

/// The sets that were planned whole so far: none is planned twice.
#[derive(Default)]
pub(super) struct Wholes {
    each: Vec<(Vec<usize>, Arc<Whole>)>,
}

impl Wholes {
    /// The set planned whole; none where its room cannot be planned.
    pub(super) fn of(&mut self, room: &Room<'_>, field: &Field, selection: &[usize]) -> Option<Arc<Whole>> {
        if let Some((_, known)) = self.each.iter().find(|(other, _)| other == selection) {
            return Some(Arc::clone(known));
        }
        let changed = changed(room, field, selection);
        let plan = room.watch.timed(Work::Whole, || super::plan_whole(&changed, room.memory)).ok()?;
        let lined = lined::with_linings(&faults::with_allowances(&changed)).into_owned();
        let whole = Arc::new(Whole { lined, plan });
        self.each.push((selection.to_vec(), Arc::clone(&whole)));
        Some(whole)
    }
}

/// The file with a set in it.
fn changed(room: &Room<'_>, field: &Field, selection: &[usize]) -> Project {
    let mut changed = room.file.clone();
    for (element, at) in selection.iter().enumerate() {
        if let (Some(choosable), Some((_, offer))) = (field.elements.get(element), field.offer(element, *at))
        {
            offer.proposal.change.put_into(&mut changed, choosable.slot);
        }
    }
    changed
}

/// What the whole plan says of a set, beside what the field reckons for it in that room.
pub(super) fn verified(room: &Room<'_>, field: &Field, (selection, whole): (&[usize], &Plan)) -> Verified {
    let own = field.problem.sum(selection).margins_db;
    let sure_percent = room.file.choosing.sure_percent;
    let mut off_db: f64 = 0.0;
    let margins = field
        .ways
        .iter()
        .zip(own)
        .filter_map(|(way, own_db)| {
            let heard = whole.heard.iter().find(|heard| {
                heard.receiver == way.receiver
                    && heard.source == way.source
                    && heard
                        .heard
                        .verdict
                        .as_ref()
                        .is_some_and(|verdict| verdict.criterion.label() == way.criterion)
            })?;
            let verdict = heard.heard.verdict.as_ref()?;
            // The plan tells the tenth percentile; at another confidence the likelihood decides whether it holds, and how far off it is
            // is what is reckoned by the same draws in that plan's room.
            let margin_db = if (sure_percent - 90.0).abs() < 1e-6 {
                off_db = off_db.max((verdict.margin.lower_db - own_db).abs());
                verdict.margin.lower_db
            } else if verdict.confidence * 100.0 >= sure_percent {
                own_db.max(0.0)
            } else {
                own_db.min(0.0)
            };
            Some(MarginRow {
                receiver: way.receiver.clone(),
                source: way.source.clone(),
                criterion: way.criterion.clone(),
                margin_db,
            })
        })
        .collect();
    let [newly_failing, still_failing] = failing(&room.plan.findings, &whole.findings);
    Verified { margins, newly_failing, still_failing, off_db }
}

/// What fails in one plan and not in another before it, and what fails in both. What only has other numbers in it is the same.
fn failing(before: &[Finding], after: &[Finding]) -> [Vec<String>; 2] {
    let all = |findings: &[Finding]| -> Vec<(&'static str, String)> {
        findings
            .iter()
            .filter(|finding| finding.standing == Standing::Fails && finding.chapter != "sound")
            .map(|finding| (finding.chapter, finding.sentence.clone()))
            .collect()
    };
    let mut known: Vec<(&str, String)> =
        all(before).into_iter().map(|(chapter, sentence)| (chapter, without_numbers(&sentence))).collect();
    let (mut new, mut still) = (Vec::new(), Vec::new());
    for (chapter, sentence) in all(after) {
        let kind = (chapter, without_numbers(&sentence));
        // As many as there were before are not new.
        match known.iter().position(|one| *one == kind) {
            Some(at) => {
                known.swap_remove(at);
                still.push(sentence);
            }
            None => new.push(sentence),
        }
    }
    [new, still]
}

/// A sentence with a mark for each number.
fn without_numbers(sentence: &str) -> String {
    let mut plain = String::with_capacity(sentence.len());
    for letter in sentence.chars() {
        let of_number = letter.is_ascii_digit()
            || matches!(letter, '.' | ',' | '\u{202f}' | '\u{2009}') && plain.ends_with('#');
        if !of_number {
            plain.push(letter);
        } else if !plain.ends_with('#') {
            plain.push('#');
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_did_not_fail_before_is_new() {
        let fails = |sentence: &str| Finding {
            standing: Standing::Fails,
            chapter: "fabric",
            sentence: sentence.to_owned(),
        };
        let before = [fails("J5 governs: final deflection at 104 %."), fails("Clip 3 bears 12.5 kg.")];
        let after = [
            fails("J6 governs: final deflection at 1\u{202f}050.5 %."),
            fails("Clip 7 bears 9 kg."),
            fails("Clip 8 bears 9 kg."),
            fails("The roof stays wet."),
        ];
        let [new, still] = failing(&before, &after);
        assert_eq!(new, ["Clip 8 bears 9 kg.", "The roof stays wet."]);
        assert_eq!(still.len(), 2, "{still:?}");
        let holds = Finding { standing: Standing::Holds, ..fails("The roof stays wet.") };
        let [new, still] = failing(&[holds], &after);
        assert_eq!((new.len(), still.len()), (4, 0));
    }
}
