//! The dossier: the verdicts, every drawing to scale, the lists, the steps and the calculations with their sources.

mod calculations;
mod choosing_pages;
mod cover;
mod fabric_pages;
mod ordering;
mod pages;
mod sound_pages;
mod steps;
mod tiles;

use std::collections::{BTreeMap, BTreeSet};

use paper::{
    Document, Extent, Format, Group, Orientation, Scene,
    flow::FlowPage,
    page::Bookmark,
    title_block::{BlankSheet, BlockStyle, Revision, TitleBlock, blank_sheet},
};
use plan::{Choice, Plan, project::Paper};

use self::tiles::Tile;
use crate::{drawings::Drawing, shown};

/// Stands in every title block.
pub const CAUTION: &str = "A guide, not a structural design. A structural engineer confirms joists and fixings; makers' figures and \
                           local rules come first.";

/// Stands where a chart or a section of several scales has none.
const NO_SCALE: &str = "none";

/// The dossier of a plan, on the paper its room file names.
pub fn dossier(plan: &Plan, drawings: &[Drawing]) -> Document {
    dossier_with(plan, drawings, None)
}

/// The same with what was chosen to be built for that room; [`crate::choosing::drawing`] is its drawing.
pub fn dossier_with(plan: &Plan, drawings: &[Drawing], choice: Option<&Choice>) -> Document {
    let sheets = sheets(plan, drawings, choice);
    let index = index(&sheets);
    let count = sheets.len();
    let mut document = Document::new(format!("{}: dossier", plan.title.name));
    "Survey, setting out, order, steps and calculations".clone_into(&mut document.subject);
    "Stillroom".clone_into(&mut document.creator);
    let mut seen = BTreeSet::new();
    let paper = plan.title.paper;
    for (at, one) in sheets.iter().enumerate() {
        let block = title_block(plan, &one.title, &one.scale, at + 1, count);
        let format = if one.lies { lying(paper) } else { format(paper) };
        let mut blank = blank_sheet(format, &block, &revisions(plan), one.style(paper));
        let mut windows = Vec::new();
        match &one.content {
            Content::Cover => cover::draw(plan, &index, &mut blank),
            Content::Drawing(drawing) => place_drawing(drawing, &mut blank),
            Content::Tile(drawing, tile) => windows.push(tile.place(drawing, &mut blank)),
            Content::Text(page) => blank.scene.add(page.group.clone()),
        }
        let mut page = paper::DocumentPage::new(blank.scene, one.bookmark());
        page.windows = windows;
        seen.insert(one.bookmark());
        if let Content::Text(text) = &one.content {
            // A heading that only repeats another entry of the outline helps nobody find anything.
            page.bookmarks
                .extend(text.headings.iter().filter(|heading| seen.insert(heading.words.clone())).cloned());
        }
        document.pages.push(page);
    }
    if let Some(mut put) = shown::numbers(plan) {
        document.put_words(&mut put);
    }
    document
}

/// A sheet before it is drawn.
struct Sheet<'a> {
    title: String,
    scale: String,
    /// Which of how many sheets of the same title, where there are several.
    part: Option<(usize, usize)>,
    /// Whether it lies though the others stand.
    lies: bool,
    content: Content<'a>,
}

enum Content<'a> {
    Cover,
    Drawing(&'a Drawing),
    /// A part of a drawing that is larger than a sheet.
    Tile(&'a Drawing, Tile),
    Text(FlowPage),
}

/// The sheet of a size of paper: large ones lie, small ones stand, two beside each other as wide as a large one.
pub fn format(paper: Paper) -> Format {
    match paper {
        Paper::A3 => Format::A3_LANDSCAPE,
        Paper::A4 => Format::A4_PORTRAIT,
        Paper::Letter => Format::LETTER_PORTRAIT,
        Paper::Tabloid => Format::TABLOID_LANDSCAPE,
    }
}

/// The same sheet lying.
fn lying(paper: Paper) -> Format {
    Format { orientation: Orientation::Landscape, ..format(paper) }
}

/// Only A3 is high enough for a title block of several rows below a drawing.
fn style_beside_drawings(paper: Paper) -> BlockStyle {
    if paper == Paper::A3 { BlockStyle::Full } else { BlockStyle::Strip }
}

fn style_of_cover(paper: Paper) -> BlockStyle {
    match paper {
        Paper::A3 | Paper::Tabloid => BlockStyle::Full,
        Paper::A4 | Paper::Letter => BlockStyle::Strip,
    }
}

impl Sheet<'_> {
    fn style(&self, paper: Paper) -> BlockStyle {
        match self.content {
            Content::Cover => style_of_cover(paper),
            Content::Drawing(_) | Content::Tile(..) => style_beside_drawings(paper),
            Content::Text(_) => BlockStyle::Strip,
        }
    }

    fn bookmark(&self) -> String {
        match self.part {
            Some((part, of)) => format!("{}, {part} of {of}", self.title),
            None => self.title.clone(),
        }
    }
}

