//! Every English word of the page, in one place.

pub(crate) mod choose;
pub(crate) mod hear;
pub(crate) mod lan;
pub(crate) mod proof;

use std::fmt::Write as _;

use plan::{OutOfRange, outcome::Standing};

use super::fields;

pub(crate) const NOTHING_TO_UNDO: &str = "There is nothing to undo.";
pub(crate) const NOTHING_TO_REDO: &str = "There is nothing to redo.";
pub(crate) const CHANGED_ON_DISK: &str = "Another program changed the file. The page shows the file as it is now; undo brings back what was here before.";
pub(crate) const CHANGED_ON_DISK_EDIT: &str = "Another program changed the file meanwhile, so this change was not made. A field keeps what you typed; all else is the file as it is now. Make the change again if it still fits.";
pub(crate) const OTHER_TAB: &str = "The room was changed in another window meanwhile, so this change was not made. A field keeps what you typed; all else is the room as it is now. Make the change again if it still fits.";
pub(crate) const FILE_HAS_ERRORS: &str = "The file has errors, so what you see is the last plan that could be made. The raw file says line by line what is wrong.";
/// Said where the file reads well and gives no plan.
pub(crate) fn no_plan(why: &str) -> String {
    format!("{why} Until then what you see is the last plan that could be made.")
}

pub(crate) const WRONG_HOST: &str = "This page answers only to its own address on this machine.";
pub(crate) const WRONG_ORIGIN: &str = "A change is taken only from a page of this room.";
pub(crate) const TOO_LARGE: &str = "That is larger than any room file. Nothing was changed.";
pub(crate) const NO_KEY: &str = "This page opens only with the address that `stillroom open` printed. Copy it whole, with what stands behind `key=`.";
pub(crate) const NO_SUCH_PAGE: &str = "There is no such page here. The register at the left has them all.";
pub(crate) const NO_SUCH_LAYER: &str =
    "There is no such layer any more. The page shows the layers as they are now.";
pub(crate) const NO_SUCH_ENTRY: &str =
    "There is no such entry any more. The page shows the file as it is now.";
pub(crate) const NO_SUCH_BAR: &str =
    "There is no such bar any more. The page shows the bars as they are now.";
pub(crate) const NOT_FINISHED: &str =
    "That could not be worked out: the program stopped in the middle of it. The file is as it was.";

pub(crate) const PROGRAM: &str = "Stillroom";
pub(crate) const SKIP: &str = "To the sheet";
pub(crate) const STRIP: &str = "Verdicts";
pub(crate) const REGISTER: &str = "Sheets of the job";
pub(crate) const UNDO: &str = "undo";
pub(crate) const REDO: &str = "redo";
pub(crate) const READ_IT: &str = "read";
pub(crate) const SHEET: &str = "sheet";
pub(crate) const SURVEY: &str = "survey";
pub(crate) const REVISION: &str = "revision";
pub(crate) const FILE: &str = "file";
pub(crate) const PAPER: &str = "paper";
pub(crate) const TURN_PAPER: &str = "light or dark";
pub(crate) const LENGTHS: &str = "lengths";
pub(crate) const IN_FEET: &str = "feet and inches";
pub(crate) const IN_MM: &str = "millimetres";
pub(crate) const FEET_HOW: &str = "Lengths are shown to the nearest 1/16\u{a0}inch. A field also takes plain millimetres. The room file says which unit it begins with: lengths, under [project].";
pub(crate) const TAKE_AWAY: &str = "to take away";
pub(crate) const DOSSIER: &str = "everything on paper (PDF)";
pub(crate) const SITE_PAGE: &str = "page for the site";
pub(crate) const CAUTION: &str = "A guide, not a structural design.";
pub(crate) const CAUTION_MORE: &str = "Have the joists and the fixings confirmed by a structural engineer; follow the maker\u{2019}s \
                                       figures and local rules.";
pub(crate) const BEING_SET_OUT: &str =
    "The ceiling is being set out; what you see of it is the layout before.";
pub(crate) const BEING_SET_OUT_FIRST: &str = "The ceiling is being set out for the first time.";
pub(crate) const FOLLOWS: &str = "from before the edit: the new figures follow in a moment";
pub(crate) const END_SEARCH: &str = "take the best found so far";
pub(crate) const ENDED_EARLY: &str =
    "The search for a layout was ended early: this is the best found by then, not the one a plan gives.";
