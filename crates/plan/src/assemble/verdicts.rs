//! The verdict strip and the findings: what stands out of the numbers, and what to do about it.

use fabric::{Checked, loads::FixingResult, moisture::Verdict as Damp};
use quantities::format::{number, with_unit};
use sound::criterion::Status;

use crate::assemble::{
    as_built, ceiling, fabric_findings, lining, on_site, proof::proof_verdict, sound_findings,
};
use crate::outcome::{Finding, HeardOutcome, Plan, Standing, Verdict, WallFabric, heard_words::to_spare};
use crate::project::AsBuilt;

mod laid_out;

/// From this use on a joist that holds is called close.
const NEARLY: f64 = 0.9;
/// From this use on a fixing that holds is called close: loads are shared out by area, and a bar that runs on over several clips
/// may put some 8 % more on one of them.
const NEARLY_FIXING: f64 = 0.85;
/// A gap round the boards wider than this is hard to seal (common practice, no source), mm.
const WIDE_GAP_MM: f64 = 20.0;
/// Less than this that gathers is a figure of rounding, g/m².
const GATHERS_G_M2: f64 = 0.5;

/// The verdict strip, in the order a person asks: quiet, holds, dry, air, fits, cost.
pub(crate) fn verdicts(plan: &Plan, sealed: bool) -> Vec<Verdict> {
    let mut strip: Vec<Verdict> = plan
        .heard
        .iter()
        .filter(|heard| heard.governs)
        .map(|heard| proof_verdict::measured(plan, heard).unwrap_or_else(|| quiet(heard)))
        .collect();
    strip.push(survey(plan));
    strip.push(joists(plan));
    strip.push(fixings(plan));
    strip.push(damp(plan));
    strip.push(air(plan, sealed));
    strip.extend(heights(plan));
    strip.push(laid_out::layout(plan));
    strip.push(cost(plan));
    strip
}

fn verdict(
    about: &str,
    figure: String,
    meaning: String,
    standing: Standing,
    chapter: &'static str,
) -> Verdict {
    Verdict { about: about.to_owned(), figure, uncertainty: None, meaning, standing, chapter }
}

fn open(about: &str, meaning: &str, chapter: &'static str) -> Verdict {
    verdict(about, "not checked".to_owned(), meaning.to_owned(), Standing::Open, chapter)
}

fn quiet(outcome: &HeardOutcome) -> Verdict {
    let level = &outcome.heard.level_dba;
    let half = (level.upper_db - level.lower_db) / 2.0;
    let (meaning, standing) = match &outcome.heard.verdict {
        Some(verdict) => {
            let standing = match verdict.status {
                Status::Holds => Standing::Holds,
                Status::Close => Standing::Close,
                Status::Fails => Standing::Fails,
            };
            let margin = verdict.margin.median_db;
            let decides = verdict
                .deciding_band
                .map_or_else(String::new, |band| format!("; {}\u{00A0}Hz decides", band.nominal()));
            let label = verdict.criterion.label();
            let side = if margin >= 0.0 { " under" } else { "" };
            let meaning = format!("{}{side} {label}{decides}", to_spare(margin));
            (meaning, standing)
        }
        None => (format!("{}; no limit given", outcome.source), Standing::Open),
    };
    Verdict {
        about: outcome.receiver.clone(),
        figure: with_unit(level.median_db, 0, "dB(A)"),
        uncertainty: Some(format!("±\u{00A0}{}", number(half, 0))),
        meaning,
        standing,
        chapter: "sound",
    }
}

fn survey(plan: &Plan) -> Verdict {
    let survey = &plan.survey;
    let worst_mm = 2.0 * survey.corners.iter().map(|corner| corner.sd_mm).fold(0.0, f64::max);
    let figure = format!("±\u{00A0}{}", with_unit(worst_mm, 0, "mm"));
    let spare = survey.global_test.redundancy;
    let (meaning, standing) = match &survey.suspect {
        Some(suspect) if suspect.located => {
            (format!("tape {} is wrong: take it again", suspect.name), Standing::Fails)
        }
        Some(_) => ("the tapes contradict each other: take one more".to_owned(), Standing::Fails),
        None if spare == 0 => {
            let next =
                survey.other_shape.as_ref().map(|other| &other.tell_apart).or(survey.next_tape.as_ref());
            let take = next.map_or_else(String::new, |next| format!("; take {} too", next.name));
            (format!("no tape to spare: nothing checks the others{take}"), Standing::Open)
        }
        None if !survey.global_test.passed => {
            ("the tapes scatter more than they should".to_owned(), Standing::Close)
        }
        None => (
            format!(
                "least sure corner, 95\u{00A0}%; {}",
                match spare {
                    1 => "one tape to spare, and it agrees".to_owned(),
                    some => format!("{some} tapes to spare agree"),
                }
            ),
            Standing::Holds,
        ),
    };
    verdict("survey", figure, meaning, standing, "survey")
}

