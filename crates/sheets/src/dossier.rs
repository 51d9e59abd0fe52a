//! The dossier: the verdicts, every drawing to scale, the lists, the steps and the calculations with their sources.

mod calculations;
mod cover;
mod ordering;
mod sound_pages;
mod steps;

use paper::{
    Document, Extent, Format, Point, Scene,
    flow::{Flow, FlowArea},
    page::Bookmark,
    title_block::{BlankSheet, BlockStyle, Revision, TitleBlock, blank_sheet},
};
use plan::Plan;
use quantities::format::with_unit;

use crate::drawings::Drawing;

/// Stands in every title block.
pub const CAUTION: &str = "A guide, not a structural design. A structural engineer confirms joists and fixings; makers' figures and \
                           local rules come first.";

/// A page before it is numbered.
enum Page<'a> {
    Cover,
    Drawing(&'a Drawing),
    Flow { title: String, flow: Flow, columns: usize },
}

/// The dossier of a plan.
pub fn dossier(plan: &Plan, drawings: &[Drawing]) -> Document {
    let mut pages = vec![Page::Cover];
    pages.extend(drawings.iter().map(Page::Drawing));
    let mut flow = |title: &str, columns: usize, flow: Flow| {
        if !flow.is_empty() {
            pages.push(Page::Flow { title: title.to_owned(), flow, columns });
        }
    };
    flow("Marks, bars, clips and packers", 4, ordering::marks(plan));
    flow("Order", 1, ordering::order(plan));
    flow("Build, step by step", 3, steps::steps(plan));
    flow("What is heard, and what lets it through", 2, sound_pages::sound(plan));
    flow("Calculations", 3, calculations::calculations(plan));
    flow("Sources", 3, calculations::sources(plan));
    let laid = lay_out(plan, &pages);
    let mut document = Document::new(format!("{}: dossier", plan.title.name));
    document.subject = "Survey, setting out, order, steps and calculations".to_owned();
    document.creator = "Stillroom".to_owned();
    let count = laid.len();
    for (index, one) in laid.into_iter().enumerate() {
        let block = title_block(plan, &one.title, &one.scale, index + 1, count);
        let mut sheet = blank_sheet(Format::A3_LANDSCAPE, &block, &revisions(plan), one.style);
        one.draw(plan, &mut sheet);
        let mut page = paper::DocumentPage::new(sheet.scene, one.title.clone());
        page.bookmarks.extend(one.headings);
        document.pages.push(page);
    }
    document
}

/// A page with what will be drawn on it.
struct Laid<'a> {
    title: String,
    scale: String,
    style: BlockStyle,
    content: Content<'a>,
    headings: Vec<Bookmark>,
}

enum Content<'a> {
    Cover,
    Drawing(&'a Drawing),
    Group(paper::Group),
}

impl Laid<'_> {
    fn draw(&self, plan: &Plan, sheet: &mut BlankSheet) {
        match &self.content {
            Content::Cover => cover::draw(plan, sheet),
            Content::Drawing(drawing) => place_drawing(drawing, sheet),
            Content::Group(group) => sheet.scene.add(group.clone()),
        }
    }
}

/// Flows are broken into pages once the room beside a title block is known; it is the same on every sheet.
fn lay_out<'a>(plan: &Plan, pages: &[Page<'a>]) -> Vec<Laid<'a>> {
    let probe = blank_sheet(
        Format::A3_LANDSCAPE,
        &title_block(plan, "", "", 1, 99),
        &revisions(plan),
        BlockStyle::Strip,
    );
    let mut laid = Vec::new();
    for page in pages {
        match page {
            Page::Cover => laid.push(Laid {
                title: "Verdicts".to_owned(),
                scale: String::new(),
                style: BlockStyle::Full,
                content: Content::Cover,
                headings: Vec::new(),
            }),
            Page::Drawing(drawing) => laid.push(Laid {
                title: drawing.title.clone(),
                scale: drawing.scale.map_or_else(String::new, |scale| format!("{} on A3", scale.words())),
                style: BlockStyle::Full,
                content: Content::Drawing(drawing),
                headings: Vec::new(),
            }),
            Page::Flow { title, flow, columns } => {
                for broken in flow.pages(FlowArea::columns(probe.area, *columns)) {
                    laid.push(Laid {
                        title: title.clone(),
                        scale: String::new(),
                        style: BlockStyle::Strip,
                        content: Content::Group(broken.group),
                        headings: broken.headings,
                    });
                }
            }
        }
    }
    laid
}

fn title_block(plan: &Plan, title: &str, scale: &str, number: usize, of: usize) -> TitleBlock {
    let text = |value: &Option<String>| value.clone().unwrap_or_default();
    TitleBlock {
        project: match &plan.title.place {
            Some(place) => format!("{}, {place}", plan.title.name),
            None => plan.title.name.clone(),
        },
        sheet_title: title.to_owned(),
        number,
        of,
        scale: scale.to_owned(),
        date: text(&plan.title.date),
        revision: text(&plan.title.revision),
        survey: survey_words(plan),
        caution: CAUTION.to_owned(),
    }
}

fn survey_words(plan: &Plan) -> String {
    let used = plan.survey.readings.iter().filter(|reading| reading.used).count();
    let worst = plan.survey.corners.iter().map(|corner| corner.sd_mm).fold(0.0, f64::max);
    format!("{used} tapes, corners ±\u{00A0}{}", with_unit(2.0 * worst, 0, "mm"))
}

fn revisions(plan: &Plan) -> Vec<Revision> {
    plan.title
        .revision
        .iter()
        .map(|letter| Revision {
            letter: letter.clone(),
            date: plan.title.date.clone().unwrap_or_default(),
            words: "as planned".to_owned(),
        })
        .collect()
}

/// Puts a drawing on a sheet: heading at the top left, the drawing in the middle of the room that is left.
fn place_drawing(drawing: &Drawing, sheet: &mut BlankSheet) {
    let area = sheet.area;
    let mut heading = paper::Group::on_layer("text");
    heading
        .add(paper::Text::new(Point::new(area.left, area.top + 6.0), drawing.title.clone(), 6.0).semibold());
    if !drawing.subtitle.is_empty() {
        let mut text =
            paper::Text::new(Point::new(area.left, area.top + 12.0), drawing.subtitle.clone(), 3.2);
        text.ink = paper::Ink::Grey;
        heading.add(text);
    }
    sheet.scene.add(heading);
    let room = Extent::new(area.left, area.top + 15.0, area.right, sheet.frame.bottom - 4.0);
    let (left, top) = position(&drawing.scene, room, sheet);
    let placed = drawing.scene.clone().placed(left, top);
    sheet.scene.add(placed);
}

/// A drawing that clears the title block takes the whole height; another is centred above it.
fn position(scene: &Scene, room: Extent, sheet: &BlankSheet) -> (f64, f64) {
    let beside = room.left + scene.width_mm <= sheet.block.left - 4.0;
    let bottom = if beside { room.bottom } else { sheet.block.top - 4.0 };
    let right = if beside { sheet.block.left - 4.0 } else { room.right };
    let left = room.left + ((right - room.left - scene.width_mm) / 2.0).max(0.0);
    let top = room.top + ((bottom - room.top - scene.height_mm) / 2.0).max(0.0);
    (left, top)
}