pub(crate) const TAKE_OVER: &str = "take over";
pub(crate) const NO_PLAN: &str =
    "There is no plan yet. Put right what the raw file names, then every sheet fills.";
pub(crate) const NOT_SETTLED: &str = "The plan is still being worked out behind the page. Wait until it is, or take the best layout found so far, then ask again: a drawing must not show another room's bars.";
pub(crate) const AND: &str = "and";
pub(crate) const GONE: &str =
    "The program does not answer any more. Start it again; the file on disk is as it was last shown.";
pub(crate) const LOST: &str = "The program does not answer any more, so whether this change was saved is not known; what you typed stands in its field. Start the program again and look whether the file has it: it has the whole change or nothing of it.";
pub(crate) const ARROWS: &str = "arrow keys move it";
pub(crate) const TO_DO: &str = "To do, and to know";

/// What a page of the register is called, and what stands above it.
pub(crate) struct Title {
    pub(crate) short: &'static str,
    pub(crate) long: &'static str,
}

pub(crate) const ROOM: Title = Title { short: "Room", long: "The room as taped" };
pub(crate) const BUILT: Title = Title { short: "Built of", long: "What it is built of" };
pub(crate) const HEARD: Title = Title { short: "Heard", long: "What is heard where" };
pub(crate) const CHOOSE: Title = Title { short: "Choose", long: "What to build" };
pub(crate) const CEILING: Title = Title { short: "Ceiling", long: "The ceiling set out" };
pub(crate) const FABRIC: Title =
    Title { short: "Fabric", long: "Does it hold, stay dry, and can one breathe" };
pub(crate) const ORDER: Title = Title { short: "Order", long: "What to buy" };
pub(crate) const STEPS: Title = Title { short: "Steps", long: "The build, step by step" };
pub(crate) const PROOF: Title = Title { short: "Proof", long: "What was measured" };
pub(crate) const RAW: Title = Title { short: "Raw file", long: "The file, as it is written" };

pub(crate) mod room {
    pub(crate) const TAPES: &str = "Tapes";
    pub(crate) const TAPES_HOW: &str =
        "Change a reading and the room follows. Missed by: what the adjusted room says less what was read.";
    pub(crate) const LINE: &str = "line";
    pub(crate) const AT_CEILING: &str = "at ceiling, mm";
    pub(crate) const AT_FLOOR: &str = "at floor, mm";
    pub(crate) const MISSED: &str = "missed by, mm";
    pub(crate) const CORNERS: &str = "Corners";
    pub(crate) const CORNERS_HOW: &str =
        "Drag a corner, or move it here; its tapes can then be rewritten so that it stands there.";
    pub(crate) const CORNER: &str = "corner";
    pub(crate) const KNOWN_TO: &str = "known to (95\u{a0}%), mm";
    pub(crate) const ANGLE: &str = "angle, °";
    pub(crate) const SQUARE: &str = "out of square, mm/m";
    pub(crate) const MOVE: &str = "Move corner";
    pub(crate) const RIGHT: &str = "to the right, mm";
    pub(crate) const UP: &str = "up, mm";
    pub(crate) const SHOW_TAPES: &str = "show its tapes";
    pub(crate) const REWRITE: &str = "rewrite these tapes";
    pub(crate) const LET_BE: &str = "let it be";
    pub(crate) const JOISTS: &str = "Undersides of the joists";
    pub(crate) const JOISTS_HOW: &str = "From the laser line up to the timber, mm";
    pub(crate) const JOIST: &str = "joist";
    pub(crate) const READING: &str = "reading";
    pub(crate) const HEIGHTS: &str = "Heights";
    pub(crate) const WOULD_READ: &str = "would read, mm";
    pub(crate) const FLOOR: &str = "at floor";
    pub(crate) const MOVED_HOW: &str =
        "Dashed red in the drawing: its walls as they would run. Nothing is written until you say so.";

    /// `Corner C there`
    pub(crate) fn corner_moved(corner: &str) -> String {
        format!("Corner {corner} there: its tapes")
    }
}

pub(crate) mod built {
    use quantities::format::with_unit;

