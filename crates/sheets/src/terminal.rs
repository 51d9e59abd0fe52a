//! The summary in the terminal: the verdict strip first, then what to do, then the numbers one asks for next.

use std::{borrow::Cow, fmt::Write as _};

use plan::{
    Plan,
    outcome::{Finding, Standing, Verdict, heard_words::part_name},
};
use quantities::{
    format::{number, with_unit},
    numerals::{DayOrder, Decimals},
};

/// How the summary is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Setting {
    /// Width of the terminal in characters, 60 to 200.
    pub width: usize,
    /// Whether escape codes for weight and red may be used.
    pub styled: bool,
    /// What sets decimals apart, unless the room file says it.
    pub decimals: Decimals,
    /// In which order days are written, unless the room file says it.
    pub day_order: DayOrder,
}

const BOLD: &str = "\x1b[1m";
const RED: &str = "\x1b[31m";
const DIM: &str = "\x1b[2m";
const PLAIN: &str = "\x1b[0m";

/// The summary of a plan.
pub fn summary(plan: &Plan, setting: Setting) -> String {
    let setting = Setting { width: setting.width.clamp(60, 200), ..setting };
    let mut text = String::new();
    title(&mut text, plan, setting);
    strip(&mut text, plan, setting);
    findings(&mut text, plan, setting);
    sound(&mut text, plan, setting);
    proof(&mut text, plan, setting);
    ceiling(&mut text, plan, setting);
    linings(&mut text, plan, setting);
    order(&mut text, plan, setting);
    let decimals = plan.decimals().unwrap_or(setting.decimals);
    let kept: Vec<&str> =
        [Some(plan.title.name.as_str()), plan.title.place.as_deref()].into_iter().flatten().collect();
    decimals.in_words_but(&text, &kept).into_owned()
}

fn styled(words: &str, style: &str, setting: Setting) -> String {
    if setting.styled && !words.is_empty() { format!("{style}{words}{PLAIN}") } else { words.to_owned() }
}

fn heading(text: &mut String, words: &str, setting: Setting) {
    let _ = writeln!(text, "\n{}", styled(words, BOLD, setting));
}

fn title(text: &mut String, plan: &Plan, setting: Setting) {
    let _ = writeln!(text, "{}", styled(&plan.title.name, BOLD, setting));
    let mut parts: Vec<String> = Vec::new();
    parts.extend(plan.title.place.clone());
    parts.extend(plan.title.revision.as_ref().map(|revision| format!("revision {revision}")));
    parts.extend(plan.date_in(plan.day_order().unwrap_or(setting.day_order)).map(Cow::into_owned));
    if !parts.is_empty() {
        let _ = writeln!(text, "{}", styled(&parts.join(", "), DIM, setting));
    }
    text.push('\n');
}

/// One line a verdict: mark, what, figure, meaning.
fn strip(text: &mut String, plan: &Plan, setting: Setting) {
    let about = plan.verdicts.iter().map(|verdict| width(&verdict.about)).max().unwrap_or(0);
    let figure = plan.verdicts.iter().map(|verdict| width(&figure_of(plan, verdict))).max().unwrap_or(0);
    for verdict in &plan.verdicts {
        let style = match verdict.standing {
            Standing::Holds => "",
            Standing::Close | Standing::Fails => RED,
            Standing::Open => DIM,
        };
        let head = format!(
            "  {}  {}  {}",
            padded(verdict.standing.word(), 5),
            padded(&verdict.about, about),
            padded_left(&figure_of(plan, verdict), figure)
        );
        let indent = width(&head) + 2;
        let room = setting.width.saturating_sub(indent).max(20);
        let lines = wrapped(&plan.shown(&verdict.meaning), room);
        let first = lines.first().cloned().unwrap_or_default();
        let _ = writeln!(
            text,
            "{}  {first}",
            if style.is_empty() { head } else { styled(&head, style, setting) }
        );
        for line in lines.iter().skip(1) {
            let _ = writeln!(text, "{:indent$}{line}", "");
        }
    }
}

fn figure_of(plan: &Plan, verdict: &Verdict) -> String {
    let figure = plan.shown(&verdict.figure);
    match verdict.uncertainty_shown(plan.lengths()) {
        Some(uncertainty) => format!("{figure} {uncertainty}"),
        None => figure,
    }
}

