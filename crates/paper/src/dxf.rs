//! DXF in the old plain-text release R12 that every drawing program reads: real millimetres, one layer for each
//! layer name of the scene, text as text.

use crate::exporter::{Exporter, PaperError};
use crate::font::{self, Weight};
use crate::ink::{Dash, Ink, Pen};
use crate::page::Document;
use crate::point::Point;
use crate::scene::{Anchor, Arc, Baseline, Circle, Item, Path, Scene, Text};
use crate::view::{Scale, View};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Where the paper lies in the real millimetres of the model; x to the right, y **up**.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ModelSpace {
    /// The scale the scene was drawn at.
    pub scale: Scale,
    /// A point of the paper …
    pub on_paper: Point,
    /// … and where it lies in the model, mm.
    pub in_model_mm: [f64; 2],
}

impl ModelSpace {
    /// The model of a scene drawn through a view: room coordinates in real mm. Of a mirrored view x is that of the
    /// room with its sign changed, so that the model looks as the sheet does.
    pub fn of(view: &View) -> Self {
        let [x, y] = view.room_mm;
        Self {
            scale: view.scale,
            on_paper: view.on_paper,
            in_model_mm: [if view.mirrored { -x } else { x }, y],
        }
    }

    /// The model of a scene as it lies on paper, one to one, its bottom left corner at zero.
    pub fn paper(scene: &Scene) -> Self {
        Self {
            scale: Scale::one_to(1.0),
            on_paper: Point::new(0.0, scene.height_mm),
            in_model_mm: [0.0, 0.0],
        }
    }

    fn place(&self, point: Point) -> [f64; 2] {
        let [x, y] = self.in_model_mm;
        [x + self.scale.real_mm(point.x - self.on_paper.x), y + self.scale.real_mm(self.on_paper.y - point.y)]
    }
}

/// Writes a scene as DXF; without a model space it lies on paper one to one.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Dxf {
    /// Where the paper lies in the model.
    pub model: Option<ModelSpace>,
}

impl Exporter for Dxf {
    fn ending(&self) -> &'static str {
        "dxf"
    }

    fn export(&self, scene: &Scene) -> Result<Vec<u8>, PaperError> {
        Document::page_size_mm(scene, 1)?;
        let model = self.model.unwrap_or_else(|| ModelSpace::paper(scene));
        Ok(write(scene, &model).into_bytes())
    }
}

/// A scene as DXF R12 in real millimetres.
///
/// Plain ASCII; other characters are written `\U+XXXX`. Closed polygons are closed polylines. Fills are kept for
/// triangles and quadrangles in drawing inks; tints and knock-outs are left out, since they would hide lines.
pub fn write(scene: &Scene, model: &ModelSpace) -> String {
    let mut layers = Layers::default();
    layers.gather(&scene.items, "");
    let mut out = Writer { text: String::new(), model: *model, low: [0.0; 2], high: [0.0; 2], begun: false };
    out.items(&scene.items, "0", &layers);
    let entities = std::mem::take(&mut out.text);

    out.pair(999, "1 unit = 1 mm");
    out.header();
    out.tables(&layers);
    out.pair(0, "SECTION");
    out.pair(2, "BLOCKS");
    out.pair(0, "ENDSEC");
    out.pair(0, "SECTION");
    out.pair(2, "ENTITIES");
    out.text.push_str(&entities);
    out.pair(0, "ENDSEC");
    out.pair(0, "EOF");
    out.text
}

/// Layer names of a scene and what they are called in the file.
#[derive(Default)]
struct Layers {
    by_words: BTreeMap<String, String>,
}

impl Layers {
    fn gather(&mut self, items: &[Item], around: &str) {
        for item in items {
            if let Item::Group(group) = item {
                let words = if group.layer.is_empty() { around } else { group.layer.as_str() };
                if !words.is_empty() && !self.by_words.contains_key(words) {
                    let name = self.free_name(words);
                    self.by_words.insert(words.to_owned(), name);
                }
                self.gather(&group.items, words);
            }
        }
    }

