//! Bars, clips and boards of a ceiling that hangs, those of them that are still to go up.

use quantities::format::{number, with_unit};
use setout::as_built::LeftToDo;

use super::{StepFacts, Steps, capital, count, hold};

/// What is still to fix: everything, where nothing was read.
fn left_to_fix(facts: &StepFacts) -> LeftToDo {
    let all = LeftToDo { bars: facts.bars, clips: facts.clips, noggins: facts.noggins, laps: facts.laps };
    facts.left.as_ref().map_or(all, |left| left.counts)
}

/// `5 clips, the rest of 73,`; of all of them only how many; none where nothing is left.
fn rest(left: usize, all: usize, one: &str, many: &str) -> Option<String> {
    match left {
        0 if all > 0 => None,
        left if left >= all => Some(count(left, one, many)),
        left => Some(format!("{}, the rest of {all},", count(left, one, many))),
    }
}

fn all_in(all: usize, one: &str, many: &str) -> String {
    if all == 1 {
        format!("The {one} is fixed.")
    } else {
        format!("All {} are fixed.", count(all, one, many))
    }
}

/// Noggins go between the joists before fibre and vapour layer do: both are cut and taped round them.
pub(super) fn noggins(facts: &StepFacts, list: &mut Steps) {
    let left = left_to_fix(facts);
    if facts.noggins > 0 {
        let mut text = vec![match rest(left.noggins, facts.noggins, "noggin", "noggins") {
            None => all_in(facts.noggins, "noggin", "noggins"),
            Some(words) => format!(
                "Fix {words} between the joists named in the list, each at its place along them, flush with the undersides."
            ),
        }];
        if facts.left.is_some() && left.noggins > 0 {
            text.push(
                "Where fibre and vapour control layer are up already, open them there, and close and tape them again when the noggin is fixed."
                    .to_owned(),
            );
        }
        if !facts.noggins_at_walls.is_empty() {
            text.push(format!(
                "One end is held by a wall, where no second joist is: {}. Hold that end with an angle bracket or a hanger on two anchors in \
                 the wall itself, not in plaster; a noggin held at one end only turns under its clip.",
                facts.noggins_at_walls.join(", ")
            ));
        }
        list.put(
            "Noggins",
            text,
            1,
            left.noggins as f64 * 0.25,
            hold(
                "each noggin under a straightedge along it and across its joists, and pulled by hand",
                "1 m straightedge",
                "flush within 2 mm; neither end moves".to_owned(),
                "pack the clip, or refix the noggin",
            )
            .at_most("how far the worst is from flush", (2.0, "mm"), false),
        );
    }
}

pub(super) fn bars_and_clips(facts: &StepFacts, list: &mut Steps) {
    let left = left_to_fix(facts);
    let mut marking = vec![
        format!(
            "Each wall has its own corner to measure from, ringed on the plan; the first is {}. Hook the tape there once and \
                 mark every figure of that wall's list without lifting it; never add gap to gap.",
            facts.origin
        ),
        if facts.bar_ties == 0 {
            "Mark bars, board joints and clip rows on the wall plates of both ends, then snap a line between each pair."
                    .to_owned()
        } else {
            format!(
                "Mark bars, board joints and clip rows on the wall plates of both ends; {} that no wall fixes under the joist \
                     of the list, measured along the joist. Then snap a line between each pair.",
                count(facts.bar_ties, "end of a bar", "ends of bars")
            )
        },
    ];
    if facts.left.is_some() {
        marking.insert(
            0,
            "Part of the ceiling hangs already and stays: mark only what is still to fix, by the sheet that says how to go on.".to_owned(),
        );
    }
    list.put(
        "Mark out",
        marking,
        2,
        1.5 + left.bars as f64 * 0.08,
        hold(
            "two bars and one joint, from the opposite corner",
            "tape",
            "within 3 mm of wall length less the mark".to_owned(),
            "measure the wall again, correct the survey in the file and plan anew before drilling",
        )
        .at_most("how far the worst is off", (3.0, "mm"), true),
    );
    list.caution(&["ladders"]);

    list.put(
        "Trial fit",
        vec![
            "Fix four clips and two bar offcuts with offcuts of both boards under them, exactly as the rest will be."
                .to_owned(),
            format!(
                "Cut a block of {}, what clip and bar take. Beside each clip, with that clip's own packer from the list laid on it, it must \
                 just pass between the joist and the back of the boards.",
                with_unit(facts.drop_mm, 0, "mm")
            ),
        ],
        2,
        1.0,
        hold(
            "gap from the joist to the back of the boards at all four clips, and the boards' lowest face",
            "the block with each clip's packer, and the laser",
            "block and packer just pass everywhere; face within 2 mm of the planned headroom".to_owned(),
            "change the clip drop in the file and plan anew: every packer moves with it",
        )
        .at_most("how far the lowest face is from the planned headroom", (2.0, "mm"), false),
    );
    list.caution(&["metal", "makers figures"]);
    list.put(
        "Clips and packers",
        vec![
            match rest(left.clips, facts.clips, "clip", "clips") {
                None => all_in(facts.clips, "clip", "clips"),
                Some(words) => format!(
                    "Fix {words} on the marks, each into the middle of its joist with the maker's screw, with the packers of \
                     the list (up to {}).",
                    with_unit(facts.thickest_packer_mm, 0, "mm")
                ),
            },
            "A packer covers the whole back of its clip; never pack with something soft.".to_owned(),
        ],
        2,
        left.clips as f64 * 0.12,
        hold(
            "seat of every clip",
            "laser line",
            "all in one plane within 2 mm; no clip further from the next than the plan shows plus 5 mm".to_owned(),
            "repack; a clip that missed its joist is moved, not bent",
        )
        .at_most("how far the worst is out of plane", (2.0, "mm"), false),
    );
    list.caution(&["overhead", "makers figures"]);
    let (bar_gap_mm, _) = facts.limits_mm;
    let (bearing_mm, face_mm) = facts.bearing_mm;
    let slack_mm = (face_mm / 2.0 - bearing_mm).max(0.0);
    let mut text: Vec<String> = facts
        .left
        .iter()
        .flat_map(|left| &left.bars_back)
        .map(|words| format!("{}.", capital(words)))
        .collect();
    if let Some(down) = facts.left.as_ref().map(|left| &left.take_down).filter(|down| !down.is_empty()) {
        text.insert(
            0,
            format!(
                "Bars or clips behind boards that are up are added or move: take {} down first, and hang them again with their layer.",
                down.join(", ")
            ),
        );
    }
    text.push(match rest(left.bars, facts.bars, "bar", "bars") {
        None => all_in(facts.bars, "bar", "bars"),
        Some(words) => format!(
            "Cut and clip in {words} by the bar list{}. Deburr every end. No bar touches a wall or a joist.",
            if left.laps > 0 {
                format!(", with {} screwed through both", count(left.laps, "lap", "laps"))
            } else {
                String::new()
            }
        ),
    });
    text.push(
        "Read off where each bar really is, at both ends, and write it down before any board goes up."
            .to_owned(),
    );
    list.put(
        "Bars",
        text,
        2,
        left.bars as f64 * 0.35,
        hold(
            "every gap between bars, both ends, and every joint bar from the origin",
            "tape, from the same corner as the marks",
            format!(
                "no gap over {}; a bar under a joint within {} of its mark",
                with_unit(bar_gap_mm, 0, "mm"),
                with_unit(slack_mm, 0, "mm")
            ),
            "add a bar in a gap that is too wide; enter the readings and plan the boards anew",
        )
        .at_most("the widest gap", (bar_gap_mm, "mm"), false),
    );
    list.caution(&["metal"]);
}