fn findings(text: &mut String, plan: &Plan, setting: Setting) {
    let urgent: Vec<&Finding> =
        plan.findings.iter().filter(|finding| finding.standing != Standing::Holds).collect();
    if urgent.is_empty() {
        return;
    }
    heading(text, "To do first", setting);
    for finding in urgent {
        let mark = if finding.standing == Standing::Open { "?" } else { "!" };
        for (at, line) in wrapped(&plan.shown(&finding.sentence), setting.width - 4).iter().enumerate() {
            let _ = writeln!(text, "  {} {line}", if at == 0 { mark } else { " " });
        }
    }
}

fn sound(text: &mut String, plan: &Plan, setting: Setting) {
    if plan.elements.is_empty() {
        return;
    }
    heading(text, "Elements", setting);
    let name = plan.elements.iter().map(|element| width(&element.name)).max().unwrap_or(0);
    for element in &plan.elements {
        let rating = element.ratings.as_ref().map_or_else(|| "–".to_owned(), bands::Ratings::rw_c_ctr);
        let f0: Vec<String> =
            element.prediction.resonances.iter().map(|resonance| number(resonance.frequency_hz, 0)).collect();
        let resonance = if f0.is_empty() { String::new() } else { format!("  f0 {} Hz", f0.join(", ")) };
        let _ = writeln!(
            text,
            "  {}  {}  Rw (C; Ctr) {}{resonance}",
            padded(&element.name, name),
            padded_left(&with_unit(element.area_m2, 1, "m²"), 8),
            padded(&rating, 15)
        );
    }
    for heard in plan.heard.iter().filter(|heard| heard.governs) {
        let shares: Vec<String> = heard
            .heard
            .shares
            .iter()
            .filter(|share| share.share_dba >= 0.05)
            .map(|share| {
                format!("{} {}\u{00A0}%", part_name(&share.name), number(share.share_dba * 100.0, 0))
            })
            .collect();
        let line = format!("{}, {}: {}", heard.receiver, heard.source, shares.join(", "));
        for (at, line) in wrapped(&plan.shown(&line), setting.width - 4).iter().enumerate() {
            let _ = writeln!(text, "  {}{line}", if at == 0 { "" } else { "  " });
        }
    }
}

/// What was measured, and which fault explains it, alone: for the command that asks for nothing else.
pub fn proof_summary(plan: &Plan, setting: Setting) -> String {
    let setting = Setting { width: setting.width.clamp(60, 200), ..setting };
    let mut text = String::new();
    title(&mut text, plan, setting);
    proof(&mut text, plan, setting);
    text
}

fn proof(text: &mut String, plan: &Plan, setting: Setting) {
    for (words, lines) in crate::proof_words::chapters(plan) {
        heading(text, &words, setting);
        for line in lines {
            for (at, line) in wrapped(&plan.shown(&line), setting.width - 4).iter().enumerate() {
                let _ = writeln!(text, "  {}{line}", if at == 0 { "" } else { "  " });
            }
        }
    }
}

fn ceiling(text: &mut String, plan: &Plan, setting: Setting) {
    let Some(layout) = &plan.ceiling.layout else { return };
    heading(text, "Ceiling", setting);
    for count in &layout.take_off.boards {
        let _ = writeln!(
            text,
            "  layer {}  {} boards, {} pieces, {} screws, {}  {}",
            count.layer,
            count.sheets,
            count.pieces,
            count.screws,
            with_unit(count.mass_kg, 0, "kg"),
            styled(&count.material, DIM, setting)
        );
    }
    let _ = writeln!(
        text,
        "  {} bars, {} clips, {} {}; the heaviest clip carries {}; {} in all, {}",
        layout.take_off.bars,
        layout.take_off.clips,
        layout.take_off.noggins,
        if layout.take_off.noggins == 1 { "noggin" } else { "noggins" },
        with_unit(layout.take_off.heaviest_clip_kg, 1, "kg"),
        with_unit(layout.take_off.mass_kg, 0, "kg"),
        with_unit(layout.take_off.mass_kg_m2, 1, "kg/m²")
    );
    as_built(text, plan, setting);
    if let Some(level) = &layout.level {
        let _ = writeln!(
            text,
            "  spacer block {}; packers up to {}{}",
            plan.lengths().with_unit(level.spacer_block_mm, 0),
            plan.lengths().with_unit(level.thickest_packer_mm, 0),
            if level.flatness_mm + level.fall_mm_per_m > 0.0 {
                format!(
                    ", {} in all (dead level {})",
                    plan.lengths().with_unit(level.packing_mm, 0),
                    plan.lengths().with_unit(level.packing_dead_level_mm, 0)
                )
            } else {
                String::new()
            }
        );
    }
}