/// Every sheet, the text broken into pages.
fn sheets<'a>(plan: &Plan, drawings: &'a [Drawing], choice: Option<&Choice>) -> Vec<Sheet<'a>> {
    let sheet = |title: &str, content: Content<'a>| Sheet {
        title: title.to_owned(),
        scale: String::new(),
        part: None,
        lies: false,
        content,
    };
    let mut all = vec![sheet("Verdicts and contents", Content::Cover)];
    let text = |title: &str, pages: Vec<FlowPage>, all: &mut Vec<Sheet<'a>>| {
        let of = pages.len();
        for (index, page) in pages.into_iter().enumerate() {
            let part = (of > 1).then_some((index + 1, of));
            all.push(Sheet { part, ..sheet(title, Content::Text(page)) });
        }
    };
    // The room beside a strip title block is the same on every sheet of text.
    let paper = plan.title.paper;
    let strip =
        blank_sheet(format(paper), &title_block(plan, "", "", 1, 99), &revisions(plan), BlockStyle::Strip);
    let area = strip.area;
    text(cover::findings_title(area), cover::overflow(plan, &blank_cover(plan), area), &mut all);
    let mut titles: BTreeMap<String, usize> = BTreeMap::new();
    for drawing in drawings {
        let times = titles.entry(drawing.title.clone()).or_default();
        *times += 1;
        let title =
            if *times > 1 { format!("{}, part {times}", drawing.title) } else { drawing.title.clone() };
        let on = format(paper).words();
        let scale =
            drawing.scale.map_or_else(|| NO_SCALE.to_owned(), |scale| format!("{} on {on}", scale.words()));
        if style_of_cover(paper) == BlockStyle::Full {
            all.push(Sheet { scale, ..sheet(&title, Content::Drawing(drawing)) });
            continue;
        }
        let block = title_block(plan, &title, &scale, 88, 99);
        let blank = blank_sheet(format(paper), &block, &revisions(plan), BlockStyle::Strip);
        let on_its_side = blank_sheet(lying(paper), &block, &revisions(plan), BlockStyle::Strip);
        if let Some(tile) = Tile::shrunk(drawing, &blank, &on_its_side) {
            all.push(Sheet { scale, lies: true, ..sheet(&title, Content::Tile(drawing, tile)) });
            continue;
        }
        let tiles = Tile::of(drawing, &blank);
        let of = tiles.len();
        // Pages of one drawing are many on small paper: in the contents they are one line.
        let (title, page) = page_of(&title);
        for (index, tile) in tiles.into_iter().enumerate() {
            let part = (of > 1).then_some((index + 1, of)).or(page);
            all.push(Sheet { part, scale: scale.clone(), ..sheet(title, Content::Tile(drawing, tile)) });
        }
    }
    if let Some(choice) = choice {
        text("What to build", choosing_pages::what_to_build(plan, choice, area), &mut all);
    }
    text("Marks, bars and clips", ordering::marks(plan, area), &mut all);
    text("Order", ordering::order(plan, area), &mut all);
    text("Build, step by step", steps::steps(plan, area), &mut all);
    text("Calculations and sources", calculations::calculations(plan, area), &mut all);
    all
}

/// A title without its `, page 2 of 7`, and which page of how many.
fn page_of(title: &str) -> (&str, Option<(usize, usize)>) {
    let parted = title.rsplit_once(", page ").and_then(|(title, page)| {
        let (at, of) = page.split_once(" of ")?;
        Some((title, Some((at.parse().ok()?, of.parse().ok()?))))
    });
    parted.unwrap_or((title, None))
}

/// The first sheet with nothing on it, to know how much room its findings have.
fn blank_cover(plan: &Plan) -> BlankSheet {
    let block = title_block(plan, "Verdicts and contents", "", 1, 99);
    let paper = plan.title.paper;
    blank_sheet(format(paper), &block, &revisions(plan), style_of_cover(paper))
}

