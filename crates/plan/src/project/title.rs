//! The title block and the limits.

use quantities::{
    lengths::Lengths,
    numerals::{DayOrder, Decimals},
};

use crate::read::keyed::{keyed, words};

keyed! {
    /// What stands in the title block of every sheet.
    pub struct Title {
        /// What the room is called.
        name: String,
        /// Where it is.
        place: Option<String>,
        /// Who drew the plan.
        drawn_by: Option<String>,
        /// Date of the plan as it is to be printed, year-month-day.
        date: Option<String>,
        /// Letter or number of this revision.
        revision: Option<String>,
        /// Where north is on the plan, turned clockwise from straight up.
        north_deg: Option<f64> [-360.0, 360.0],
        /// Paper the drawings are printed on.
        paper: Paper = Paper::A3,
        /// What the drawings, lists and pages show lengths in; the file itself takes both.
        lengths: LengthsIn = LengthsIn::Millimetres,
        /// What sets decimals apart on paper, in the terminal and on the page; without it a point on paper, elsewhere what the reader's language has.
        numbers: Option<NumbersIn>,
        /// In which order days are written on paper and in the terminal; without it year-month-day on paper, in the terminal what the reader's language has.
        dates: Option<DatesIn>,
    }
}

words! {
    /// What lengths are shown in.
    pub enum LengthsIn {
        /// Millimetres.
        Millimetres = "millimetres",
        /// Feet, inches and sixteenths of an inch, such as `8' 4 3/16"`. Areas, masses and sizes of paper stay as they are; the plan as JSON and the geometry of DXF stay in millimetres.
        FeetAndInches = "feet and inches",
    }
}

impl LengthsIn {
    /// How a length is put into words.
    pub const fn shown(self) -> Lengths {
        match self {
            Self::Millimetres => Lengths::Millimetres,
            Self::FeetAndInches => Lengths::FeetAndInches,
        }
    }
}

words! {
    /// What sets decimals apart. The room file, lists as CSV and the plan as JSON keep the point.
    pub enum NumbersIn {
        /// `12.5`
        DecimalPoint = "decimal point",
        /// `12,5`
        DecimalComma = "decimal comma",
    }
}

impl NumbersIn {
    /// How a number is put into words.
    pub const fn shown(self) -> Decimals {
        match self {
            Self::DecimalPoint => Decimals::Point,
            Self::DecimalComma => Decimals::Comma,
        }
    }
}

words! {
    /// In which order a day is written. The room file keeps year-month-day.
    pub enum DatesIn {
        /// `2026-03-14`
        YearMonthDay = "year-month-day",
        /// `14.03.2026`
        DayMonthYearPoints = "day.month.year",
        /// `14/03/2026`
        DayMonthYearStrokes = "day/month/year",
        /// `03/14/2026`
        MonthDayYear = "month/day/year",
    }
}

impl DatesIn {
    /// How a day is put into words.
    pub const fn shown(self) -> DayOrder {
        match self {
            Self::YearMonthDay => DayOrder::YearMonthDay,
            Self::DayMonthYearPoints => DayOrder::DayMonthYearPoints,
            Self::DayMonthYearStrokes => DayOrder::DayMonthYearStrokes,
            Self::MonthDayYear => DayOrder::MonthDayYear,
        }
    }
}

words! {
    /// A size of paper.
    pub enum Paper {
        /// 297 × 420 mm: each drawing on one sheet.
        A3 = "A3",
        /// 210 × 297 mm: a large drawing at the same scale on two sheets to be glued together.
        A4 = "A4",
        /// 8½ × 11 inches: a large drawing at the same scale on two sheets to be glued together.
        Letter = "letter",
        /// 11 × 17 inches: each drawing on one sheet.
        Tabloid = "tabloid",
    }
}

keyed! {
    /// What must not be exceeded.
    pub struct Limits {
        /// Least clear height under the finished ceiling.
        headroom_mm: Option<f64> [1500.0, 6000.0],
        /// Highest the roof may stand above the ground outside.
        height_above_ground_mm: Option<f64> [1500.0, 20_000.0],
        /// Heaviest board two people will lift overhead.
        lift_kg: f64 [5.0, 120.0] = 40.0,
        /// What the whole order may cost, in the person's own currency.
        money: Option<f64> [0.0, 10_000_000.0],
        /// Clear height and width of the narrowest way a board must pass into the room.
        door_lets_through_mm: Option<[f64; 2]> [300.0, 6000.0],
        /// Sign or short name of the currency, printed before each sum.
        currency: String = String::new(),
    }
}
