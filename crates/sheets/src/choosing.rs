//! The sheet of what to build: the front drawn, each element's share of the sound before and after; what is printed; the lists.

use std::fmt::Write as _;

use paper::{
    Dash, Document, Ink, Path, Pen, Point, Scene, Text,
    chart::{PlainChart, PlainLimit, PlainLine, PlainMark},
    pdf, svg,
};
use plan::{
    choosing::outcome::{Built, Choice, FrontRow, MarginRow, Sensitivity, Verified},
    outcome::product_names,
};
use quantities::{
    format::{number, with_unit},
    lengths::Lengths,
};

use crate::{
    SheetFile,
    drawings::Drawing,
    lists::{List, n},
    terminal::wrapped,
};

/// Size of the sheet, mm.
const SHEET_MM: [f64; 2] = [388.0, 218.0];
/// Size of the front on a page, mm.
const SCREEN_MM: [f64; 2] = [200.0, 96.0];
/// How far the line of a front goes on beyond its last point, as a part of its length.
const BEYOND: f64 = 0.1;
/// A share below this is not worth a line.
const LEAST_SHARE: f64 = 0.03;

/// Everything there is to write of a choice: the drawn sheet, the fronts and candidates as lists, all of it as JSON.
pub fn files(choice: &Choice, lengths: Lengths) -> Vec<SheetFile> {
    let drawn = sheet(choice, lengths);
    let mut files = vec![SheetFile::text("choosing.svg", svg::write_file(&drawn))];
    let mut document = Document::new(format!("{}: what to build", choice.room));
    document.add(drawn, "what to build");
    if let Ok(bytes) = pdf::write(&document) {
        files.push(SheetFile { path: "choosing.pdf".to_owned(), bytes });
    }
    files.extend(
        lists(choice, lengths)
            .iter()
            .map(|list| SheetFile::text(format!("{}.csv", list.name), list.to_csv())),
    );
    files.extend(json(choice));
    files
}

/// All of a choice as JSON.
pub(crate) fn json(choice: &Choice) -> Option<SheetFile> {
    let json = serde_json::to_string_pretty(choice).ok()?;
    Some(SheetFile::text("choice.json", json + "\n"))
}

/// The fronts, the candidates and the shares as lists.
pub(crate) fn lists(choice: &Choice, lengths: Lengths) -> Vec<List> {
    let mut all = vec![front(choice), headroom_front(choice), candidates(choice), shares(choice)];
    for list in &mut all {
        show(list, lengths);
    }
    all
}

/// The sheet of the fronts and of each option's share of the sound, among the drawings of a plan.
pub fn drawing(choice: &Choice, lengths: Lengths) -> Drawing {
    Drawing {
        id: "what-to-build".to_owned(),
        title: "What each decibel costs".to_owned(),
        subtitle: "each point of a front is the least for its margin; each element's share before and after"
            .to_owned(),
        scene: sheet(choice, lengths),
        scale: None,
        model: None,
    }
}

/// A sum in the currency of the choice, or in square metres of board.
pub fn money(choice: &Choice, cost: f64) -> String {
    if choice.currency.is_empty() {
        with_unit(cost, 0, "m² of board")
    } else {
        let sign = if cost < 0.0 { "−" } else { "" };
        format!("{sign}{}{}", choice.currency, number(cost.abs(), 0))
    }
}

/// `2.1 dB to spare` or `0.4 dB short`.
pub(crate) fn spare(margin_db: f64) -> String {
    let amount = with_unit(margin_db.abs(), 1, "dB");
    if margin_db >= 0.0 { format!("{amount} to spare") } else { format!("{amount} short") }
}

