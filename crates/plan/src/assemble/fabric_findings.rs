//! What stands out of the fabric besides the verdicts: cuts, openings, outside walls, air paths, modes.

use fabric::{
    Checked,
    moisture::{MAY_RUN_OFF_G_M2, MoistureResult, TOO_MUCH_G_M2, Verdict as Damp},
    timber::JoistResult,
};
use quantities::format::{number, with_unit};

use crate::{
    assemble::verdicts::sentence,
    outcome::{JoistOpeningOutcome, Plan, Standing, WallFabric},
};

/// What governs, what fails, what is open, then everything else that stands out of the fabric.
pub(crate) fn all(plan: &Plan, put: &mut impl FnMut(Standing, &'static str, String)) {
    let fabric = &plan.fabric;
    if let Some(joist) = fabric.governing_joist.and_then(|index| fabric.joists.get(index)) {
        let standing = if joist.checked.fails() { Standing::Fails } else { Standing::Holds };
        let more = if joist.governing.utilisation > 1.0 {
            "That is more than it may carry: stronger, deeper or closer joists, a \
             beam under them or a lighter ceiling and roof; have a structural engineer say which."
                .to_owned()
        } else {
            format!(
                "{} more could hang, then {} stops it.",
                with_unit(joist.to_spare.mass_kg_m2, 0, "kg/m²"),
                joist.to_spare.stopped_by.name()
            )
        };
        put(
            standing,
            "fabric",
            format!(
                "{} governs: {} at {}\u{00A0}% under {}. {more} {}",
                joist.name,
                joist.governing.question.name(),
                number(joist.governing.utilisation * 100.0, 0),
                joist.governing.under,
                joist.grade_note.as_deref().unwrap_or_default()
            )
            .trim_end()
            .to_owned(),
        );
    }
    let mut missing_figures: Vec<(&str, Vec<&str>)> = Vec::new();
    for fixing in fabric.clip.iter().chain(&fabric.bar).chain(&fabric.screws) {
        if let Checked::Fails { utilisation } = fixing.checked {
            put(
                Standing::Fails,
                "fabric",
                format!(
                    "{} carries {}, {}\u{00A0}% of the maker's figure: closer bars or clips, more screws, or a stronger product.",
                    capital(&fixing.name),
                    with_unit(fixing.mass, if fixing.mass < 1.0 { 2 } else { 1 }, fixing.unit),
                    number(utilisation * 100.0, 0)
                ),
            );
        }
        if let Checked::Open { missing } = &fixing.checked {
            match missing_figures.iter_mut().find(|(figure, _)| figure == missing) {
                Some((_, names)) => names.push(&fixing.name),
                None => missing_figures.push((missing, vec![&fixing.name])),
            }
        }
    }
    for (missing, names) in missing_figures {
        put(Standing::Open, "fabric", format!("{} ({}).", capital(missing), names.join(", ")));
    }
    for rule in fabric.ventilation.iter().filter(|rule| rule.kept == Some(false)) {
        put(Standing::Fails, "fabric", format!("{}: {}", capital(&rule.rule), rule.remedy));
    }
    findings(plan, put);
    for words in &fabric.not_checked {
        put(Standing::Open, "fabric", sentence(words));
    }
    if let Some(air) = &fabric.air
        && !air.kept
    {
        put(
            Standing::Fails,
            "fabric",
            format!(
                "Fresh air: carbon dioxide reaches {}. {} would keep to the limit.",
                with_unit(air.peak_ppm, 0, "ppm"),
                with_unit(air.needed_l_s.ceil(), 0, "l/s")
            ),
        );
    }
}

/// Timber, damp and air in the order of the chapter.
fn findings(plan: &Plan, put: &mut impl FnMut(Standing, &'static str, String)) {
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
    for beam in &plan.fabric.beams {
        let governing = &beam.result.governing;
        let standing = if beam.result.checked.fails() { Standing::Fails } else { Standing::Holds };
        fabric(
            standing,
            format!(
                "{} under {} joists: {} governs at {}; its heaviest end or post carries {}.",
                if beam.name.to_lowercase().contains("beam") {
                    capital(&beam.name)
                } else {
                    format!("Beam {}", beam.name)
                },
                beam.joists.len(),
                governing.question.name(),
                percent(governing.utilisation),
                with_unit(beam.result.supports.iter().map(|one| one.most_kn).fold(0.0, f64::max), 1, "kN")
            ),
        );
    }
    if let Some((standing, words)) = plan.fabric.moisture.as_ref().and_then(damp_amount) {
        fabric(standing, format!("Ceiling: {words}"));
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
            "{named}: what condenses in it in winter does not dry in summer ({}). {}",
            with_unit(moisture.peak_g_m2, 0, "g/m²"),
            better_place(moisture).unwrap_or_else(|| {
                "Put a vapour-tight layer on its warm side, or none on its cold side.".to_owned()
            })
        );
        return Some((Standing::Fails, sentence));
    }
    if let Some((standing, words)) = damp_amount(moisture) {
        let advice = better_place(moisture).unwrap_or_default();
        return Some((standing, format!("{named}: {words} {advice}").trim_end().to_owned()));
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

/// How much gathers in a build-up that dries again, where that is much.
pub(crate) fn damp_amount(moisture: &MoistureResult) -> Option<(Standing, String)> {
    let most = with_unit(moisture.peak_g_m2, 0, "g/m²");
    let place = moisture.planes.iter().max_by(|a, b| a.peak_g_m2.total_cmp(&b.peak_g_m2))?.place.as_str();
    if moisture.peak_g_m2 > TOO_MUCH_G_M2 {
        let words = format!(
            "up to {most} gather {place} each winter, more than the 1 kg/m² that practice allows even where summer dries it."
        );
        return Some((Standing::Fails, words));
    }
    (moisture.peak_g_m2 > MAY_RUN_OFF_G_M2).then(|| {
        let words = format!(
            "up to {most} gather {place} each winter, enough to run off a surface that does not drink it."
        );
        (Standing::Close, words)
    })
}

/// The place of a vapour-tight layer that leaves least, where that is better than as planned.
fn better_place(moisture: &MoistureResult) -> Option<String> {
    let best = moisture.moved.iter().min_by(|a, b| a.peak_g_m2.total_cmp(&b.peak_g_m2))?;
    let better =
        !best.as_built && best.peak_g_m2 < 0.5 * moisture.peak_g_m2 && best.verdict != Damp::StaysWet;
    better.then(|| {
        let place = if best.inside_of.is_empty() {
            "outermost".to_owned()
        } else {
            format!("just inside of the {}", best.inside_of)
        };
        format!("With {} laid {place} it would be {}.", best.layer, with_unit(best.peak_g_m2, 0, "g/m²"))
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