    /// R12 allows 31 letters, digits, `$`, `-` and `_`; spaces become `_`.
    fn free_name(&self, words: &str) -> String {
        let mut name = String::new();
        for letter in words.trim().chars() {
            match letter {
                'A'..='Z' | 'a'..='z' | '0'..='9' | '-' | '$' | '_' => name.push(letter),
                'ä' | 'æ' | 'Ä' => name.push_str("ae"),
                'ö' | 'œ' | 'Ö' => name.push_str("oe"),
                'ü' | 'Ü' => name.push_str("ue"),
                'ß' => name.push_str("ss"),
                _ => name.push('_'),
            }
        }
        let name: String = name.chars().take(31).collect::<String>().to_uppercase();
        let taken = |name: &str| name == "0" || self.by_words.values().any(|other| other == name);
        if !name.is_empty() && !taken(&name) {
            return name;
        }
        let stem: String = name.chars().take(27).collect();
        (2..1000).map(|count| format!("{stem}_{count}")).find(|name| !taken(name)).unwrap_or(stem)
    }

    fn name<'a>(&'a self, words: &str, around: &'a str) -> &'a str {
        self.by_words.get(words).map_or(around, String::as_str)
    }
}

struct Writer {
    text: String,
    model: ModelSpace,
    low: [f64; 2],
    high: [f64; 2],
    begun: bool,
}

impl Writer {
    fn pair(&mut self, code: u16, value: &str) {
        let _ = writeln!(self.text, "{code:>3}\n{value}");
    }

    fn real(&mut self, code: u16, value: f64) {
        let fixed = format!("{value:.4}");
        let short = fixed.trim_end_matches('0');
        let short = if short.ends_with('.') { format!("{short}0") } else { short.to_owned() };
        self.pair(code, if short == "-0.0" || !value.is_finite() { "0.0" } else { &short });
    }

    fn point(&mut self, code: u16, point: Point) {
        let place = self.model.place(point);
        let [x, y] = place;
        self.real(code, x);
        self.real(code + 10, y);
        self.real(code + 20, 0.0);
        if self.begun {
            let ([low_x, low_y], [high_x, high_y]) = (self.low, self.high);
            self.low = [low_x.min(x), low_y.min(y)];
            self.high = [high_x.max(x), high_y.max(y)];
        } else {
            (self.low, self.high, self.begun) = (place, place, true);
        }
    }

    fn header(&mut self) {
        let ([low_x, low_y], [high_x, high_y]) = (self.low, self.high);
        self.pair(0, "SECTION");
        self.pair(2, "HEADER");
        self.pair(9, "$ACADVER");
        self.pair(1, "AC1009");
        for (name, x, y) in [("$EXTMIN", low_x, low_y), ("$EXTMAX", high_x, high_y)] {
            self.pair(9, name);
            self.real(10, x);
            self.real(20, y);
            self.real(30, 0.0);
        }
        for (name, x, y) in [("$LIMMIN", low_x, low_y), ("$LIMMAX", high_x, high_y)] {
            self.pair(9, name);
            self.real(10, x);
            self.real(20, y);
        }
        self.pair(9, "$LTSCALE");
        self.real(40, 1.0);
        self.pair(0, "ENDSEC");
    }

    fn tables(&mut self, layers: &Layers) {
        self.pair(0, "SECTION");
        self.pair(2, "TABLES");

        self.table("LTYPE", Dash::ALL.len());
        for dash in Dash::ALL {
            self.pair(0, "LTYPE");
            self.pair(2, dash.name());
            self.pair(70, "0");
            self.pair(3, &dash.name().replace('_', " ").to_lowercase());
            self.pair(72, "65");
            let lengths = dash.lengths_mm();
            self.pair(73, &lengths.len().to_string());
            let real: Vec<f64> = lengths.iter().map(|&length| self.model.scale.real_mm(length)).collect();
            self.real(40, real.iter().sum());
            for (at, length) in real.into_iter().enumerate() {
                // Ink is positive, a gap negative.
                self.real(49, if at % 2 == 0 { length } else { -length });
            }
        }
        self.pair(0, "ENDTAB");

        self.table("LAYER", layers.by_words.len() + 1);
        for name in std::iter::once("0").chain(layers.by_words.values().map(String::as_str)) {
            self.pair(0, "LAYER");
            self.pair(2, name);
            self.pair(70, "0");
            self.pair(62, "7");
            self.pair(6, "CONTINUOUS");
        }
        self.pair(0, "ENDTAB");

        self.table("STYLE", 2);
        for (name, file) in [("STANDARD", "txt"), ("SEMIBOLD", "txt")] {
            self.pair(0, "STYLE");
            self.pair(2, name);
            self.pair(70, "0");
            self.real(40, 0.0);
            self.real(41, 1.0);
            self.real(50, 0.0);
            self.pair(71, "0");
            self.real(42, 2.5);
            self.pair(3, file);
            self.pair(4, "");
        }
        self.pair(0, "ENDTAB");
        self.pair(0, "ENDSEC");
    }