    pub(crate) const LAYERS: &str = "Layers, from outside to inside";
    pub(crate) const LAYERS_HOW: &str =
        "Drag a layer in the section or use the arrows. Every change is planned at once.";
    pub(crate) const KIND: &str = "kind";
    pub(crate) const MATERIAL: &str = "material";
    pub(crate) const SIZE: &str = "mm";
    pub(crate) const SHEETS: &str = "sheets";
    pub(crate) const FILL: &str = "fibre";
    pub(crate) const FILL_MM: &str = "fibre, mm";
    pub(crate) const OUTWARDS: &str = "outwards";
    pub(crate) const INWARDS: &str = "inwards";
    pub(crate) const AWAY: &str = "take away";
    pub(crate) const ADD: &str = "Add a layer inside";
    pub(crate) const ADD_BOARD: &str = "a board";
    pub(crate) const ADD_CAVITY: &str = "a cavity";
    pub(crate) const NONE: &str = "none";
    pub(crate) const OWN: &str = "own data";
    pub(crate) const MADE_OF_IT: &str = "Made of it";
    pub(crate) const ELEMENT: &str = "element";
    pub(crate) const RW: &str = "Rw (C; Ctr), dB";
    pub(crate) const LIMITS: &str = "Advice";
    pub(crate) const BUILDUPS: &str = "Build-ups";

    /// `Cold flat roof: 245 mm deep, 55.6 kg/m² without timbers and bars.`
    pub(crate) fn depth_and_mass(name: &str, depth_mm: f64, mass_kg_m2: f64) -> String {
        let (depth, mass) = (with_unit(depth_mm, 0, "mm"), with_unit(mass_kg_m2, 1, "kg/m²"));
        format!("{name}: {depth} deep, {mass} without timbers and bars.")
    }
}

pub(crate) mod heard {
    pub(crate) const PLACES: &str = "Places";
    pub(crate) const WHO: &str = "Who lets it through, and what if it were perfect";
    pub(crate) const PART: &str = "part";
    pub(crate) const ALONE: &str = "alone, dB(A)";
    pub(crate) const SHARE: &str = "share";
    pub(crate) const PERFECT: &str = "if perfect, dB(A)";
    pub(crate) const GAIN: &str = "gains, dB(A)";
    pub(crate) const LEVEL: &str = "level, median";
    pub(crate) const BETWEEN: &str = "four times in five between";
    pub(crate) const UNDER: &str = "must stay under";
    pub(crate) const LIKELY: &str = "it holds with a likelihood of";
    pub(crate) const SOURCES: &str = "Sources in the room";
    pub(crate) const SOURCE: &str = "source";
    pub(crate) const IN_ROOM: &str = "in the room, dB(A)";
    pub(crate) const LIMITS: &str = "Limits";
    pub(crate) const RECEIVER: &str = "place";
    pub(crate) const LIMIT_DBA: &str = "limit, dB(A)";
    pub(crate) const LIMIT_NR: &str = "limit, NR";
    pub(crate) const NOBODY: &str = "No place to listen at is in the file: add a [[receiver]].";
    pub(crate) const TAKEN: &str = "taken:";
}

pub(crate) mod ceiling {
    use quantities::format::with_unit;

    pub(crate) const BARS: &str = "bars and clips";
    pub(crate) const LAYER: &str = "boards, layer";
    pub(crate) const VIEW: &str = "What is shown";
    pub(crate) const AS_BUILT: &str = "as built";
    pub(crate) const GO_ON: &str = "How to go on";
    pub(crate) const FOUND: &str = "What was found";
    pub(crate) const NOTHING_BROKEN: &str = "Nothing that was found breaks a rule.";
    pub(crate) const WOULD_BREAK: &str = "If the rest went on as it was planned, this would break a rule:";
    pub(crate) const MARKS: &str = "Marks on wall";
    pub(crate) const FROM: &str = "from";
    pub(crate) const AT: &str = "mm";
    pub(crate) const WHAT: &str = "mark";
    pub(crate) const TRY: &str = "A bar off its mark";
    pub(crate) const TRY_HOW: &str = "Drag a bar, or move it here; plus is away from the corner the layout starts from. The rules it would break are told at once. Nothing is written until you say it is fixed there.";
    pub(crate) const BAR: &str = "bar";
    pub(crate) const OFF: &str = "off its mark, mm";
    pub(crate) const ASK: &str = "what then?";
    pub(crate) const KEEPS: &str = "Every rule is kept.";
    pub(crate) const FIXED: &str = "it is fixed there";
    pub(crate) const FIXED_HOW: &str = "Writes the reading into the file; the plan is mended round it.";
    pub(crate) const BACK: &str = "back to its mark";
    pub(crate) const PIECES: &str = "Pieces";
    pub(crate) const PIECE: &str = "piece";
    pub(crate) const LONG: &str = "length, mm";
    pub(crate) const WIDE: &str = "width, mm";
    pub(crate) const MASS: &str = "kg";
    pub(crate) const SHEET: &str = "sheet";
    pub(crate) const BREACHES: &str = "Rules broken";
    pub(crate) const RULES: &str = "Rules of the layout";
    pub(crate) const WHOLE: &str = "whole";

