//! Build-ups: their names, their use, and the cavity between the joists.

use crate::{
    project::{BridgeKind, BuildupId, CavityTimbers, Layer, RoofKind},
    read::{
        checks::{Draft, report_repeated},
        reading::Reading,
        room_file::mm,
        wording::shown,
    },
};

pub(super) fn check(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    // Ids as they stand in the file: a build-up with a fault elsewhere still has its id.
    let ids = reading.names.buildups.clone();
    let placed: Vec<(String, &str)> = ids
        .iter()
        .enumerate()
        .filter(|(_, id)| !id.is_empty())
        .map(|(at, id)| (format!("buildup[{at}].id"), id.as_str()))
        .collect();
    report_repeated("buildup", "id", &placed, reading);
    if reading.lost_entries("buildup") {
        return;
    }
    report_unused(draft, reading);
    check_joist_layer(draft, reading);
    check_warm_roof(draft, reading);
}

/// A warm roof has its insulation outside the deck and no outside air below it: whoever calls a cold roof warm skips every check of its air.
fn check_warm_roof(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let warm = draft.file.roof.as_ref().is_some_and(|roof| roof.kind == RoofKind::WarmFlat);
    let Some(ceiling) = draft.file.ceiling.0.as_ref().filter(|_| warm) else { return };
    let Some(buildup) = draft.file.buildup.get(ceiling.buildup.0) else { return };
    let list = format!("{}.layer", reading.entry("buildup", ceiling.buildup.0));
    let vented = buildup.element.layers.iter().position(
        |layer| matches!(layer, Layer::Cavity(cavity) if cavity.vented && cavity.timbers.is_some()),
    );
    if let Some(at) = vented {
        let entry = reading.entry(&list, at);
        reading
            .error("warm-roof-aired", &entry, "The roof is called warm, but outside air moves between its joists: that is a cold roof.")
            .help("Write `kind = \"cold-flat\"` in [roof], or `vented = false` and the insulation as a layer outside the deck.");
    }
}

fn report_unused(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    if reading.has_errors() {
        return;
    }
    let file = draft.file;
    let used = |id: BuildupId| {
        file.ceiling.0.as_ref().is_some_and(|ceiling| ceiling.buildup == id)
            || file.wall.iter().any(|wall| wall.buildup == id)
            || file.opening.iter().any(|opening| opening.buildup == id)
    };
    for (index, buildup) in file.buildup.iter().enumerate() {
        if !used(BuildupId(index)) {
            let path = format!("{}.id", reading.entry("buildup", index));
            reading
                .warning("unused", &path, format!("Nothing is built of \"{}\".", shown(&buildup.id)))
                .help("Name it as `buildup` of a wall, of an opening or of the ceiling, or take it away.");
        }
    }
}

/// The layer that the joists cross is as deep as the joists, and its fibre leaves the air its way.
fn check_joist_layer(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let Some(ceiling) = draft.file.ceiling.0.as_ref() else { return };
    for (place, buildup) in draft.file.buildup.iter().enumerate() {
        let list = format!("{}.layer", reading.entry("buildup", place));
        let is_ceiling = ceiling.buildup == BuildupId(place);
        for (at, layer) in buildup.element.layers.iter().enumerate() {
            let Layer::Cavity(cavity) = layer else { continue };
            if cavity.timbers != Some(CavityTimbers::Joists) {
                continue;
            }
            let entry = reading.entry(&list, at);
            let Some(joists) = draft.joists else {
                if !reading.has("joists") {
                    reading
                        .error(
                            "missing-joists",
                            &format!("{entry}.bridge"),
                            "Joists cross this layer, but there is no [joists].",
                        )
                        .help("Write [joists] and a [[joist]] for each, or take `bridge` away.");
                }
                continue;
            };
            // A cavity that goes on below the joists holds the clips and bars as well; `clip-and-bar` looks at those.
            let on_clips = buildup.element.bridges.iter().any(|bridge| bridge.kind == BridgeKind::Clip);
            let holds_clips = on_clips && cavity.depth_mm > joists.depth_mm;
            if (joists.depth_mm - cavity.depth_mm).abs() > 0.5 && is_ceiling && !holds_clips {
                reading
                    .warning(
                        "depths-differ",
                        &format!("{entry}.depth_mm"),
                        format!(
                            "This layer is {} deep, but the joists that cross it {}.",
                            mm(cavity.depth_mm),
                            mm(joists.depth_mm)
                        ),
                    )
                    .help("Write the depth of the joists, unless boards lie between them.");
            }
            check_air_above(draft, cavity, &entry, reading);
        }
    }
}

fn check_air_above(
    draft: &Draft<'_>,
    cavity: &crate::project::Cavity,
    entry: &str,
    reading: &mut Reading<'_>,
) {
    let Some(roof) = draft.file.roof.as_ref().filter(|roof| roof.kind == RoofKind::ColdFlat) else { return };
    if !cavity.vented {
        reading
            .warning("not-vented", entry, "The layer between the joists of a cold flat roof is not aired.")
            .help("Write `vented = true` if air can pass, or `kind = \"warm-flat\"` in [roof].");
        return;
    }
    let left = cavity.depth_mm - cavity.fill_mm;
    if left < roof.vent_gap_mm {
        reading
            .warning(
                "vent-gap-filled",
                &format!("{entry}.fill_mm"),
                format!(
                    "The fibre leaves {} of air above it, but `vent_gap_mm` asks for {}.",
                    mm(left),
                    mm(roof.vent_gap_mm)
                ),
            )
            .help(format!(
                "Write at most `fill_mm = {}`: a cold roof rots without its air.",
                (cavity.depth_mm - roof.vent_gap_mm).max(0.0)
            ));
    }
}
