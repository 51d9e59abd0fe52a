//! `stillroom proof`: what was measured against what was planned, and the fault that explains it.

use std::{path::Path, process::ExitCode};

use anyhow::{Context, Result, bail};
use plan::{
    edit::{NewValue, append_entry},
    outcome::proof::RankedFault,
    project::{FoundFault, Project},
};
use quantities::format::round_to;
use sheets::{proof_words::likely, terminal::proof_summary};

use crate::{
    commands::{plan::planned, read_room},
    files, report,
};

/// Prints the comparison and the ranked faults; with `keep` writes the likeliest into the room file, if it stands alone. Exit code 1 where
/// a recording gave nothing.
pub(crate) fn run(room: &Path, json: bool, keep: bool) -> Result<ExitCode> {
    let Some(project) = read_room(room)? else { return Ok(ExitCode::from(1)) };
    let name = files::short_name(room);
    if project.measurements.is_empty() {
        bail!(
            "{name} holds no measurement. Write one [[measurement]] for the level in the room, `what = \"inside\"`, and one for each receiver, \
             `what = \"receiver\"`, each with its `levels`."
        );
    }
    let plan = planned(&project, room)?;
    if json {
        report::say(&serde_json::to_string_pretty(&plan.proof)?)?;
    } else {
        report::say(&proof_summary(&plan, crate::commands::plan::setting()))?;
    }
    if keep {
        let diagnosis = plan.proof.as_ref().and_then(|proof| proof.diagnosis.as_ref());
        let first = diagnosis
            .context("Nothing was measured after the work that a fault could explain: nothing is kept.")?
            .to_keep()
            .map_err(anyhow::Error::msg)?;
        return kept(room, &project, first);
    }
    // What is wrong with them was told when they were read.
    let without = project.recordings().filter(|(at, _)| !project.is_heard(*at)).count();
    if without > 0 {
        report::warn(&format!(
            "{without} of {} recordings gave nothing: the numbers are those of the others.",
            project.recordings().count()
        ));
    }
    Ok(ExitCode::from(u8::from(without > 0)))
}

/// Writes the fault into the table `as_proved`; everything else of the file stays, comments too.
fn kept(room: &Path, project: &Project, first: &RankedFault) -> Result<ExitCode> {
    let text = files::read_text(room)?;
    let changed = with_fault(&text, project, first)?;
    let (project, problems) =
        plan::read::read_with(&changed, &files::short_name(room), &crate::commands::attached(&changed, room));
    if project.is_none() {
        let what = problems.first().map_or_else(String::new, |problem| problem.message.clone());
        bail!("The fault cannot be written into the file as it stands: {what}");
    }
    files::write_own(room, changed.as_bytes())?;
    report::say(&format!(
        "\nKept in {} under [as_proved]: {}. All plans have it in them now; take it out once it is mended.",
        files::short_name(room),
        first.name
    ))?;
    Ok(ExitCode::SUCCESS)
}

/// A text of the room file with a fault added to its table `as_proved`.
pub(crate) fn with_fault(text: &str, project: &Project, first: &RankedFault) -> Result<String> {
    let Some(fault) = &first.fault else {
        bail!(
            "The likeliest explanation is: {}. That is no fault of the room, and nothing is kept.",
            first.name
        );
    };
    let found = FoundFault::of(fault, None);
    let mut keys = vec![("kind", NewValue::from(found.kind.word()))];
    if let Some(element) = found.element {
        keys.push(("element", NewValue::Text(project.element_name(element))));
    }
    let texts = [("vent", &found.vent), ("receiver", &found.receiver)];
    keys.extend(texts.into_iter().filter_map(|(key, text)| Some((key, NewValue::Text(text.clone()?)))));
    for (key, number) in [
        ("area_mm2", found.area_mm2),
        ("open_mm", found.open_mm),
        ("count", found.count.map(f64::from)),
        ("share_percent", found.share_percent),
        ("depth_mm", found.depth_mm),
        ("loss_db", found.loss_db),
    ] {
        keys.extend(number.map(|number| (key, NewValue::Number(round_to(number, 2)))));
    }
    keys.push((
        "found",
        NewValue::Text(format!(
            "by measuring, {} likely",
            likely(first.probability).replace('\u{00A0}', " ")
        )),
    ));
    Ok(append_entry(text, "as_proved.fault", &keys)?)
}