    /// `12 bars, 77 clips, `
    pub(crate) fn bars_and_clips(bars: usize, clips: usize) -> String {
        format!("{bars} bars, {clips} clips, ")
    }

    /// `3`, or where an earlier layer began the sheet `3 of layer 1`.
    pub(crate) fn sheet_of(sheet: usize, begun_in: Option<usize>) -> String {
        begun_in.map_or_else(|| sheet.to_string(), |layer| format!("{sheet} of layer {layer}"))
    }

    /// `39 pieces from 30 sheets of plasterboard, `
    pub(crate) fn boards(pieces: usize, sheets: usize, material: &str) -> String {
        format!("{pieces} pieces from {sheets} sheets of {material}, ")
    }

    /// `32.2 kg/m² hung.`
    pub(crate) fn hung(mass_kg_m2: f64) -> String {
        format!("{} hung. Seen from above, as the floor plan lies.", with_unit(mass_kg_m2, 1, "kg/m²"))
    }

    /// `An end joint of layer 1 has no bar under it, 3 times: pieces 1-03 and 1-04; 1-07 and 1-08.`
    pub(crate) fn breach(sentence: &str, count: usize, pieces: &[String]) -> String {
        let times = if count > 1 { format!(", {count} times") } else { String::new() };
        let pieces =
            if pieces.is_empty() { String::new() } else { format!(": pieces {}", pieces.join("; ")) };
        format!("{sentence}{times}{pieces}.")
    }

    /// `Bar 5, 20 mm off its mark: gaps 420 mm and 380 mm.`
    pub(crate) fn off_its_mark(bar: usize, off_mm: f64, gaps: &[String]) -> String {
        let gaps = gaps.join(" and ");
        format!("Bar {bar}, {} off its mark: gaps {gaps}.", with_unit(off_mm, 0, "mm"))
    }
}

pub(crate) mod fabric {
    pub(crate) const JOISTS: &str = "Joists";
    pub(crate) const JOIST: &str = "joist";
    pub(crate) const USED: &str = "used, %";
    pub(crate) const GOVERNS: &str = "by";
    pub(crate) const STANDING: &str = "";
    pub(crate) const FIXINGS: &str = "Clips, bars and screws";
    pub(crate) const OPEN: &str = "Not checked";
    pub(crate) const AIR: &str = "Air and the room";
    pub(crate) const LIMITS: &str = "Use and limits";
    pub(crate) const PEOPLE: &str = "people";
    pub(crate) const FRESH: &str = "fresh air, l/s";
    pub(crate) const HEADROOM: &str = "least headroom, mm";
    pub(crate) const SPEND: &str = "most to spend";
    pub(crate) const PEAK: &str = "highest CO₂ of a session";
    pub(crate) const SEALED: &str = "with the room sealed";
    pub(crate) const NEEDED: &str = "fresh air needed";
    pub(crate) const U_VALUE: &str = "heat through the ceiling, U";
    pub(crate) const DECAY: &str = "decay time, middle";
}

pub(crate) mod order {
    pub(crate) const WHAT: &str = "what";
    pub(crate) const NEEDED: &str = "needed";
    pub(crate) const BUY: &str = "buy";
    pub(crate) const SOLD_AS: &str = "sold as";
    pub(crate) const PRICE: &str = "price";
    pub(crate) const MASS: &str = "kg";
    pub(crate) const TOTAL: &str = "together";
    pub(crate) const PRICES: &str = "Prices of one";
    pub(crate) const EACH: &str = "each";

