//! Paper sizes and the document made of pages.

use crate::exporter::PaperError;
use crate::ink::Tone;
use crate::point::{Extent, Point};
use crate::scene::Scene;

/// A paper size of ISO 216 or of ANSI Y14.1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PaperSize {
    /// 297 × 420 mm.
    A3,
    /// 210 × 297 mm.
    A4,
    /// 8½ × 11 inches.
    Letter,
    /// 11 × 17 inches.
    Tabloid,
}

impl PaperSize {
    /// Short and long side, mm.
    pub const fn sides_mm(self) -> [f64; 2] {
        match self {
            Self::A3 => [297.0, 420.0],
            Self::A4 => [210.0, 297.0],
            Self::Letter => [215.9, 279.4],
            Self::Tabloid => [279.4, 431.8],
        }
    }

    /// Distance of the frame from the edge of the sheet, mm: small sheets come out of a home printer, which leaves little more
    /// than this blank, and have no room to give away.
    pub const fn margin_mm(self) -> f64 {
        match self {
            Self::A3 | Self::Tabloid => 10.0,
            Self::A4 | Self::Letter => 6.0,
        }
    }
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
        let [short, long] = self.size.sides_mm();
        match self.orientation {
            Orientation::Landscape => long,
            Orientation::Portrait => short,
        }
    }

    /// Height in mm.
    pub const fn height_mm(self) -> f64 {
        let [short, long] = self.size.sides_mm();
        match self.orientation {
            Orientation::Landscape => short,
            Orientation::Portrait => long,
        }
    }

    /// Letter standing.
    pub const LETTER_PORTRAIT: Self = Self { size: PaperSize::Letter, orientation: Orientation::Portrait };
    /// Tabloid lying: drawings.
    pub const TABLOID_LANDSCAPE: Self =
        Self { size: PaperSize::Tabloid, orientation: Orientation::Landscape };

    /// The rectangle of the frame, [`PaperSize::margin_mm`] inside the edge.
    pub fn frame(self) -> Extent {
        Extent::new(0.0, 0.0, self.width_mm(), self.height_mm()).inset(self.size.margin_mm())
    }

    /// How a title block writes it: `A3`.
    pub const fn words(self) -> &'static str {
        match self.size {
            PaperSize::A3 => "A3",
            PaperSize::A4 => "A4",
            PaperSize::Letter => "letter",
            PaperSize::Tabloid => "tabloid",
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
    /// Parts of larger drawings, on top of the scene.
    pub windows: Vec<Window>,
}

/// A part of a drawing that is larger than the page: what lies outside it is not drawn.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Window {
    /// The whole drawing.
    pub scene: Scene,
    /// The part of it that is seen, in its own millimetres.
    pub seen: Extent,
    /// Where the top left corner of that part lies on the page.
    pub corner: Point,
    /// Millimetres of the page for one of the drawing, over 0.
    pub scale: f64,
}

impl Window {
    /// Where it lies on the page.
    pub fn on_page(&self) -> Extent {
        let Point { x, y } = self.corner;
        Extent::new(x, y, x + self.seen.width() * self.scale, y + self.seen.height() * self.scale)
    }
}

impl DocumentPage {
    /// A page with one entry in the outline; with none if the words are empty.
    pub fn new(scene: Scene, bookmark: impl Into<String>) -> Self {
        let words = bookmark.into();
        let bookmarks =
            if words.is_empty() { Vec::new() } else { vec![Bookmark { words, level: 1, top_mm: 0.0 }] };
        Self { scene, bookmarks, windows: Vec::new() }
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

    /// Puts all that is read on its pages and in its outline otherwise.
    pub fn put_words(&mut self, put: &mut dyn FnMut(&mut String)) {
        for page in &mut self.pages {
            page.scene.put_words(put);
            page.bookmarks.iter_mut().for_each(|bookmark| put(&mut bookmark.words));
            page.windows.iter_mut().for_each(|window| window.scene.put_words(put));
        }
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
