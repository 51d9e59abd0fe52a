//! Faults in words: what they are called, where to look, how to tell.

use std::fmt::Write as _;

use quantities::format::{number, with_unit};

use crate::{
    assemble::{proof::suspects::Suspect, verdicts::capital},
    outcome::{
        heard_words::at_place,
        proof::{FaultSize, ProofDiagnosis, RankedFault},
    },
    project::{ElementId, Fault, OpeningKind, Project, WallId},
};

/// How many explanations are named in one sentence.
const MOST_NAMED: usize = 4;
/// No explanation is called surer than this (judgement).
const SURE: f64 = 0.99;

/// `wall C-D`, `the door`, `the ceiling`.
fn part(project: &Project, id: ElementId) -> String {
    match id {
        ElementId::Wall(_) => format!("wall {}", project.element_name(id)),
        ElementId::Ceiling | ElementId::Opening(_) => format!("the {}", project.element_name(id)),
    }
}

fn walls_like(project: &Project, wall: WallId) -> String {
    let buildup = project.walls.get(wall.0).map(|wall| wall.buildup);
    let same: Vec<String> = (0..project.walls.len())
        .filter(|at| project.walls.get(*at).map(|wall| wall.buildup) == buildup)
        .map(|at| project.survey.wall_name(WallId(at)))
        .collect();
    match same.as_slice() {
        [one] => format!("wall {one}"),
        all => format!("walls {}", all.join(", ")),
    }
}

/// What a suspect is called.
pub(crate) fn name(project: &Project, suspect: &Suspect) -> String {
    match suspect {
        Suspect::Gap(ElementId::Ceiling) => "a gap round or in the boards of the ceiling".to_owned(),
        Suspect::Gap(id @ ElementId::Opening(_)) => {
            format!("a gap round the frame of {}", part(project, *id))
        }
        Suspect::Gap(id) => format!("a gap in {}", part(project, *id)),
        Suspect::Seal(id) => format!("the seal of {} does not close", part(project, *id)),
        Suspect::BridgedClips => "clips of the ceiling are bridged".to_owned(),
        Suspect::MissingFill(id) => format!("fibre is missing in {}", part(project, *id)),
        Suspect::Panes(id) => format!("the panes of {} stand nearer than drawn", part(project, *id)),
        Suspect::WeakWall(wall) => format!("{} let more through than planned", walls_like(project, *wall)),
        Suspect::Flanking(receiver) => format!("sound goes round to the {receiver}"),
        Suspect::AirPath(vent) => format!("the {vent} lets more through than planned"),
        Suspect::Background(_, receivers) => {
            let at: Vec<String> = receivers.iter().map(|receiver| at_place(receiver)).collect();
            format!("other sound {} was measured with it", at.join(" and "))
        }
        Suspect::Shifted { receivers, louder, recorded, .. } => {
            let at: Vec<String> = receivers.iter().map(|receiver| at_place(receiver)).collect();
            let (place, way) = (at.join(" and "), if *louder { "too loud" } else { "too soft" });
            if *recorded {
                format!(
                    "the gain was changed between recordings, or the source: {place} all bands alike are {way}"
                )
            } else {
                format!("the source was changed between readings: {place} all bands alike are {way}")
            }
        }
    }
}

