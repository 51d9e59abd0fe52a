//! What things cost: by the person's prices, else in proportion on one stated scale.
//!
//! The scale counts in square metres of common plasterboard of 12.5 mm. Its numbers are common practice, no source; they put a price on
//! what the file gives none for, and every sum that leans on them says so.

use catalogue::{Door, Glass, Sheet, SheetFamily, find};

use quantities::format::number;

use crate::{
    outcome::Plan,
    project::{ItemKind, Project},
};

/// A cost and whether it is guessed by the scale.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Cost {
    pub(super) amount: f64,
    pub(super) guessed: bool,
}

impl std::ops::Add for Cost {
    type Output = Self;

    fn add(self, more: Self) -> Self {
        Self { amount: self.amount + more.amount, guessed: self.guessed || more.guessed }
    }
}

impl Cost {
    pub(super) fn times(self, factor: f64) -> Self {
        Self { amount: self.amount * factor, ..self }
    }
}

/// Units of the scale of one clip, a metre of bar, a square metre of a free frame, of 100 mm of fibre, and of fixing a layer of board.
const CLIP: f64 = 0.7;
const BAR_M: f64 = 0.4;
const FRAME_M2: f64 = 1.8;
const FIBRE_100: f64 = 1.3;
const SCREWS_AND_SEALANT_M2: f64 = 0.25;
/// A metre of glazing frame, of a seal, of lined duct; a door frame; a lined box of a cubic metre.
const GLAZING_FRAME_M: f64 = 3.5;
const SEAL_M: f64 = 1.2;
const DUCT_M: f64 = 9.0;
const DOOR_FRAME: f64 = 22.0;
const BOX_M3: f64 = 60.0;
/// A square metre of plaster 13 mm, ready.
const PLASTER_M2: f64 = 2.6;
/// A metre of joint closed.
const SEALANT_M: f64 = 0.3;

/// Prices of the project.
pub(super) struct Prices<'a> {
    project: &'a Project,
    /// Money for a unit of the scale.
    unit: f64,
    /// Whether that is money at all.
    pub(super) in_money: bool,
}

impl<'a> Prices<'a> {
    pub(super) fn new(project: &'a Project) -> Self {
        let given = project.choosing.board_price.or_else(|| middle(of_boards(project)));
        Self { project, unit: given.unwrap_or(1.0), in_money: given.is_some() }
    }

    /// Why what a choice costs is not what the order comes to.
    pub(super) fn beside_the_order(&self, plan: &Plan) -> Option<String> {
        (self.in_money && plan.order.price > 0.0).then(|| {
            format!(
                "What is chosen between is priced by the square metre and the piece. Whole boards, offcuts and small things come on top: the \
                 ceiling's order as the file has it comes to {}{}.",
                plan.order.currency,
                number(plan.order.price, 0)
            )
        })
    }

    fn by_scale(&self, units: f64) -> Cost {
        Cost { amount: units * self.unit, guessed: true }
    }

    /// A square metre of one layer of a board, with what fixes it.
    pub(super) fn board_m2(&self, id: &str) -> Cost {
        let stocked = self.project.stock.board.iter().find(|board| board.material.as_str() == id);
        let known =
            stocked.and_then(|board| board.price.map(|price| per_m2(price, board.length_mm, board.width_mm)));
        let board =
            known.map_or_else(|| self.by_scale(board_units(id)), |amount| Cost { amount, guessed: false });
        // Screws and sealant are small beside it: they do not make a price a guess.
        board + Cost { amount: SCREWS_AND_SEALANT_M2 * self.unit, guessed: false }
    }

    pub(super) fn clip(&self) -> Cost {
        self.known(self.project.stock.clip.as_ref().and_then(|clip| clip.price), CLIP)
    }

    pub(super) fn bar_m(&self) -> Cost {
        let bar = self.project.stock.bar.as_ref();
        self.known(
            bar.and_then(|bar| bar.price.map(|price| price / (bar.length_mm / 1000.0).max(0.1))),
            BAR_M,
        )
    }