    /// A unit of sale as it is written.
    pub(crate) fn unit(key: &str) -> &str {
        if key == "m2" { "m²" } else { key }
    }
    pub(crate) const MISSING: &str = "Prices that are missing";
    pub(crate) const MISSING_HOW: &str = "Of one, as the order counts it. Written into the file under [[stock.price]], by the name that stands here.";
    pub(crate) const NO_SUCH_LINE: &str =
        "The order has no such line any more. The page shows the order as it is now.";

    /// What the field of a price is called.
    pub(crate) fn price_of(called: &str) -> String {
        format!("price of one: {called}")
    }

    /// How many lines have no price.
    pub(crate) fn without_price(lines: usize) -> String {
        if lines == 1 { "1 line has no price.".to_owned() } else { format!("{lines} lines have no price.") }
    }
}

pub(crate) mod steps {
    pub(crate) const PEOPLE: &str = "people";
    pub(crate) const HOURS: &str = "h";
    pub(crate) const HOLD: &str = "Hold point";
    pub(crate) const WITH: &str = "with";
    pub(crate) const RIGHT_IF: &str = "Right if";
    pub(crate) const OTHERWISE: &str = "If it is out";
    pub(crate) const DONE: &str = "done";
    pub(crate) const DONE_BUT_OUT: &str = "ticked, but its hold point is out";
    pub(crate) const MEASURED: &str = "Measured";
    pub(crate) const IS_WITHIN: &str = "within";
    pub(crate) const IS_OUT: &str = "out";
    pub(crate) const FROM_SITE: &str = "From the site";
    pub(crate) const TAKE: &str = "Take in the readings of the phone";
    pub(crate) const TAKE_HOW: &str = "The page for the site gives a small file, readings.toml. Taken in twice, nothing is added twice; undo takes it back.";
    pub(crate) const DROP: &str = "Drop the file here, or choose it:";
    pub(crate) const ANYWAY: &str = "count them for this room and today's layout, whatever the file says";
    pub(crate) const TAKE_IN: &str = "take in";
    pub(crate) const BARS: &str = "Bars as fixed";
    pub(crate) const BAR: &str = "bar";
    pub(crate) const WALL: &str = "wall";
    pub(crate) const AT: &str = "at, mm";
    pub(crate) const CLIPS: &str = "Clips";
    pub(crate) const CLIP: &str = "clip";
    pub(crate) const ON_ITS_MARK: &str = "on its mark";
    pub(crate) const ALONG: &str = "along its bar, mm";
    pub(crate) const SKIPPED: &str = "skipped";
    pub(crate) const BOARDS: &str = "Boards that are up";
    pub(crate) const PIECE: &str = "piece";
    pub(crate) const OFF_ALONG: &str = "off along the bars, mm";
    pub(crate) const OFF_ACROSS: &str = "off across, mm";
    pub(crate) const ADDED: &str = "added";
    /// Stands for the form where a sentence belongs to it as a whole.
    pub(crate) const FORM: &str = "readings";
    pub(crate) const NO_FILE: &str =
        "Choose the file of readings that the page for the site saved; it is called readings.toml.";
    pub(crate) const NO_TEXT: &str = "That is no file of readings: choose the readings.toml that the page for the site saved. Nothing was taken in.";

    /// What is larger than any file of readings.
    pub(crate) fn too_large(called: &str) -> String {
        format!("\u{2018}{called}\u{2019} is larger than any file of readings. Nothing was taken in.")
    }

    /// `13 readings taken in, 2 stood there already.` and what else is to be told.
    pub(crate) fn taken(added: usize, known: usize, notes: &[String]) -> String {
        let readings =
            |count: usize| if count == 1 { "1 entry".to_owned() } else { format!("{count} entries") };
        let stood =
            if known > 0 { format!(", {} stood there already", readings(known)) } else { String::new() };
        let mut words = format!("{} taken in{stood}.", readings(added));
        for note in notes {
            words.push(' ');
            words.push_str(note);
        }
        words
    }

    /// `2 of 14 steps done, 3 hold points measured.`
    pub(crate) fn how_far(done: usize, steps: usize, held: usize) -> String {
        let points = if held == 1 { "1 hold point".to_owned() } else { format!("{held} hold points") };
        format!("{done} of {steps} steps done, {points} measured.")
    }
}

