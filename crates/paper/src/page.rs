//! Paper sizes and the document made of pages.

use crate::exporter::PaperError;
use crate::ink::Tone;
use crate::point::Extent;
use crate::scene::Scene;

/// Distance of the frame from the edge of the sheet, mm.
pub const FRAME_MARGIN_MM: f64 = 10.0;

/// A paper size of ISO 216.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PaperSize {
    /// 297 × 420 mm.
    A3,
    /// 210 × 297 mm.
    A4,
}

/// Which side is up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Orientation {
    /// The long side stands.
    Portrait,
    /// The long side lies.
    Landscape,
}

/// A paper size and which side is up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Format {
    /// Paper size.
    pub size: PaperSize,
    /// Which side is up.
    pub orientation: Orientation,
}

impl Format {
    /// A3 lying: drawings.
    pub const A3_LANDSCAPE: Self = Self { size: PaperSize::A3, orientation: Orientation::Landscape };
    /// A3 standing.
    pub const A3_PORTRAIT: Self = Self { size: PaperSize::A3, orientation: Orientation::Portrait };
    /// A4 lying.
    pub const A4_LANDSCAPE: Self = Self { size: PaperSize::A4, orientation: Orientation::Landscape };
    /// A4 standing: lists and text.
    pub const A4_PORTRAIT: Self = Self { size: PaperSize::A4, orientation: Orientation::Portrait };

    /// Width in mm.
    pub const fn width_mm(self) -> f64 {
        match (self.size, self.orientation) {
            (PaperSize::A3, Orientation::Landscape) => 420.0,
            (PaperSize::A3, Orientation::Portrait) | (PaperSize::A4, Orientation::Landscape) => 297.0,
            (PaperSize::A4, Orientation::Portrait) => 210.0,
        }
    }

    /// Height in mm.
    pub const fn height_mm(self) -> f64 {
        match (self.size, self.orientation) {
            (PaperSize::A3, Orientation::Portrait) => 420.0,
            (PaperSize::A3, Orientation::Landscape) | (PaperSize::A4, Orientation::Portrait) => 297.0,
            (PaperSize::A4, Orientation::Landscape) => 210.0,
        }
    }

    /// The rectangle of the frame, [`FRAME_MARGIN_MM`] inside the edge.
    pub fn frame(self) -> Extent {
        Extent::new(0.0, 0.0, self.width_mm(), self.height_mm()).inset(FRAME_MARGIN_MM)
    }

    /// How a title block writes it: `A3`.
    pub const fn words(self) -> &'static str {
        match self.size {
            PaperSize::A3 => "A3",
            PaperSize::A4 => "A4",
        }
    }
}

/// A bookmark of a page.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Bookmark {
    /// Its words in the outline.
    pub words: String,
    /// 1 for a sheet, 2 for a heading in it, and so on.
    pub level: u8,
    /// How far down the page it points, mm.
    pub top_mm: f64,
}

/// One page.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct DocumentPage {
    /// The drawing; its size is the size of the page.
    pub scene: Scene,
    /// Entries of the outline, in order.
    pub bookmarks: Vec<Bookmark>,
}

impl DocumentPage {
    /// A page with one entry in the outline; with none if the words are empty.
    pub fn new(scene: Scene, bookmark: impl Into<String>) -> Self {
        let words = bookmark.into();
        let bookmarks =
            if words.is_empty() { Vec::new() } else { vec![Bookmark { words, level: 1, top_mm: 0.0 }] };
        Self { scene, bookmarks }
    }
}

/// Several pages with a title.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Document {
    /// Title in the file's metadata.
    pub title: String,
    /// What the document is about, one sentence; may be empty.
    pub subject: String,
    /// The program that made it.
    pub creator: String,
    /// Language tag, `en` for English.
    pub language: String,
    /// The paper it lies on: white for printing.
    pub tone: Tone,
    /// The pages.
    pub pages: Vec<DocumentPage>,
}

impl Document {
    /// An empty English document on white paper.
    pub fn new(title: impl Into<String>) -> Self {
        Self { title: title.into(), language: "en".to_owned(), ..Self::default() }
    }

    /// Adds a page with one entry in the outline.
    pub fn add(&mut self, scene: Scene, bookmark: impl Into<String>) {
        self.pages.push(DocumentPage::new(scene, bookmark));
    }

    /// The size of a scene as page `page` (counted from 1), or the sentence that says what is wrong with it.
    pub(crate) fn page_size_mm(scene: &Scene, page: usize) -> Result<(f64, f64), PaperError> {
        let usable = |length: f64| length.is_finite() && (1.0..=5000.0).contains(&length);
        if usable(scene.width_mm) && usable(scene.height_mm) {
            Ok((scene.width_mm, scene.height_mm))
        } else {
            Err(PaperError::PageSize { page, width_mm: scene.width_mm, height_mm: scene.height_mm })
        }
    }
}