/// What is fixed and what changes for it.
fn as_built(text: &mut String, plan: &Plan, setting: Setting) {
    if plan.ceiling.as_built_refused.is_some() {
        let _ = writeln!(text, "  as built: not counted, the readings belong to another layout");
    }
    let Some(found) = &plan.ceiling.as_built else { return };
    let difference = &found.difference;
    let _ = writeln!(
        text,
        "  as built: {} of {} remaining marks stay{}",
        difference.marks_kept,
        difference.marks_to_keep,
        match difference.more_boards {
            0 => String::new(),
            1 => "; one board more to buy".to_owned(),
            more if more > 0 => format!("; {more} boards more to buy"),
            fewer => format!("; {} boards fewer", -fewer),
        }
    );
    for sentence in &difference.sentences {
        for (at, line) in wrapped(&plan.shown(sentence), setting.width - 6).iter().enumerate() {
            let _ = writeln!(text, "    {} {line}", if at == 0 { "-" } else { " " });
        }
    }
}

/// Linings of walls, one line each.
fn linings(text: &mut String, plan: &Plan, setting: Setting) {
    if plan.linings.is_empty() {
        return;
    }
    heading(text, "Linings", setting);
    for lining in &plan.linings {
        let Some(layout) = &lining.layout else {
            let why = lining.not_planned.as_deref().unwrap_or("not set out");
            let _ = writeln!(text, "  wall {}  {}", lining.wall, styled(&plan.shown(why), RED, setting));
            continue;
        };
        let supports = if layout.on_clips {
            format!("{} bars, {} clips", layout.supports.len(), layout.clips)
        } else {
            format!("{} studs", layout.supports.len())
        };
        let proof = if layout.proved_fewest_boards {
            "no fewer possible".to_owned()
        } else {
            format!("at least {}", layout.least_boards)
        };
        let breaches = match layout.breaches.len() {
            0 => String::new(),
            1 => styled("; breaks a rule: see above", RED, setting),
            more => styled(&format!("; breaks rules in {more} places: see above"), RED, setting),
        };
        let _ = writeln!(
            text,
            "  wall {}  {supports}, {} boards ({proof}), {}{breaches}",
            lining.wall,
            layout.boards,
            with_unit(layout.mass_kg, 0, "kg")
        );
    }
}

fn order(text: &mut String, plan: &Plan, setting: Setting) {
    if plan.order.lines.is_empty() {
        return;
    }
    heading(text, "Order and work", setting);
    let hours: f64 = plan.steps.iter().map(|step| step.hours).sum();
    let _ = writeln!(
        text,
        "  {} lines, {} delivered, {}{}{}",
        plan.order.lines.len(),
        with_unit(plan.order.mass_kg, 0, "kg"),
        plan.order.currency,
        number(plan.order.price, 2),
        match plan.order.lines_without_price {
            0 => String::new(),
            1 => " and one line without a price".to_owned(),
            some => format!(" and {some} lines without a price"),
        }
    );
    let _ = writeln!(
        text,
        "  {} steps, about {} hours at the work (common practice)",
        plan.steps.len(),
        number(hours, 1)
    );
}

/// Characters a terminal shows for a text; no-break spaces count as one each.
fn width(text: &str) -> usize {
    text.chars().count()
}

fn padded(text: &str, to: usize) -> String {
    format!("{text}{:1$}", "", to.saturating_sub(width(text)))
}

fn padded_left(text: &str, to: usize) -> String {
    format!("{:1$}{text}", "", to.saturating_sub(width(text)))
}

/// Breaks a text at spaces; a longer word keeps a line of its own. No-break spaces hold.
pub(crate) fn wrapped(text: &str, room: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let Some(line) = lines.last_mut() else { break };
        if line.is_empty() {
            line.push_str(word);
        } else if width(line) + 1 + width(word) <= room {
            line.push(' ');
            line.push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_at_spaces_and_keep_numbers_with_their_units() {
        let lines = wrapped("one two\u{00A0}mm three", 8);
        assert_eq!(lines, ["one", "two\u{00A0}mm", "three"]);
    }
}