/// Where to look, and how to tell by ear or hand.
pub(crate) fn look_and_tell(project: &Project, suspect: &Suspect) -> (String, String) {
    let (look, tell) = match suspect {
        Suspect::Gap(ElementId::Ceiling) => (
            "Along the joint between boards and walls, round every cable and box, at joints that never got sealant.",
            "With noise outside and the room dark, go along the joint with a tube at the ear: it hisses where it is open. A smoke stick is drawn to it.",
        ),
        Suspect::Gap(ElementId::Opening(_)) => (
            "Between frame and wall, behind the architrave and under the sill or threshold: foam alone is no seal.",
            "With noise in the room, listen along the frame from outside with a tube at the ear; press putty into a length of the joint and listen again.",
        ),
        Suspect::Gap(ElementId::Wall(_)) => (
            "Under the wall plate, at the foot, round pipes and cables, behind skirtings and in open perpends.",
            "With noise in the room, go along head, foot and corners from outside with a tube at the ear; at night a lamp inside shows what is open.",
        ),
        Suspect::Seal(id) => {
            let door = matches!(id, ElementId::Opening(at)
                if project.openings.get(at.0).is_some_and(|opening| opening.kind == OpeningKind::Door));
            if door {
                (
                    "Threshold, meeting corners of the seal, and the hinge side: there a leaf stands off first.",
                    "Shut a strip of paper in the door every 200 mm: where it pulls out freely, the seal does not close. Push the leaf: if it gets quieter, set the catch so that the leaf is pulled tight.",
                )
            } else {
                (
                    "Corners of the seal and the side away from the catches.",
                    "Shut a strip of paper in the sash every 200 mm: where it pulls out freely, the seal does not close.",
                )
            }
        }
        Suspect::BridgedClips => (
            "Screws longer than the boards and the bar are deep; boards that touch the wall; anything wedged above a bar.",
            "Put an ear or a stethoscope to the joists while somebody taps the ceiling: near a bridge the knock is hard and near, elsewhere dull. A stud finder shows screws that end in a joist.",
        ),
        Suspect::MissingFill(_) => (
            "Bays that were hard to reach, above noggins and round cables; slumped fibre leaves the top of a wall empty.",
            "Knock along the face: an empty bay rings longer and lower. A lamp and a mirror, or a small camera through a cable hole, show it.",
        ),
        Suspect::Panes(_) => (
            "Measure the clear depth between the panes at all four sides, and look whether the reveals are lined.",
            "Play a slow sweep from 50 to 400 Hz: at the resonance the inner pane shivers under a finger.",
        ),
        Suspect::WeakWall(_) => (
            "Mortar that fell into the cavity, ties too many, plaster that is missing behind cupboards, sockets back to back, thinner blocks than noted.",
            "Lay a hand on the outer face while low drums play: a wall that lets through shivers all over, a gap does not. Drill a hole of 10 mm where nobody minds and measure.",
        ),
        Suspect::Flanking(_) => (
            "Joists, floor slab and side walls that run on into the other room, pipes, a common roof space.",
            "In the other room put an ear to each surface: the loudest is the way. If the side walls are as loud as the shared one, a lining on that alone will not help.",
        ),
        Suspect::AirPath(_) => (
            "Its lining, its joints, the wall round it, and a lid or damper that stands open.",
            "Stuff a pillow into it: if it gets quieter outside, it is the air path.",
        ),
        Suspect::Background(..) => (
            "Nothing in the room: traffic, wind or an appliance at the receiver while it was measured.",
            "Measure there again with the source off, in the same quiet hour, and enter it as `what = \"background\"`.",
        ),
        Suspect::Shifted { recorded: true, .. } => (
            "Nothing in the room: the gain of the recorder, its automatic level, the volume of what is played.",
            "Record inside and there again in one go, gain and volume untouched, the automatic level off; or record a calibrator's tone at either gain and enter it as `calibration_file`.",
        ),
        Suspect::Shifted { recorded: false, .. } => (
            "Nothing in the room: the volume of what is played, or a meter that is set or held otherwise.",
            "Read inside and there again in one go, the source as loud both times, the meter set alike.",
        ),
    };
    (look.to_owned(), tell.to_owned())
}

/// A kept fault, in a sentence.
pub(crate) fn kept_sentence(project: &Project, fault: &Fault) -> String {
    let (suspect, size, unit) = match fault {
        Fault::Gap { element, area_mm2 } => (Suspect::Gap(*element), number(*area_mm2, 0), "mm²"),
        Fault::Seal { element, open_mm } => (Suspect::Seal(*element), number(*open_mm, 1), "mm open"),
        Fault::BridgedClips { count } => (Suspect::BridgedClips, number(f64::from(*count), 0), "of them"),
        Fault::MissingFill { element, share } => {
            (Suspect::MissingFill(*element), number(100.0 * share, 0), "% of its face")
        }
        Fault::Panes { element, depth_mm } => (Suspect::Panes(*element), number(*depth_mm, 0), "mm apart"),
        Fault::WeakWall { wall, loss_db } => (Suspect::WeakWall(*wall), number(*loss_db, 0), "dB"),
        Fault::Flanking { receiver, loss_db } => {
            (Suspect::Flanking(receiver.clone()), number(*loss_db, 0), "dB in place of the stated allowance")
        }
        Fault::AirPath { vent, loss_db } => (Suspect::AirPath(vent.clone()), number(*loss_db, 0), "dB"),
    };
    format!(
        "{} ({size}\u{00A0}{unit}): found by measuring, and in all numbers of this plan until it is mended and taken out of [as_proved].",
        capital(&name(project, &suspect))
    )
}

