//! What the exporters have in common.

use crate::scene::Scene;

/// Why a drawing could not be written.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PaperError {
    /// A page has no usable size.
    #[error(
        "page {page} is {width_mm} × {height_mm} mm: a page must be between 1 and 5000 mm wide and high; give the \
         drawing a paper size"
    )]
    PageSize {
        /// Page number, counted from 1.
        page: usize,
        /// Its width in mm.
        width_mm: f64,
        /// Its height in mm.
        height_mm: f64,
    },
    /// A document has no page.
    #[error("the document has no page; add at least one drawing before writing it")]
    NoPage,
    /// An embedded face could not be read: the program was built with a damaged font file.
    #[error("the embedded {0} face cannot be read; build the program again from unchanged sources")]
    Face(&'static str),
    /// The PDF library refused the document.
    #[error("the PDF cannot be written: {0}")]
    Pdf(String),
}

/// Writes one scene in one format. [`svg::Svg`](crate::svg::Svg), [`pdf::Pdf`](crate::pdf::Pdf) and
/// [`dxf::Dxf`](crate::dxf::Dxf) are siblings behind it.
pub trait Exporter {
    /// The ending of its file names, without the dot.
    fn ending(&self) -> &'static str;

    /// The file for one scene; the same bytes for the same scene.
    fn export(&self, scene: &Scene) -> Result<Vec<u8>, PaperError>;
}