fn joists(plan: &Plan) -> Verdict {
    let plain = plan.fabric.governing_joist.and_then(|index| plan.fabric.joists.get(index));
    let worst = plan
        .fabric
        .joist_openings
        .iter()
        .map(fabric_findings::worst_of)
        .chain(plan.fabric.beams.iter().map(|beam| &beam.result))
        .chain(plain)
        .max_by(|a, b| {
            let rank = |checked: &Checked| match checked {
                Checked::Fails { .. } => 2,
                Checked::Open { .. } => 1,
                Checked::Holds { .. } => 0,
            };
            rank(&a.checked)
                .cmp(&rank(&b.checked))
                .then(a.governing.utilisation.total_cmp(&b.governing.utilisation))
        });
    let assumed = plan
        .fabric
        .joists
        .iter()
        .chain(plan.fabric.joist_openings.iter().map(fabric_findings::worst_of))
        .chain(plan.fabric.beams.iter().map(|beam| &beam.result))
        .any(|joist| joist.grade_note.is_some());
    let Some(joist) = worst else {
        let meaning = if plan.fabric.timber_open.is_empty() {
            "enter the joists to check them"
        } else {
            "none could be checked: see below"
        };
        return open("joists", meaning, "fabric");
    };
    let utilisation = joist.governing.utilisation;
    let standing = match (&joist.checked, utilisation) {
        (Checked::Holds { .. }, u) if u > NEARLY => Standing::Close,
        // Nobody has graded this timber: a class was assumed.
        (Checked::Holds { .. }, _) if assumed => Standing::Close,
        (Checked::Holds { .. }, _) => Standing::Holds,
        (Checked::Fails { .. }, _) => Standing::Fails,
        (Checked::Open { .. }, _) => Standing::Open,
    };
    let mut meaning = format!(
        "{} {}; {} to spare",
        joist.name,
        joist.governing.question.name(),
        with_unit(joist.to_spare.mass_kg_m2, 0, "kg/m²")
    );
    if assumed {
        meaning.push_str("; grade assumed");
    }
    let mut standing = standing;
    if !plan.fabric.loads_missing.is_empty() && standing != Standing::Fails {
        "not all loads are known: see below".clone_into(&mut meaning);
        standing = Standing::Open;
    }
    if !plan.fabric.timber_open.is_empty() && standing != Standing::Fails {
        "not everything of timber is checked: see below".clone_into(&mut meaning);
        standing = Standing::Open;
    }
    verdict(
        "joists",
        format!("{}\u{00A0}% used", number(utilisation * 100.0, 0)),
        meaning,
        standing,
        "fabric",
    )
}

/// The worst of clip, bar and every layer's screws; what has no maker's figure keeps it open, what fails fails it.
fn fixings(plan: &Plan) -> Verdict {
    let Some(clip) = &plan.fabric.clip else {
        if laid_out::no_layout(plan) {
            let about = "clips and bars";
            return verdict(
                about,
                "none".to_owned(),
                laid_out::NO_LAYOUT.to_owned(),
                Standing::Fails,
                "fabric",
            );
        }
        return open("clips and bars", "no ceiling set out", "fabric");
    };
    let all: Vec<&FixingResult> =
        std::iter::once(clip).chain(&plan.fabric.bar).chain(&plan.fabric.screws).collect();
    let used = |fixing: &FixingResult| fixing.checked.utilisation().unwrap_or(0.0);
    let worst = all.iter().copied().max_by(|a, b| used(a).total_cmp(&used(b))).unwrap_or(clip);
    let open_ones = all.iter().filter(|fixing| matches!(fixing.checked, Checked::Open { .. })).count();
    let percent = format!("{}: {}\u{00A0}% of its rated load", worst.name, number(used(worst) * 100.0, 0));
    let (meaning, standing) = if worst.checked.fails() {
        (percent, Standing::Fails)
    } else if open_ones == all.len() {
        ("enter the makers' loads for clip, bar and screws".to_owned(), Standing::Open)
    } else if open_ones > 0 {
        (format!("{percent}; {open_ones} of {} have no maker's figure", all.len()), Standing::Open)
    } else if used(worst) > NEARLY_FIXING {
        (percent, Standing::Close)
    } else {
        (percent, Standing::Holds)
    };
    verdict("clips and bars", with_unit(clip.mass, 1, "kg"), meaning, standing, "fabric")
}

