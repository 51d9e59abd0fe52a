//! What stands out of the fabric besides the verdicts: cuts, openings, outside walls, air paths, modes.

use fabric::{moisture::Verdict as Damp, timber::JoistResult};
use quantities::format::{number, with_unit};

use crate::outcome::{JoistOpeningOutcome, Plan, Standing, WallFabric};

/// Timber, damp and air in the order of the chapter.
pub(crate) fn findings(plan: &Plan, put: &mut impl FnMut(Standing, &'static str, String)) {
    let mut fabric = |standing: Standing, sentence: String| put(standing, "fabric", sentence);
    for joist in &plan.fabric.joists {
        for cut in joist.cuts.iter().filter(|cut| !cut.permitted) {
            fabric(
                if cut.utilisation > 1.0 { Standing::Fails } else { Standing::Close },
                format!("{}, {}: {}, {}.", joist.name, cut.name, percent(cut.utilisation), cut.note),
            );
        }
    }
    for opening in &plan.fabric.joist_openings {
        let worst = worst_of(opening);
        fabric(
            if worst.checked.fails() { Standing::Fails } else { Standing::Holds },
            format!(
                "Opening {} between {} and {}: {} governs with {} at {}.",
                opening.name,
                opening.between[0],
                opening.between[1],
                worst.name,
                worst.governing.question.name(),
                percent(worst.governing.utilisation)
            ),
        );
    }
    for wall in &plan.fabric.walls {
        if let Some((standing, sentence)) = damp_wall(wall) {
            fabric(standing, sentence);
        }
    }
    for vent in &plan.fabric.vents {
        let standing = if vent.margin_db.is_some_and(|margin_db| margin_db < 0.0) {
            Standing::Close
        } else {
            Standing::Holds
        };
        if !vent.notes.is_empty() {
            fabric(
                standing,
                format!("{} ({}): {}", capital(&vent.name), vent.air.word(), vent.notes.join(" ")),
            );
        }
    }
    if let Some(note) = plan.fabric.modes.as_ref().and_then(|modes| modes.notes.first()) {
        fabric(Standing::Holds, note.clone());
    }
}

/// The member of an opening that is used most.
pub(crate) fn worst_of(opening: &JoistOpeningOutcome) -> &JoistResult {
    opening.result.trimmers.iter().fold(&opening.result.trimming, |worst, one| {
        if one.governing.utilisation > worst.governing.utilisation { one } else { worst }
    })
}

/// What is wrong with an outside wall, if anything.
pub(crate) fn damp_wall(wall: &WallFabric) -> Option<(Standing, String)> {
    let moisture = wall.moisture.as_ref()?;
    let named = format!(
        "Wall {} ({}, U {})",
        wall.walls.join(", "),
        wall.buildup,
        with_unit(wall.u_value.u_w_m2k, 2, "W/(m²\u{00A0}K)")
    );
    if moisture.verdict == Damp::StaysWet {
        let sentence = format!(
            "{named}: what condenses in it in winter does not dry in summer ({}). Put a vapour-tight layer on its warm side, or none on its cold side.",
            with_unit(moisture.peak_g_m2, 0, "g/m²")
        );
        return Some((Standing::Fails, sentence));
    }
    (!moisture.mould_safe).then(|| {
        let sentence = format!(
            "{named}: its inner surface is too cold for the damp of this use, temperature factor {} where {} is needed: mould in \
             corners and behind furniture. Heat and air the room well, keep things off that wall, or insulate it outside.",
            number(moisture.frsi, 2),
            number(moisture.frsi_needed, 2)
        );
        (Standing::Fails, sentence)
    })
}

fn percent(utilisation: f64) -> String {
    format!("{}\u{00A0}% used", number(utilisation * 100.0, 0))
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}