pub(super) fn boards(facts: &StepFacts, list: &mut Steps) {
    let (field_mm, ends_mm) = facts.screws_mm;
    for (index, layer) in facts.layers.iter().enumerate() {
        let open = layer.pieces.saturating_sub(layer.up.len());
        let mut text = vec![
            format!(
                "Cut from the factory edges as drawn and number each piece on its back. Put up {} in number order; \
                 the heaviest weighs {}.",
                if layer.up.is_empty() {
                    count(layer.pieces, "piece", "pieces")
                } else {
                    format!(
                        "{}, the rest of {} ({} {} up already),",
                        count(open, "piece", "pieces"),
                        layer.pieces,
                        layer.up.join(", "),
                        if layer.up.len() == 1 { "is" } else { "are" }
                    )
                },
                with_unit(layer.heaviest_kg, 0, "kg")
            ),
            format!(
                "{} screws into the bars only, {} apart, {} at board ends and round the edge; never into a joist.",
                number(layer.screws as f64, 0),
                with_unit(field_mm, 0, "mm"),
                with_unit(ends_mm, 0, "mm")
            ),
            format!(
                "Keep clear of every wall on loose spacers, {}; pull them out when the layer is up.",
                facts.gap_words
            ),
        ];
        if layer.tape_m > 0.0 {
            text.insert(
                1,
                format!(
                    "Tape every cut edge at once, or the filling runs out: {} of tape.",
                    with_unit(layer.tape_m, 1, "m")
                ),
            );
        }
        if !layer.kept.is_empty() {
            text.insert(
                1,
                format!(
                    "Of these sheets cut now only what this layer takes, and put the rest aside whole, with the names of its pieces on it: {}.",
                    layer.kept.join(", ")
                ),
            );
        }
        if !layer.begun.is_empty() {
            text.insert(1, format!("Some of it comes from what was put aside: {}.", layer.begun.join(", ")));
        }
        if open == 0 {
            text = vec![format!("All {} are up.", count(layer.pieces, "piece", "pieces"))];
        }
        text.extend(layer.to_fill.iter().map(|words| format!("{}.", capital(words))));
        let first = index == 0;
        list.put(
            &format!("Boards, layer {}: {}", index + 1, layer.board),
            text,
            if layer.heaviest_kg > 20.0 { 3 } else { 2 },
            open as f64 * 0.35 + layer.screws as f64 * 0.006,
            hold(
                if first {
                    "gap to the walls all round; each end joint on its bar"
                } else {
                    "each joint against the layer above; gap to the walls all round"
                },
                "a gauge of the gap's thickness, a thin blade, tape",
                if first {
                    format!(
                        "gap {}; at least {} of board on the bar each side",
                        facts.gap_words,
                        with_unit(bearing_of(facts), 0, "mm")
                    )
                } else {
                    "joints as drawn within 10 mm; board touches no wall".to_owned()
                },
                "trim what touches: one hard contact undoes the clips",
            ),
        );
        list.caution(&["heavy boards", "dust", "overhead"]);
        list.put(
            &format!("Seal layer {}", index + 1),
            vec![format!(
                "Run acoustic sealant into the gap round the edge ({}) to the depth of the layer, and into every joint \
                 wider than 1 mm.",
                with_unit(facts.perimeter_m, 1, "m")
            )],
            1,
            facts.perimeter_m * 0.07,
            hold(
                "the whole edge and all joints",
                "a lamp from the side",
                "one unbroken bead, no shrinkage crack after a day".to_owned(),
                "fill again",
            ),
        );
    }
}

fn bearing_of(facts: &StepFacts) -> f64 {
    facts.bearing_mm.0
}