fn damp(plan: &Plan) -> Verdict {
    let Some(moisture) = &plan.fabric.moisture else {
        return open("damp", "enter climate and use to check it", "fabric");
    };
    let vented = plan.fabric.ventilation.iter().all(|rule| rule.kept != Some(false));
    let looked = plan.fabric.ventilation.iter().all(|rule| rule.kept.is_some());
    let (meaning, standing) = match moisture.verdict {
        Damp::StaysWet => ("gathers year by year".to_owned(), Standing::Fails),
        _ if !moisture.mould_safe => ("inner surface too cold: mould".to_owned(), Standing::Fails),
        _ if !vented => ("roof not vented as it must be".to_owned(), Standing::Fails),
        Damp::DriesOut => (
            "wet in winter, dry again in summer".to_owned(),
            fabric_findings::damp_amount(moisture).map_or(Standing::Close, |(standing, _)| standing),
        ),
        Damp::Dry if !looked => ("dry if every bay is open at both ends: look".to_owned(), Standing::Open),
        Damp::Dry => ("no condensation in any month".to_owned(), Standing::Holds),
    };
    let standing = match standing {
        Standing::Fails => Standing::Fails,
        _ if !vented => Standing::Fails,
        _ if !looked => Standing::Open,
        other => other,
    };
    let mut walls: Vec<(Standing, &WallFabric)> = plan
        .fabric
        .walls
        .iter()
        .filter_map(|wall| fabric_findings::damp_wall(wall).map(|(standing, _)| (standing, wall)))
        .collect();
    let peak = |wall: &WallFabric| wall.moisture.as_ref().map_or(0.0, |moisture| moisture.peak_g_m2);
    walls.sort_by(|(a, one), (b, other)| {
        (*a != Standing::Fails).cmp(&(*b != Standing::Fails)).then(peak(other).total_cmp(&peak(one)))
    });
    if let (true, Some((worst, wall))) = (standing != Standing::Fails, walls.first())
        && (*worst == Standing::Fails || standing == Standing::Holds)
    {
        // Of walls that are as bad, those in which damp gathers and those that only mould are named apart.
        let named = |gathers: bool| -> Vec<&str> {
            let alike =
                walls.iter().filter(|(other, wall)| other == worst && (peak(wall) > GATHERS_G_M2) == gathers);
            alike.flat_map(|(_, wall)| wall.walls.iter().map(String::as_str)).collect()
        };
        let (gathers, moulds) = (named(true), named(false));
        let mut meaning: Vec<String> = Vec::new();
        if !gathers.is_empty() {
            meaning.push(format!("damp gathers in wall {}", gathers.join(", ")));
        }
        if !moulds.is_empty() {
            meaning.push(format!("mould on wall {}", moulds.join(", ")));
        }
        return verdict("damp", damp_figure(wall.moisture.as_ref()), meaning.join("; "), *worst, "fabric");
    }
    verdict("damp", damp_figure(Some(moisture)), meaning, standing, "fabric")
}

/// How much gathers at most; where nothing does but the surface moulds, how cold it is.
fn damp_figure(moisture: Option<&fabric::moisture::MoistureResult>) -> String {
    match moisture {
        Some(moisture) if moisture.peak_g_m2 <= GATHERS_G_M2 && !moisture.mould_safe => {
            format!("factor {} of {}", number(moisture.frsi, 2), number(moisture.frsi_needed, 2))
        }
        other => with_unit(other.map_or(0.0, |moisture| moisture.peak_g_m2), 0, "g/m²"),
    }
}

fn air(plan: &Plan, sealed: bool) -> Verdict {
    let Some(air) = &plan.fabric.air else {
        if sealed {
            let meaning =
                "people in it and no way for air in or out: when that is too much stands below".to_owned();
            return verdict("fresh air", with_unit(0.0, 0, "l/s"), meaning, Standing::Fails, "fabric");
        }
        return open("fresh air", "not worked out: what is missing stands below", "fabric");
    };
    let (meaning, standing) = if air.kept {
        (
            format!("highest CO₂; sealed it would be {}", with_unit(air.sealed_end_ppm, 0, "ppm")),
            Standing::Holds,
        )
    } else {
        (format!("over the limit: {} needed", with_unit(air.needed_l_s, 0, "l/s")), Standing::Fails)
    };
    verdict("fresh air", with_unit(air.peak_ppm, 0, "ppm"), meaning, standing, "fabric")
}