/// What is printed, `width` characters wide.
pub fn summary(choice: &Choice, width: usize, lengths: Lengths) -> String {
    let width = (width.clamp(60, 200), lengths);
    let mut text = String::new();
    let _ = writeln!(text, "{}", choice.room);
    paragraph(
        &mut text,
        width,
        "",
        &format!(
            "{} ways of building looked at, {} of them beaten by no other; every limit kept {:.0} times in a hundred",
            choice.candidates, choice.left, choice.sure_percent
        ),
    );
    let _ = writeln!(text, "\nAs the file has it  {}", cost_words(choice, &choice.today));
    margins(&mut text, &choice.today.margins);
    if let Some(chosen) = &choice.chosen {
        let _ = writeln!(text, "\n{}  {}", head(choice), cost_words(choice, chosen));
        for pick in chosen.picks.iter().filter(|pick| pick.candidate != 0) {
            let words = format!("{}: {}, {}", pick.element, pick.name, money(choice, pick.cost));
            paragraph(&mut text, width, "  ", &words);
        }
        let kept = chosen.picks.iter().filter(|pick| pick.candidate == 0).map(|pick| pick.element.as_str());
        let kept: Vec<&str> = kept.collect();
        if !kept.is_empty() {
            paragraph(&mut text, width, "  ", &format!("as it is: {}", kept.join(", ")));
        }
        margins(&mut text, &chosen.margins);
        for used in &chosen.uses {
            let _ = writeln!(
                text,
                "  {}: {} of {}",
                used.name,
                used_words(used.used, &used.unit, lengths, false),
                used_words(used.most, &used.unit, lengths, true)
            );
        }
        proof(&mut text, choice, width);
    }
    told(&mut text, choice, width);
    text
}

/// Before what fails today and with the choice.
pub const STILL_FAILS: &str = "Fails today and with this choice too:";

/// What the chosen set is.
pub fn head(choice: &Choice) -> &'static str {
    let fails =
        |verified: &Verified| !(verified.newly_failing.is_empty() && verified.still_failing.is_empty());
    if choice.holds && choice.verified.as_ref().is_some_and(fails) {
        "Least cost found that keeps every limit chosen by; planned whole something fails"
    } else if choice.holds {
        "Least cost found that keeps every limit"
    } else if choice.none_holds_proved {
        "No set keeps every limit; the nearest"
    } else {
        "No set was found that keeps every limit; the nearest found"
    }
}

fn proof(text: &mut String, choice: &Choice, width: (usize, Lengths)) {
    paragraph(text, width, "  ", &choice.proof);
    if let Some(verified) = &choice.verified {
        let least = verified.margins.iter().map(|row| row.margin_db).fold(f64::INFINITY, f64::min);
        if least.is_finite() {
            paragraph(text, width, "  ", &format!("planned whole: {} where it is tightest", spare(least)));
        }
        for sentence in &verified.newly_failing {
            paragraph(text, width, "  ! ", &format!("Planned whole it fails: {sentence}"));
        }
        for sentence in &verified.still_failing {
            paragraph(text, width, "  ! ", &format!("{STILL_FAILS} {sentence}"));
        }
    }
}

/// What is said of each limit; what is said of several in the same words is said once.
pub fn said_once(choice: &Choice) -> Vec<String> {
    let mut said: Vec<(&str, Vec<&str>)> = Vec::new();
    for one in &choice.why_not {
        let words = one.sentence.strip_prefix(one.limit.as_str()).unwrap_or(&one.sentence);
        match said.iter_mut().find(|(known, _)| *known == words) {
            Some((_, limits)) => limits.push(&one.limit),
            None => said.push((words, vec![&one.limit])),
        }
    }
    said.into_iter()
        .map(|(words, limits)| match limits.as_slice() {
            [one] => format!("{one}{words}"),
            several => {
                format!(
                    "{}{}",
                    several.join("; "),
                    words.replace("loosening it alone", "loosening one of these alone")
                )
            }
        })
        .collect()
}

fn told(text: &mut String, choice: &Choice, width: (usize, Lengths)) {
    if !choice.why_not.is_empty() {
        let _ = writeln!(text, "\nWhy not");
        for sentence in said_once(choice) {
            paragraph(text, width, "  ", &sentence);
        }
        if let Some(by) = choice.all_give_db {
            let words =
                format!("All limits of sound together would have to give {}.", with_unit(by, 1, "dB"));
            paragraph(text, width, "  ", &words);
        }
    }
    if !choice.front.is_empty() {
        let _ = writeln!(text, "\nWhat each decibel costs");
        for (place, row) in choice.front.iter().enumerate() {
            let knee = if choice.knee == Some(place) { "  knee: beyond it a decibel grows dear" } else { "" };
            let own = if is_chosen(choice, row) { "  as chosen" } else { "" };
            let open = if row.proved { "" } else { UNPROVED };
            let _ = writeln!(
                text,
                "  {:>8}  {:>18}{own}{open}{knee}",
                money(choice, row.cost),
                spare(row.margin_db)
            );
        }
    }
    if !choice.headroom_front.is_empty() {
        let _ = writeln!(text, "\nWhat each decibel takes of the headroom");
        for row in &choice.headroom_front {
            let open = if row.proved { "" } else { UNPROVED };
            let _ = writeln!(
                text,
                "  {:>8}  {:>18}{open}",
                width.1.with_unit(row.drop_mm, 0),
                spare(row.margin_db)
            );
        }
    }
    if !choice.next_steps.is_empty() {
        let _ = writeln!(text, "\nThe next best steps from what is in the file");
        for (place, step) in choice.next_steps.iter().enumerate() {
            let words = format!(
                "{}. {}: {}, {}, {} better, then {}",
                place + 1,
                step.element,
                step.becomes,
                money(choice, step.cost),
                with_unit(step.gain_db, 1, "dB"),
                spare(step.margin_db)
            );
            paragraph(text, width, "  ", &words);
        }
    }
    if !choice.sensitivity.is_empty() {
        let _ = writeln!(text, "\nIf (reckoned in the room as the chosen set leaves it)");
        for one in &choice.sensitivity {
            paragraph(text, width, "  ", &format!("{}: {}", one.if_so, then_words(choice, one)));
        }
    }
    let _ = writeln!(text, "\nTo know");
    for note in &choice.notes {
        paragraph(text, width, "  ", note);
    }
}