/// A line of the table of contents.
struct IndexLine {
    title: String,
    /// `7`, or `12–14`.
    number: String,
    scale: String,
}

fn index(sheets: &[Sheet<'_>]) -> Vec<IndexLine> {
    let mut lines = Vec::new();
    for (at, sheet) in sheets.iter().enumerate() {
        let first = at + 1;
        match sheet.part {
            Some((1, of)) => lines.push(IndexLine {
                title: sheet.title.clone(),
                number: format!("{first}–{}", first + of - 1),
                scale: scale_alone(&sheet.scale),
            }),
            Some(_) => {}
            None => lines.push(IndexLine {
                title: sheet.title.clone(),
                number: first.to_string(),
                scale: scale_alone(&sheet.scale),
            }),
        }
    }
    lines
}

/// The scale without the paper; nothing for a drawing that has none.
fn scale_alone(scale: &str) -> String {
    scale.split_once(" on ").map_or_else(String::new, |(scale, _)| scale.to_owned())
}

fn title_block(plan: &Plan, title: &str, scale: &str, number: usize, of: usize) -> TitleBlock {
    TitleBlock {
        project: match &plan.title.place {
            Some(place) => format!("{}, {place}", plan.title.name),
            None => plan.title.name.clone(),
        },
        sheet_title: title.to_owned(),
        number,
        of,
        scale: scale.to_owned(),
        date: date(plan),
        revision: revision_words(plan).unwrap_or_default(),
        survey: survey_words(plan),
        caution: CAUTION.to_owned(),
    }
}

/// The date of the plan in the order its room file names.
fn date(plan: &Plan) -> String {
    plan.date_in(plan.day_order().unwrap_or_default()).unwrap_or_default().into_owned()
}

fn survey_words(plan: &Plan) -> String {
    let used = plan.survey.readings.iter().filter(|reading| reading.used).count();
    let worst = plan.survey.corners.iter().map(|corner| corner.sd_mm).fold(0.0, f64::max);
    format!(
        "{used} tapes, corners within {} (95\u{00A0}%)",
        plan.lengths().with_unit((2.0 * worst).round(), 0)
    )
}

/// The revision as the person gave it; a set mended round what is fixed is another one, told apart by its stamp.
fn revision_words(plan: &Plan) -> Option<String> {
    let own = plan.title.revision.clone();
    let Some(mended) = &plan.ceiling.mended_stamp else { return own };
    Some(own.map_or_else(|| format!("mended {mended}"), |own| format!("{own}, mended {mended}")))
}

fn revisions(plan: &Plan) -> Vec<Revision> {
    let planned = plan.title.revision.iter().map(|letter| Revision {
        letter: letter.clone(),
        date: date(plan),
        words: "as planned".to_owned(),
    });
    let mended = plan.ceiling.mended_stamp.iter().map(|stamp| Revision {
        letter: plan.title.revision.as_ref().map_or_else(|| "+".to_owned(), |letter| format!("{letter}+")),
        date: String::new(),
        words: format!("mended round what is fixed, {stamp}"),
    });
    planned.chain(mended).collect()
}

/// Puts a drawing on a sheet. It brings its own heading with it, so that it can also stand alone.
fn place_drawing(drawing: &Drawing, sheet: &mut BlankSheet) {
    let area = sheet.area;
    let room = Extent::new(area.left, area.top, area.right, sheet.frame.bottom - 4.0);
    let (left, top) = position(&drawing.scene, room, sheet);
    let placed: Group = drawing.scene.clone().placed(left, top);
    sheet.scene.add(placed);
}

/// A drawing that clears the title block takes the whole height; another stands above it, a little nearer to the top.
fn position(scene: &Scene, room: Extent, sheet: &BlankSheet) -> (f64, f64) {
    let beside = room.left + scene.width_mm <= sheet.block.left - 4.0;
    let bottom = if beside { room.bottom } else { sheet.block.top - 4.0 };
    let right = if beside { sheet.block.left - 4.0 } else { room.right };
    let left = room.left + ((right - room.left - scene.width_mm) / 2.0).max(0.0);
    let top = room.top + ((bottom - room.top - scene.height_mm) * 0.4).max(0.0);
    (left, top)
}

/// Bookmarks of headings one level below their sheet.
fn heading(words: &str, level: u8, top_mm: f64) -> Bookmark {
    Bookmark { words: words.to_owned(), level: level + 1, top_mm }
}