/// What the joist that governs may come down by in the end, mm.
fn sag_mm(plan: &Plan) -> f64 {
    plan.fabric
        .governing_joist
        .and_then(|index| plan.fabric.joists.get(index))
        .map_or(0.0, |joist| joist.final_deflection.deflection_mm)
}

/// Whether what is left of the headroom is surely left once the joists have sagged for years.
fn stays_clear(left_mm: f64, sd_mm: f64, plan: &Plan) -> bool {
    left_mm > 2.0 * sd_mm + sag_mm(plan)
}

fn heights(plan: &Plan) -> Vec<Verdict> {
    let Some(heights) = &plan.heights else {
        return vec![open("headroom", "enter joist levels to know it", "survey")];
    };
    let mut strip = Vec::new();
    let sd = heights.headroom_sd_mm;
    let (meaning, standing) = match heights.left_inside_mm {
        Some(left) if left < 0.0 => (
            format!("{} too low under {}", with_unit(-left, 0, "mm"), heights.lowest_joist),
            if left < -2.0 * sd { Standing::Fails } else { Standing::Close },
        ),
        Some(left) => (
            format!("{} to spare, lowest at {}", with_unit(left, 0, "mm"), heights.lowest_joist),
            if stays_clear(left, sd, plan) { Standing::Holds } else { Standing::Close },
        ),
        None => ("no least headroom given".to_owned(), Standing::Open),
    };
    strip.push(Verdict {
        about: "headroom".to_owned(),
        figure: with_unit(heights.headroom_mm, 0, "mm"),
        uncertainty: Some(format!("±\u{00A0}{}", number(2.0 * sd, 0))),
        meaning,
        standing,
        chapter: "survey",
    });
    if let (Some(left), Some(limit)) = (heights.left_outside_mm, heights.limit_above_ground_mm) {
        strip.push(verdict(
            "roof height",
            with_unit(heights.roof_top_above_ground_mm, 0, "mm"),
            if left >= 0.0 {
                format!("{} under the limit of {}", with_unit(left, 0, "mm"), number(limit, 0))
            } else {
                format!("{} over the limit of {}", with_unit(-left, 0, "mm"), number(limit, 0))
            },
            if left < 0.0 {
                Standing::Fails
            } else if left < 10.0 {
                Standing::Close
            } else {
                Standing::Holds
            },
            "survey",
        ));
    }
    strip
}

fn cost(plan: &Plan) -> Verdict {
    let order = &plan.order;
    if order.lines.is_empty() {
        return open("cost of the ceiling", "no order before the ceiling is set out", "order");
    }
    let figure = format!("{}{}", order.currency, number(order.price, 0));
    let missing = order.lines_without_price;
    let unpriced = if missing == 0 {
        String::new()
    } else {
        format!("; {missing} line{} without a price", if missing == 1 { "" } else { "s" })
    };
    match order.money {
        Some(money) if order.price > money => verdict(
            "cost of the ceiling",
            figure,
            format!("{}{} over{unpriced}", order.currency, number(order.price - money, 0)),
            Standing::Fails,
            "order",
        ),
        // What is left is known only once everything has its price.
        Some(money) if missing > 0 => verdict(
            "cost of the ceiling",
            format!("{figure} and more"),
            format!("of {}{}{unpriced}", order.currency, number(money, 0)),
            Standing::Open,
            "order",
        ),
        Some(money) => verdict(
            "cost of the ceiling",
            figure,
            format!("{}{} left", order.currency, number(money - order.price, 0)),
            Standing::Holds,
            "order",
        ),
        None => verdict(
            "cost of the ceiling",
            figure,
            format!("no budget given{unpriced}"),
            Standing::Open,
            "order",
        ),
    }
}