pub(crate) mod raw {
    pub(crate) const HOW: &str = "Save with the button or Ctrl+S. A text with an error is not saved; it stays here, and what is wrong stands beside its line.";
    pub(crate) const SAVE: &str = "save";
    pub(crate) const TEXT: &str = "Text of the room file";
    pub(crate) const NOTHING_WRONG: &str = "Nothing wrong found.";
    pub(crate) const LINE: &str = "line";
    pub(crate) const FOUND: &str = "Found";
    pub(crate) const UNSAVED: &str = "Your text from before is back in the field. It is not saved yet.";
    pub(crate) const UNSAVED_CHANGED: &str = "Your text from before is back in the field, not saved yet. The file has changed since you began: saving puts your text in its place.";
    pub(crate) const DROP_UNSAVED: &str = "show the file instead";
}

/// How many verdicts do not hold, worst first; none where all do.
pub(crate) fn not_holding(standings: impl Iterator<Item = Standing>) -> Option<String> {
    let all: Vec<Standing> = standings.collect();
    let of = |wanted: Standing| all.iter().filter(|standing| **standing == wanted).count();
    let (fail, close, open) = (of(Standing::Fails), of(Standing::Close), of(Standing::Open));
    let mut parts = Vec::new();
    if fail > 0 {
        parts.push(format!("{fail} {}", if fail == 1 { "fails" } else { "fail" }));
    }
    if close > 0 {
        parts.push(format!("{close} close"));
    }
    if open > 0 {
        parts.push(format!("{open} open"));
    }
    (!parts.is_empty()).then(|| format!("{} of {}", parts.join(", "), all.len()))
}

/// The file and how long it is.
pub(crate) fn file_of_lines(file: &str, lines: usize) -> String {
    format!("{file}, {lines} lines")
}

/// The file cannot be read any more.
pub(crate) fn cannot_be_read(why: &str) -> String {
    format!("{why} The page goes on with what it read before and will not write over it.")
}

/// A write failed.
pub(crate) fn not_written(why: &str) -> String {
    format!("The change was not made. {why}")
}

/// A field holds no number.
pub(crate) fn no_number(typed: &str, comma: bool) -> String {
    let typed = typed.trim();
    if fields::may_group(typed, comma) {
        return format!(
            "\u{2018}{typed}\u{2019} may be thousands or decimals. Write it without a mark between thousands, such as 5235."
        );
    }
    format!("\u{2018}{typed}\u{2019} is no number. Write it like 5235 or 12.5.")
}

/// A number out of its range, with what its field is called.
pub(crate) fn out_of_range(field: &str, range: &OutOfRange) -> String {
    let called = format!("\u{2018}{}\u{2019}", field_alone(field));
    let told = range.told(&called);
    match &range.meant {
        Some((meant, number)) => format!("{told} If that was meant in {meant}, type {number}."),
        None => told,
    }
}

/// What a field is called without its unit, which stands behind the numbers.
fn field_alone(field: &str) -> &str {
    ["mm", "l/s"].iter().find_map(|unit| field.strip_suffix(unit)?.strip_suffix(", ")).unwrap_or(field)
}

/// A bare number in a field of a page in feet and inches.
pub(crate) fn taken_as_mm(typed: &str, shown: &str) -> String {
    format!(
        "\u{2018}{}\u{2019} bears no mark of feet or inches, so it was taken as millimetres: {shown}.",
        typed.trim()
    )
}

/// The room file is not where it was.
pub(crate) fn file_gone(name: &str) -> String {
    format!(
        "{name} is no longer in its folder: it was moved, renamed or deleted. Nothing was written. Put it back, or close this page and open the file where it lies now."
    )
}

/// A field holds no length.
pub(crate) fn no_length(typed: &str) -> String {
    format!(
        "\u{2018}{}\u{2019} is no number and no length. Write millimetres like 5235 or 12.5, without a mark between thousands, or feet and inches like 8' 4 3/16\" with less than 12 inches after feet.",
        typed.trim()
    )
}

/// A whole page that says one sentence.
pub(crate) fn refused_page(sentence: &str) -> String {
    let mut page = String::from(
        "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"><title>Stillroom</title>\
         <link rel=\"stylesheet\" href=\"/assets/page.css\"><body class=\"alone\"><h1>Stillroom</h1><p>",
    );
    // Only our own sentences come here, but a page is no place to rely on that.
    for letter in sentence.chars() {
        match letter {
            '<' => page.push_str("&lt;"),
            '&' => page.push_str("&amp;"),
            other => {
                let _ = write!(page, "{other}");
            }
        }
    }
    page.push_str("</p></body></html>");
    page
}