/// Beside a point of a front, or an answer to what would be otherwise, for which something better is not ruled out.
const UNPROVED: &str = "  not proved the least";

/// What would be built if something were otherwise.
pub fn then_words(choice: &Choice, one: &Sensitivity) -> String {
    match (one.cost, one.changes.as_slice()) {
        (None, _) if one.proved => "nothing would hold".to_owned(),
        (None, _) => "nothing was found that would hold".to_owned(),
        (Some(cost), changes) => {
            let open = if one.proved { "" } else { " (not proved the least)" };
            if changes.is_empty() {
                format!("the same would be built, {}{open}", money(choice, cost))
            } else {
                format!("{}{open}: {}", money(choice, cost), changes.join("; "))
            }
        }
    }
}

/// A margin with its sign.
pub(crate) fn signed(margin_db: f64) -> String {
    let words = number(margin_db, 1);
    if margin_db > 0.0 && words != "0.0" { format!("+{words}") } else { words }
}

pub(crate) fn cost_words(choice: &Choice, built: &Built) -> String {
    let about = if built.cost_guessed { "about " } else { "" };
    format!("{about}{}", money(choice, built.cost))
}

fn margins(text: &mut String, margins: &[MarginRow]) {
    for row in margins {
        let _ = writeln!(
            text,
            "  {}, {}: {} under {}",
            row.receiver,
            row.source,
            spare(row.margin_db),
            row.criterion
        );
    }
}

fn paragraph(text: &mut String, (width, lengths): (usize, Lengths), mark: &str, words: &str) {
    let words = lengths.in_words(words, product_names());
    let indent = mark.chars().count();
    for (place, line) in wrapped(&words, width.saturating_sub(indent).max(20)).iter().enumerate() {
        let lead = if place == 0 { mark.to_owned() } else { " ".repeat(indent) };
        let _ = writeln!(text, "{lead}{line}");
    }
}

/// How much of something is used, with its unit where it is the most there is.
pub(crate) fn used_words(value: f64, unit: &str, lengths: Lengths, with: bool) -> String {
    match (unit, with) {
        ("mm", true) => lengths.with_unit(value, 0),
        ("mm", false) => lengths.figure(value, 0),
        (unit, true) => with_unit(value, 0, unit),
        (_, false) => number(value, 0),
    }
}

/// Puts the lengths of a list as the room file says.
fn show(list: &mut List, lengths: Lengths) {
    if !lengths.in_feet() {
        return;
    }
    let Some((head, rows)) = list.rows.split_first_mut() else { return };
    for (column, word) in head.iter_mut().enumerate() {
        let Some(plain) = word.strip_suffix("_mm").map(str::to_owned) else { continue };
        *word = plain;
        for cell in rows.iter_mut().filter_map(|row| row.get_mut(column)) {
            if let Ok(length_mm) = cell.parse() {
                *cell = lengths.figure(length_mm, 1).replace('\u{a0}', " ");
            }
        }
    }
    for cell in rows.iter_mut().flatten() {
        *cell = lengths.in_words(cell, product_names()).replace('\u{a0}', " ");
    }
}