    fn table(&mut self, name: &str, count: usize) {
        self.pair(0, "TABLE");
        self.pair(2, name);
        self.pair(70, &count.to_string());
    }

    fn items(&mut self, items: &[Item], layer: &str, layers: &Layers) {
        for item in items.iter().filter(|item| item.is_drawable()) {
            match item {
                Item::Group(group) => self.items(&group.items, layers.name(&group.layer, layer), layers),
                Item::Path(path) => self.path(path, layer),
                Item::Strokes(strokes) => {
                    for line in strokes.lines.iter().filter(|line| line.len() > 1) {
                        self.polyline(line, false, &strokes.pen, layer);
                    }
                }
                Item::Dots(dots) => {
                    for &centre in &dots.centres {
                        self.circle(centre, dots.diameter_mm / 2.0, &Pen::FINE.in_ink(dots.ink), layer);
                    }
                }
                Item::Circle(circle) => self.whole_circle(circle, layer),
                Item::Arc(arc) => self.arc(arc, layer),
                Item::Text(text) => self.line_of_text(text, layer),
            }
        }
    }

    fn entity(&mut self, kind: &str, layer: &str, dash: Dash, ink: Ink) {
        self.pair(0, kind);
        self.pair(8, layer);
        if dash != Dash::Solid {
            self.pair(6, dash.name());
        }
        if let Some(colour) = colour_index(ink) {
            self.pair(62, colour);
        }
    }

    fn path(&mut self, path: &Path, layer: &str) {
        if let Some(ink) = path.fill.filter(|ink| matches!(ink, Ink::Ink | Ink::Grey | Ink::Red)) {
            self.solid(&path.points, ink, layer);
        }
        if let Some(pen) = path.pen {
            self.polyline(&path.points, path.closed, &pen, layer);
        }
    }

    /// A SOLID holds three or four corners, the last two in crossed order.
    fn solid(&mut self, corners: &[Point], ink: Ink, layer: &str) {
        let in_order = match *corners {
            [a, b, c] => [a, b, c, c],
            [a, b, c, d] => [a, b, d, c],
            _ => return,
        };
        self.entity("SOLID", layer, Dash::Solid, ink);
        for (code, corner) in (10..).zip(in_order) {
            self.point(code, corner);
        }
    }

    fn polyline(&mut self, points: &[Point], closed: bool, pen: &Pen, layer: &str) {
        if pen.ink == Ink::Paper {
            return;
        }
        if let [from, to] = *points {
            self.entity("LINE", layer, pen.dash, pen.ink);
            self.point(10, from);
            self.point(11, to);
            return;
        }
        self.entity("POLYLINE", layer, pen.dash, pen.ink);
        self.pair(66, "1");
        for code in [10, 20, 30] {
            self.real(code, 0.0);
        }
        self.pair(70, if closed { "1" } else { "0" });
        for &point in points {
            self.pair(0, "VERTEX");
            self.pair(8, layer);
            self.point(10, point);
        }
        self.pair(0, "SEQEND");
        self.pair(8, layer);
    }

    fn whole_circle(&mut self, circle: &Circle, layer: &str) {
        let filled = circle.fill.filter(|&ink| ink != Ink::Paper).map(|ink| Pen::FINE.in_ink(ink));
        if let Some(pen) = circle.pen.or(filled) {
            self.circle(circle.centre, circle.radius_mm, &pen, layer);
        }
    }

    fn circle(&mut self, centre: Point, radius_mm: f64, pen: &Pen, layer: &str) {
        self.entity("CIRCLE", layer, pen.dash, pen.ink);
        self.point(10, centre);
        self.real(40, self.model.scale.real_mm(radius_mm));
    }