/// `about 300 mm², four times in five between 180 and 490`.
pub(crate) fn size_words(size: &FaultSize) -> String {
    let middle = with_unit(size.median, size.decimals, size.unit);
    let range = format!("{} to {}", number(size.lower, size.decimals), number(size.upper, size.decimals));
    let more = if size.at_the_end { "; it may well lie beyond what was tried" } else { "" };
    format!("about {middle}, four times in five {range}{more}")
}

/// That *as planned* is the likeliest, and no fault is likely enough to be looked for.
fn nothing_further(project: &Project, found: &ProofDiagnosis, first: &RankedFault) -> String {
    let further = if project.faults().next().is_some() { "further " } else { "" };
    let most = found
        .explanations
        .iter()
        .filter(|one| one.size.is_some())
        .map(|one| one.probability)
        .fold(0.0, f64::max);
    format!(
        "Nothing measured speaks for a {further}fault (as planned: {}; of the faults tried none has more than {}). More bands, or a further \
         receiver, would make it surer.",
        with_unit(100.0 * first.probability, 0, "%"),
        with_unit(100.0 * most, 0, "%")
    )
}

/// What the diagnosis comes to.
pub(crate) fn verdict(project: &Project, found: &ProofDiagnosis, places: usize) -> String {
    let leading: Vec<&RankedFault> = found.explanations.iter().filter(|one| one.leads).collect();
    let Some(first) = leading.first() else { return String::new() };
    let percent = |share: f64| {
        if share > SURE {
            format!("over {}", with_unit(99.0, 0, "%"))
        } else {
            with_unit(100.0 * share, 0, "%")
        }
    };
    let tried = "among the explanations tried";
    let mut text = match leading.as_slice() {
        [_, _, ..] if found.no_further_fault() => nothing_further(project, found, first),
        [one] if one.size.is_none() => {
            format!(
                "The room does what was planned; nothing measured speaks for a fault ({}).",
                percent(one.probability)
            )
        }
        [one] => {
            let size = one.size.as_ref().map_or_else(String::new, |size| format!(": {}", size_words(size)));
            if found.nearest_only() {
                format!(
                    "None of the faults that were tried explains it well. Nearest comes: {}{size}. There may be several faults, \
                     another one, or a measurement is off.",
                    one.name
                )
            } else {
                format!("Most likely {}{size} ({} {tried}).", one.name, percent(one.probability))
            }
        }
        several => {
            let together: f64 = several.iter().map(|one| one.probability).sum();
            let mut names: Vec<String> =
                several.iter().take(MOST_NAMED).map(|one| one.name.clone()).collect();
            let more = several.len() - names.len();
            let last = match more {
                0 => names.pop().unwrap_or_default(),
                1 => "one other".to_owned(),
                _ => format!("one of {more} others"),
            };
            format!("Cannot tell: {} or {last} ({} together).", names.join(", "), percent(together))
        }
    };
    if project.faults().next().is_some() && leading.iter().any(|one| one.size.is_none()) {
        text.push_str(" As planned now has the kept faults in it.");
    }
    if found.fits_nothing && !found.nearest_only() {
        text.push_str(" No single fault explains it well: there may be several, or a measurement is off.");
    }
    if leading.len() > 1 && first.size.is_some() {
        let more = if places < project.receivers.len().min(3) {
            "Measure at a further receiver, on another side"
        } else {
            "Go and look"
        };
        let _ = write!(text, " {more}, or measure again with one of them taped over.");
    }
    text
}