/// Findings: sentences of what is so and what to do, worst first.
/// `asked_gap_mm` is the gap round the boards as the file has it.
pub(crate) fn findings(plan: &Plan, asked_gap_mm: f64, built: Option<&AsBuilt>) -> Vec<Finding> {
    let mut found = Vec::new();
    let mut put = |standing: Standing, chapter: &'static str, sentence: String| {
        found.push(Finding { standing, chapter, sentence });
    };
    survey_findings(plan, &mut put);
    sound_findings::findings(plan, &mut put);
    proof_verdict::findings(plan, &mut put);
    ceiling_findings(plan, asked_gap_mm, &mut put);
    on_site::findings(built, plan, &mut put);
    fabric_findings::all(plan, &mut put);
    if let Some(odd) = laid_out::odd_level(plan) {
        put(Standing::Fails, "survey", sentence(&odd));
    }
    if let Some(heights) = &plan.heights {
        if let Some(left) = heights.left_inside_mm
            && left < 0.0
        {
            put(
                Standing::Fails,
                "survey",
                format!(
                    "The headroom is {} short: thinner boards, a clip with less drop, or planing {} gains it.",
                    with_unit(-left, 0, "mm"),
                    heights.lowest_joist
                ),
            );
        }
        let sag_mm = sag_mm(plan);
        if let Some(left) = heights.left_inside_mm
            && left >= 0.0
            && !stays_clear(left, heights.headroom_sd_mm, plan)
        {
            put(
                Standing::Close,
                "survey",
                format!(
                    "{} of headroom is to spare today; in the end, with creep and a loaded roof, the joists may sag by up to {}.",
                    with_unit(left, 0, "mm"),
                    with_unit(sag_mm, 0, "mm")
                ),
            );
        }
        if let Some(warm) = &heights.warm_roof {
            put(Standing::Holds, "fabric", warm.clone());
        }
    }
    found.sort_by_key(|finding| match finding.standing {
        Standing::Fails => 0,
        Standing::Close => 1,
        Standing::Open => 2,
        Standing::Holds => 3,
    });
    found
}

fn survey_findings(plan: &Plan, put: &mut impl FnMut(Standing, &'static str, String)) {
    if let Some(suspect) = &plan.survey.suspect {
        put(Standing::Close, "survey", suspect.sentence.clone());
    }
    if let Some(next) = &plan.survey.next_tape {
        put(Standing::Holds, "survey", next.sentence.clone());
    }
}

fn ceiling_findings(plan: &Plan, asked_gap_mm: f64, put: &mut impl FnMut(Standing, &'static str, String)) {
    for wall in plan.ceiling.wall_gaps.iter().filter(|wall| wall.gap_mm > asked_gap_mm) {
        put(
            if wall.gap_mm > WIDE_GAP_MM { Standing::Close } else { Standing::Holds },
            "ceiling",
            format!(
                "The gap round the boards is {}, not {}.{}",
                wall.words(),
                with_unit(asked_gap_mm, 0, "mm"),
                if wall.bulge_mm > 0.0 {
                    " The bulge is that behind the straightedge: hold a string from corner to corner, and if the wall comes further in there, enter that."
                } else {
                    ""
                }
            ),
        );
    }
    if let Some(words) = &plan.ceiling.not_planned {
        // Boards on channels or straight on the joists are no mistake: there are only no clips to set out.
        let no_clips = words == ceiling::NO_CLIPS;
        put(if no_clips { Standing::Open } else { Standing::Fails }, "ceiling", sentence(words));
    }
    for breach in &plan.ceiling.breaches {
        put(Standing::Fails, "ceiling", sentence(&breach.sentence));
    }
    lining::findings(&plan.linings, put);
    if let Some(refused) = &plan.ceiling.as_built_refused {
        put(Standing::Open, "ceiling", sentence(refused));
    }
    if let Some(found) = &plan.ceiling.as_built {
        as_built::findings(found, plan.ceiling.stamp.as_deref(), put);
    }
    if let Some(layout) = &plan.ceiling.layout {
        for note in &layout.notes {
            put(Standing::Holds, "ceiling", sentence(note));
        }
        for count in &layout.take_off.boards {
            if count.sheet_mass_kg > plan.limits.lift_kg {
                put(
                    Standing::Close,
                    "ceiling",
                    format!(
                        "A whole board of layer {} weighs {}, over the {} you want to lift: ask for a smaller format.",
                        count.layer,
                        with_unit(count.sheet_mass_kg, 1, "kg"),
                        with_unit(plan.limits.lift_kg, 0, "kg")
                    ),
                );
            }
        }
    }
}

/// The words as a sentence: a capital at the beginning, a full stop at the end.
pub(crate) fn sentence(words: &str) -> String {
    capital(&ended(words))
}

/// The words with a full stop at the end.
pub(crate) fn ended(words: &str) -> String {
    let words = words.trim_end();
    if words.ends_with(['.', '!', '?']) { words.to_owned() } else { format!("{words}.") }
}

/// The words with a capital at their beginning.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}