    fn arc(&mut self, arc: &Arc, layer: &str) {
        if arc.sweep_deg > 359.99 {
            return self.circle(arc.centre, arc.radius_mm, &arc.pen, layer);
        }
        self.entity("ARC", layer, arc.pen.dash, arc.pen.ink);
        self.point(10, arc.centre);
        self.real(40, self.model.scale.real_mm(arc.radius_mm));
        self.real(50, arc.from_deg.rem_euclid(360.0));
        self.real(51, (arc.from_deg + arc.sweep_deg).rem_euclid(360.0));
    }

    fn line_of_text(&mut self, text: &Text, layer: &str) {
        if text.ink == Ink::Paper {
            return;
        }
        self.entity("TEXT", layer, Dash::Solid, text.ink);
        self.point(10, text.at);
        self.real(40, self.model.scale.real_mm(text.drawn_size_mm() * font::CAP_HEIGHT));
        self.pair(1, &plain(&text.drawn_words()));
        self.real(50, text.turn_deg);
        self.pair(7, if text.weight == Weight::Regular { "STANDARD" } else { "SEMIBOLD" });
        let across = match text.anchor {
            Anchor::Start => 0,
            Anchor::Middle => 1,
            Anchor::End => 2,
        };
        let up = match text.baseline {
            Baseline::Foot => 0,
            Baseline::Middle => 2,
            Baseline::Top => 3,
        };
        if (across, up) != (0, 0) {
            self.pair(72, &across.to_string());
            self.point(11, text.at);
            self.pair(73, &up.to_string());
        }
    }
}

/// The old palette: 1 red, 8 and 9 greys; drawing ink is the layer's own.
fn colour_index(ink: Ink) -> Option<&'static str> {
    match ink {
        Ink::Ink | Ink::Paper => None,
        Ink::Grey => Some("8"),
        Ink::Light | Ink::Wash => Some("9"),
        Ink::Red | Ink::Blush => Some("1"),
    }
}

/// Characters of fine typesetting that the stroke fonts of drawing programs lack, and what stands for them.
const PLAIN_INSTEAD: [(char, &str); 14] = [
    ('\u{A0}', " "),
    ('\u{2009}', " "),
    ('\u{202F}', " "),
    ('\u{2011}', "-"),
    ('–', "-"),
    ('—', "-"),
    ('−', "-"),
    ('‘', "'"),
    ('’', "'"),
    ('“', "\""),
    ('”', "\""),
    ('′', "'"),
    ('″', "\""),
    ('…', "..."),
];

/// ASCII only; what a reader would take for a code (`%%`, `^`, `\`) is written as a code of itself.
fn plain(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    let mut after_percent = false;
    for letter in words.chars() {
        let special = letter == '\\' || letter == '^' || (letter == '%' && after_percent);
        after_percent = letter == '%';
        if let Some((_, instead)) = PLAIN_INSTEAD.iter().find(|(fine, _)| *fine == letter) {
            text.push_str(instead);
        } else if letter.is_ascii() && !special {
            text.push(letter);
        } else {
            let mut units = [0; 2];
            for unit in letter.encode_utf16(&mut units) {
                let _ = write!(text, "\\U+{unit:04X}");
            }
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Group;

    #[test]
    fn text_is_ascii_with_codes_for_the_rest() {
        assert_eq!(plain("Ø 8 ²"), "\\U+00D8 8 \\U+00B2");
        assert_eq!(plain("2\u{202F}214\u{A0}mm, A–E"), "2 214 mm, A-E");
        assert_eq!(plain("a\\b 5 %"), "a\\U+005Cb 5 %");
    }

    #[test]
    fn layer_names_stay_apart_when_cut_short() {
        let mut scene = Scene::new(10.0, 10.0);
        for words in
            ["wall plate marks of the eastern wall", "wall plate marks of the eastern wall two", "Wände"]
        {
            scene.add(Group::on_layer(words));
        }
        let mut layers = Layers::default();
        layers.gather(&scene.items, "");
        let names: Vec<&str> = layers.by_words.values().map(String::as_str).collect();
        assert_eq!(names, ["WAENDE", "WALL_PLATE_MARKS_OF_THE_EASTERN", "WALL_PLATE_MARKS_OF_THE_EAS_2"]);
    }
}
