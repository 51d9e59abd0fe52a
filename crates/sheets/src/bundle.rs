//! Everything there is to write of a plan, each with its name.

use paper::{PaperError, dxf, pdf, svg};
use plan::{Choice, Plan};

use crate::{choosing, dossier::dossier_with, drawings::drawings, lists::lists};

/// A file to write: its path below the folder of the sheets, and its content.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetFile {
    /// Path below the folder of the sheets, with `/` between parts.
    pub path: String,
    /// Content.
    pub bytes: Vec<u8>,
}

impl SheetFile {
    pub(crate) fn text(path: impl Into<String>, text: String) -> Self {
        Self { path: path.into(), bytes: text.into_bytes() }
    }
}

/// The dossier as PDF, each drawing as SVG and, where it is a plan, as DXF, each list as CSV, the page for the site, the whole plan as JSON.
///
/// # Errors
/// Only if the PDF writer refuses a page; the sentence says which.
pub fn files(plan: &Plan) -> Result<Vec<SheetFile>, PaperError> {
    files_with(plan, None)
}

/// The same with what was chosen to be built for that room: in the dossier, as drawing and lists, and as JSON.
///
/// # Errors
/// As [`files`].
pub fn files_with(plan: &Plan, choice: Option<&Choice>) -> Result<Vec<SheetFile>, PaperError> {
    let lengths = plan.lengths();
    let mut drawings = drawings(plan);
    drawings.extend(choice.map(|choice| choosing::drawing(choice, lengths)));
    let bytes = pdf::write(&dossier_with(plan, &drawings, choice))?;
    let mut files = vec![SheetFile { path: "dossier.pdf".to_owned(), bytes }];
    for drawing in &drawings {
        files.push(SheetFile::text(format!("drawings/{}.svg", drawing.id), svg::write_file(&drawing.scene)));
        if let Some(model) = &drawing.model {
            files.push(SheetFile::text(
                format!("drawings/{}.dxf", drawing.id),
                dxf::write(&drawing.scene, model),
            ));
        }
    }
    let chosen = choice.iter().flat_map(|choice| choosing::lists(choice, lengths));
    for list in lists(plan).into_iter().chain(chosen) {
        files.push(SheetFile::text(format!("lists/{}.csv", list.name), list.to_csv()));
    }
    files.push(SheetFile::text("site.html", crate::site::page(plan)));
    if let Ok(json) = serde_json::to_string_pretty(plan) {
        files.push(SheetFile::text("plan.json", json + "\n"));
    }
    files.extend(choice.and_then(choosing::json));
    Ok(files)
}