/// The front of cost alone, as a page shows it.
pub fn front_on_screen(choice: &Choice) -> Scene {
    let [width, height] = SCREEN_MM;
    let unit = if choice.currency.is_empty() { "m² of board" } else { choice.currency.as_str() };
    let mut chart = front_chart(choice, &choice.front, |row| [row.cost, row.margin_db], (width, height));
    chart.over = format!("cost, {unit}");
    let mut scene = Scene::new(width, height);
    scene.add(chart.draw(Point::new(0.0, 0.0)));
    scene
}

/// The drawn sheet: both fronts above, the shares below.
fn sheet(choice: &Choice, lengths: Lengths) -> Scene {
    let [width, height] = SHEET_MM;
    let mut scene = Scene::new(width, height);
    scene.add(Text::new(Point::new(2.0, 6.0), format!("{}: what to build", choice.room), 4.5).semibold());
    let unit = if choice.currency.is_empty() { "m² of board" } else { choice.currency.as_str() };
    let cost = |row: &FrontRow| [row.cost, row.margin_db];
    // An axis in feet has decimals that no tape has: it is in inches.
    let (of_mm, over) = if lengths.in_feet() { (25.4, "inches") } else { (1.0, "mm") };
    let drop = |row: &FrontRow| [row.drop_mm / of_mm, row.margin_db];
    let half = width / 2.0 - 4.0;
    if choice.front.len() > 1 {
        let mut chart = front_chart(choice, &choice.front, cost, (half, 118.0));
        chart.over = format!("cost, {unit}");
        scene.add(chart.draw(Point::new(0.0, 12.0)));
    }
    if choice.headroom_front.len() > 1 {
        let mut chart = front_chart(choice, &choice.headroom_front, drop, (half, 118.0));
        chart.over = format!("depth below the joists, {over}");
        scene.add(chart.draw(Point::new(width / 2.0 + 4.0, 12.0)));
    }
    share_table(choice, &mut scene, 138.0);
    scene
}

/// Whether a point of a front is the chosen set.
pub(crate) fn is_chosen(choice: &Choice, row: &FrontRow) -> bool {
    choice.chosen.as_ref().is_some_and(|chosen| {
        let picks = chosen.picks.iter().filter(|pick| pick.candidate != 0);
        picks.map(|pick| format!("{}: {}", pick.element, pick.name)).eq(row.changes.iter().cloned())
    })
}

fn front_chart(
    choice: &Choice,
    rows: &[FrontRow],
    at: impl Fn(&FrontRow) -> [f64; 2],
    (width_mm, height_mm): (f64, f64),
) -> PlainChart {
    let mut points: Vec<[f64; 2]> = Vec::new();
    // Between two points of a front nothing more is had: it climbs in steps, and beyond the last it goes on.
    for row in rows {
        let [x, y] = at(row);
        points.extend(points.last().map(|last| [x, last[1]]));
        points.push([x, y]);
    }
    if let (Some(first), Some(last)) = (points.first().copied(), points.last().copied()) {
        points.push([last[0] + BEYOND * (last[0] - first[0]), last[1]]);
    }
    let line = PlainLine { name: "least for each margin".to_owned(), points, pen: Pen::BOLD, marked: false };
    let knee = choice.knee.and_then(|at| choice.front.get(at)).filter(|knee| rows.contains(knee));
    let chosen = rows.iter().find(|row| is_chosen(choice, row));
    let marks = rows.iter().map(|row| {
        let own = if choice.holds { "chosen" } else { "nearest" };
        let words = [(knee, "knee"), (chosen, own)].into_iter().filter(|(one, _)| *one == Some(row));
        let words: Vec<&str> = words.map(|(_, words)| words).collect();
        let ink = if words.is_empty() { Ink::Ink } else { Ink::Red };
        PlainMark { at: at(row), words: words.join(", "), ink }
    });
    PlainChart {
        width_mm,
        height_mm,
        name_room_mm: 34.0,
        quantity: format!("smallest margin, {:.0} times in a hundred, dB", choice.sure_percent),
        limits: vec![PlainLimit {
            name: "every limit kept".to_owned(),
            value: 0.0,
            pen: Pen::MEDIUM.in_ink(Ink::Red).dashed(Dash::Dashed),
        }],
        lines: vec![line],
        marks: marks.collect(),
        includes: Some(0.0),
        ..PlainChart::default()
    }
}

/// Room for the figures of a share before its bars, mm.
const SHARE_WORDS_MM: f64 = 18.0;