    pub(super) fn fibre_m2(&self, thickness_mm: f64, density_kg_m3: f64) -> Cost {
        let item = self.project.stock.item.iter().find(|item| item.what == ItemKind::Fibre);
        let known = item.and_then(|item| item.price.map(|price| price / item.pack_size.max(0.01)));
        // Dearer the denser it is, but not in proportion.
        self.known(known, FIBRE_100).times(thickness_mm / 100.0 * (0.7 + density_kg_m3 / 66.0))
    }

    pub(super) fn frame_m2(&self) -> Cost {
        self.by_scale(FRAME_M2)
    }

    pub(super) fn plaster_m2(&self) -> Cost {
        self.by_scale(PLASTER_M2)
    }

    pub(super) fn pane(&self, id: &str, area_m2: f64, edge_m: f64) -> Cost {
        let units = find::<Glass>(id).map_or(15.0, |pane| {
            let dearer = match (pane.laminated, pane.loss_factor > 0.1) {
                (false, _) => 1.0,
                (true, false) => 1.6,
                (true, true) => 2.1,
            };
            1.6 * pane.thickness_mm * dearer
        });
        self.by_scale(units * area_m2 + GLAZING_FRAME_M * edge_m)
    }

    pub(super) fn seal(&self, edge_m: f64, rows: f64) -> Cost {
        self.by_scale(SEAL_M * edge_m * rows)
    }

    pub(super) fn door(&self, id: &str, area_m2: f64, with_frame: bool) -> Cost {
        let units = find::<Door>(id).map_or(30.0, |door| {
            let steel = if id.starts_with("steel") { 2.5 } else { 1.0 };
            (6.0 + 0.9 * door.mass_kg_m2) * steel
        });
        self.by_scale(units * area_m2 + if with_frame { DOOR_FRAME } else { 0.0 })
    }

    pub(super) fn duct_m(&self, lining_mm: f64) -> Cost {
        self.by_scale(DUCT_M * (0.6 + 0.4 * lining_mm / 50.0))
    }

    pub(super) fn lined_box(&self, volume_m3: f64) -> Cost {
        self.by_scale(4.0 + BOX_M3 * volume_m3)
    }

    pub(super) fn joint_m(&self) -> Cost {
        self.by_scale(SEALANT_M)
    }

    fn known(&self, price: Option<f64>, units: f64) -> Cost {
        price.map_or_else(|| self.by_scale(units), |amount| Cost { amount, guessed: false })
    }
}

fn per_m2(price: f64, length_mm: f64, width_mm: f64) -> f64 {
    price / (length_mm * width_mm * 1e-6).max(0.01)
}

/// What a unit of the scale comes to by each board that has a price.
fn of_boards(project: &Project) -> Vec<f64> {
    project
        .stock
        .board
        .iter()
        .filter_map(|board| {
            let units = board_units(board.material.as_str());
            board.price.map(|price| per_m2(price, board.length_mm, board.width_mm) / units.max(0.1))
        })
        .filter(|unit| *unit > 0.0)
        .collect()
}

fn middle(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

/// Units of the scale for a square metre of a board.
fn board_units(id: &str) -> f64 {
    let Some(sheet) = find::<Sheet>(id) else { return 2.0 };
    let thickness = sheet.thickness_mm / 12.5;
    match sheet.family {
        SheetFamily::Gypsum if id.starts_with("gypsum-fibreboard") => 2.0 * thickness,
        SheetFamily::Gypsum if id.starts_with("dense") => 1.7 * thickness,
        SheetFamily::Gypsum if id.starts_with("plasterboard") => thickness,
        SheetFamily::Gypsum => 1.3 * thickness,
        SheetFamily::Wood => 1.2 * thickness,
        SheetFamily::Mineral => 3.0 * thickness,
        SheetFamily::SandFilled => 4.5 * thickness,
        SheetFamily::Metal | SheetFamily::Profiled => 20.0 * sheet.thickness_mm,
        SheetFamily::Barrier => 4.0 * sheet.mass_kg_m2() / 5.0,
        SheetFamily::SoftFibre => 0.8 * thickness,
    }
}
