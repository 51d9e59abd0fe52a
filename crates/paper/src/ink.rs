//! Inks, pens and line types: the few that a site drawing needs.

/// One of the seven inks. Meaning is carried by line and hatch; only [`Ink::Red`] carries meaning by its hue.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ink {
    /// The dark drawing ink.
    #[default]
    Ink,
    /// Softer: second lines of text, dimension lines, things behind.
    Grey,
    /// Faint: table rules, grids, hidden lines.
    Light,
    /// A hardly visible tint of the paper, for bands behind lines.
    Wash,
    /// The pencil red: what must be done or is wrong.
    Red,
    /// The red thinned to a tint, for what lies behind red lines.
    Blush,
    /// The paper itself, for knock-outs behind text.
    Paper,
}

impl Ink {
    /// Every ink, in drawing order of importance.
    pub const ALL: [Self; 7] =
        [Self::Ink, Self::Grey, Self::Light, Self::Wash, Self::Red, Self::Blush, Self::Paper];

    /// Its plain name: the SVG class and the last word of its CSS variable (`--paper-red`).
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ink => "ink",
            Self::Grey => "grey",
            Self::Light => "light",
            Self::Wash => "wash",
            Self::Red => "red",
            Self::Blush => "blush",
            Self::Paper => "paper",
        }
    }
}

/// The tone of the sheet the inks lie on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Tone {
    /// White, unpainted: what goes through a printer.
    #[default]
    White,
    /// Warm paper, for the screen.
    Warm,
    /// The same drawing on dark paper.
    Dark,
}

impl Tone {
    /// Red, green, blue of an ink on this paper.
    pub const fn colour(self, ink: Ink) -> [u8; 3] {
        match (self, ink) {
            (Self::White, Ink::Paper) => [255, 255, 255],
            (Self::White, Ink::Wash) => [229, 228, 222],
            (Self::White, Ink::Light) => [186, 187, 182],
            (Self::White, Ink::Blush) => [248, 228, 223],
            (Self::White | Self::Warm, Ink::Ink) => [28, 36, 51],
            (Self::White | Self::Warm, Ink::Grey) => [104, 108, 104],
            (Self::White | Self::Warm, Ink::Red) => [190, 54, 38],
            (Self::Warm, Ink::Paper) => [245, 241, 230],
            (Self::Warm, Ink::Wash) => [226, 221, 207],
            (Self::Warm, Ink::Light) => [190, 188, 176],
            (Self::Warm, Ink::Blush) => [244, 221, 210],
            (Self::Dark, Ink::Paper) => [27, 31, 38],
            (Self::Dark, Ink::Wash) => [46, 52, 61],
            (Self::Dark, Ink::Light) => [104, 109, 113],
            (Self::Dark, Ink::Grey) => [162, 163, 156],
            (Self::Dark, Ink::Ink) => [236, 231, 218],
            (Self::Dark, Ink::Red) => [240, 122, 100],
            (Self::Dark, Ink::Blush) => [74, 46, 44],
        }
    }
}

/// Line type.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Dash {
    /// Unbroken: seen edges; *holds*.
    #[default]
    Solid,
    /// Dashed: hidden edges; *close* or *fails*.
    Dashed,
    /// Short dashes: faint things behind.
    Short,
    /// Dotted: *open*, not checked.
    Dotted,
    /// Long dash and dot: centre lines, bars.
    Chain,
    /// Long dash and two dots: the outline of what is not drawn, the site boundary.
    DoubleChain,
}

impl Dash {
    /// Every line type.
    pub const ALL: [Self; 6] =
        [Self::Solid, Self::Dashed, Self::Short, Self::Dotted, Self::Chain, Self::DoubleChain];

    /// Lengths of ink and gap in millimetres on paper, in turn; empty for an unbroken line.
    pub const fn lengths_mm(self) -> &'static [f64] {
        match self {
            Self::Solid => &[],
            Self::Dashed => &[2.4, 1.2],
            Self::Short => &[1.2, 0.9],
            Self::Dotted => &[0.1, 0.9],
            Self::Chain => &[5.0, 0.9, 0.5, 0.9],
            Self::DoubleChain => &[5.0, 0.9, 0.5, 0.9, 0.5, 0.9],
        }
    }

    /// Its plain name, also the name of the DXF line type.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Solid => "CONTINUOUS",
            Self::Dashed => "DASHED",
            Self::Short => "SHORT_DASHED",
            Self::Dotted => "DOTTED",
            Self::Chain => "CHAIN",
            Self::DoubleChain => "DOUBLE_CHAIN",
        }
    }
}

/// What a line is drawn with.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Pen {
    /// Line width in millimetres on paper, 0.05 to 3; the pens of the trade are constants below.
    pub width_mm: f64,
    /// Line type.
    pub dash: Dash,
    /// Ink.
    pub ink: Ink,
}

impl Pen {
    /// 0.70 mm: the frame, cut walls.
    pub const HEAVY: Self = Self::new(0.70);
    /// 0.50 mm: outlines of what matters.
    pub const BOLD: Self = Self::new(0.50);
    /// 0.35 mm: boards and other seen edges.
    pub const MEDIUM: Self = Self::new(0.35);
    /// 0.18 mm: dimension lines, leaders, thin edges.
    pub const THIN: Self = Self::new(0.18);
    /// 0.13 mm: hatches, grids.
    pub const FINE: Self = Self::new(0.13);

    /// A solid pen in drawing ink.
    pub const fn new(width_mm: f64) -> Self {
        Self { width_mm, dash: Dash::Solid, ink: Ink::Ink }
    }

    /// The same pen with another line type.
    #[must_use]
    pub const fn dashed(self, dash: Dash) -> Self {
        Self { dash, ..self }
    }

    /// The same pen with another ink.
    #[must_use]
    pub const fn in_ink(self, ink: Ink) -> Self {
        Self { ink, ..self }
    }

    /// The width an exporter draws: kept between 0.05 and 3 mm, 0.18 if it is not an ordinary number.
    pub fn drawn_width_mm(&self) -> f64 {
        if self.width_mm.is_finite() { self.width_mm.clamp(0.05, 3.0) } else { Self::THIN.width_mm }
    }
}