/// A filled bar from the left.
fn bar(left: f64, [top, bottom]: [f64; 2], length: f64, ink: Ink) -> Path {
    let corners = [(left, top), (left + length, top), (left + length, bottom), (left, bottom)];
    Path::filled(corners.map(|(x, y)| Point::new(x, y)), ink)
}

/// Shares before and after as rows of figures, a column a receiver.
fn share_table(choice: &Choice, scene: &mut Scene, top: f64) {
    let mut columns: Vec<(String, String)> = Vec::new();
    for row in &choice.shares {
        let key = (row.receiver.clone(), row.source.clone());
        if !columns.contains(&key) {
            columns.push(key);
        }
    }
    let head = "share of the sound, in the file (grey) and as chosen (black), %";
    scene.add(Text::new(Point::new(2.0, top), head, 3.0).semibold());
    let step = 300.0 / columns.len().max(1) as f64;
    for (place, (receiver, source)) in columns.iter().enumerate() {
        let x = 70.0 + step * place as f64;
        let words = format!("{receiver}, {source}");
        scene.add(Text::new(Point::new(x, top + 5.0), words, 2.5).in_ink(Ink::Grey));
    }
    let elements = choice.elements.iter().filter(|element| {
        let own = choice.shares.iter().filter(|row| row.element == element.name);
        own.fold(0.0, |most: f64, row| most.max(row.today).max(row.chosen)) >= LEAST_SHARE
    });
    for (line, element) in elements.take(14).enumerate() {
        let y = top + 10.0 + 4.6 * line as f64;
        scene.add(Text::new(Point::new(2.0, y), element.name.clone(), 2.8));
        for (place, (receiver, source)) in columns.iter().enumerate() {
            let row = choice.shares.iter().find(|row| {
                row.element == element.name && row.receiver == *receiver && row.source == *source
            });
            if let Some(row) = row {
                let words = format!("{} → {}", number(row.today * 100.0, 0), number(row.chosen * 100.0, 0));
                let x = 70.0 + step * place as f64;
                scene.add(Text::new(Point::new(x, y), words, 2.8));
                let room = (step - SHARE_WORDS_MM - 4.0).max(0.0);
                for (share, [top, bottom], ink) in
                    [(row.today, [2.3, 1.3], Ink::Grey), (row.chosen, [1.1, 0.1], Ink::Ink)]
                {
                    scene.add(bar(x + SHARE_WORDS_MM, [y - top, y - bottom], share * room, ink));
                }
            }
        }
    }
}

fn front(choice: &Choice) -> List {
    front_list("front-cost", choice, &choice.front)
}

fn headroom_front(choice: &Choice) -> List {
    front_list("front-headroom", choice, &choice.headroom_front)
}

fn front_list(name: &str, choice: &Choice, rows: &[FrontRow]) -> List {
    let mut list = List::new(name, &["cost", "drop_mm", "margin_db", "knee", "proved", "changes"]);
    for row in rows {
        let knee = choice.knee.and_then(|at| choice.front.get(at)) == Some(row);
        list.row(vec![
            n(row.cost, 2),
            n(row.drop_mm, 1),
            n(row.margin_db, 2),
            if knee { "knee" } else { "" }.to_owned(),
            row.proved.to_string(),
            row.changes.join("; "),
        ]);
    }
    list
}

fn candidates(choice: &Choice) -> List {
    let head = [
        "element",
        "candidate",
        "cost",
        "cost_guessed",
        "drop_mm",
        "floor_m2",
        "hung_kg_m2",
        "lift_kg",
        "steps",
        "kept",
        "left_out",
    ];
    let mut list = List::new("candidates", &head);
    for element in &choice.elements {
        for one in &element.candidates {
            list.row(vec![
                element.name.clone(),
                one.name.clone(),
                n(one.cost, 2),
                one.cost_guessed.to_string(),
                n(one.drop_mm, 1),
                n(one.floor_m2, 3),
                n(one.hung_kg_m2, 1),
                n(one.lift_kg, 1),
                one.work.len().to_string(),
                one.kept.to_string(),
                one.left_out.clone().unwrap_or_default(),
            ]);
        }
    }
    list
}

fn shares(choice: &Choice) -> List {
    let mut list = List::new("shares", &["receiver", "source", "element", "share_today", "share_chosen"]);
    for row in &choice.shares {
        list.row(vec![
            row.receiver.clone(),
            row.source.clone(),
            row.element.clone(),
            n(row.today, 4),
            n(row.chosen, 4),
        ]);
    }
    list
}
