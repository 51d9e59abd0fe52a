//! What can be bought.

use crate::{
    project::{BarId, BoardId, ClipId},
    read::keyed::{keyed, words},
};

keyed! {
    /// Everything that can be bought, with prices in the person's currency.
    pub struct Stock {
        /// The furring bar.
        bar: Option<Bar>,
        /// The clip that carries it.
        clip: Option<ClipStock>,
        /// Formats of boards.
        board: Vec<Board>,
        /// Everything else.
        item: Vec<Item>,
        /// Prices of what stands in none of these lists, by the name the order gives it.
        price: Vec<PriceOf>,
    }
}

keyed! {
    /// A furring bar as sold.
    pub struct Bar {
        /// Catalogue entry.
        product: BarId,
        /// Length as sold.
        length_mm: f64 [500.0, 12_000.0],
        /// Price of one.
        price: Option<f64> [0.0, 100_000.0],
        /// The maker's figure for what one metre of bar carries at the clip distance used.
        capacity_kg_m: Option<f64> [1.0, 5000.0],
        /// The maker's figure for what one board screw carries in this bar.
        screw_capacity_kg: Option<f64> [0.1, 500.0],
    }
}

keyed! {
    /// A clip as sold.
    pub struct ClipStock {
        /// Catalogue entry.
        product: ClipId,
        /// The maker's figure for what one clip carries; without it the load on a clip is stated, not judged.
        rated_load_kg: Option<f64> [0.5, 500.0],
        /// Price of one.
        price: Option<f64> [0.0, 100_000.0],
        /// How many are sold together.
        pack: u32 [1.0, 10_000.0] = 1,
    }
}

keyed! {
    /// A board as sold.
    pub struct Board {
        /// Catalogue entry.
        material: BoardId,
        /// Length as sold.
        length_mm: f64 [200.0, 6000.0],
        /// Width as sold.
        width_mm: f64 [100.0, 3000.0],
        /// Weight of one; without it from the catalogue's mass.
        mass_kg: Option<f64> [0.5, 300.0],
        /// Price of one.
        price: Option<f64> [0.0, 100_000.0],
    }
}

keyed! {
    /// Something else that is sold in packs.
    pub struct Item {
        /// What it is.
        what: ItemKind,
        /// How many packs are sold together.
        pack: u32 [1.0, 10_000.0] = 1,
        /// How much is in one pack.
        pack_size: f64 [0.001, 1_000_000.0],
        /// What the pack size is counted in.
        unit: SaleUnit,
        /// Price of one pack.
        price: Option<f64> [0.0, 100_000.0],
    }
}

keyed! {
    /// The price of something the order names that is not sold in packs of its own.
    pub struct PriceOf {
        /// Its name, as it stands in the order.
        of: String,
        /// Price of one, as the order counts what is bought.
        price: f64 [0.0, 100_000.0],
    }
}

words! {
    /// What an item of the stock is.
    pub enum ItemKind {
        /// Acoustic sealant for the perimeter and holes.
        Sealant = "sealant",
        /// Screws for the boards.
        Screws = "screws",
        /// Screws that hold the clips to the joists.
        ClipScrews = "clip-screws",
        /// Tape for the vapour barrier.
        Tape = "tape",
        /// Fibre for the cavity.
        Fibre = "fibre",
        /// Vapour barrier.
        Membrane = "membrane",
        /// Packers under the clips.
        Packers = "packers",
        /// Filler and paper for the joints.
        JointFiller = "joint-filler",
    }
}

words! {
    /// What a pack is counted in.
    pub enum SaleUnit {
        /// Litres.
        Litres = "l",
        /// Pieces.
        Pieces = "pieces",
        /// Metres.
        Metres = "m",
        /// Square metres.
        SquareMetres = "m2",
        /// Kilograms.
        Kilograms = "kg",
    }
}

impl Stock {
    /// The same without any price: what a layout depends on.
    pub(crate) fn without_prices(&self) -> Self {
        let mut stock = self.clone();
        let Self { bar, clip, board, item, price } = &mut stock;
        let bar = bar.iter_mut().map(|bar| &mut bar.price);
        let clip = clip.iter_mut().map(|clip| &mut clip.price);
        let board = board.iter_mut().map(|board| &mut board.price);
        for own in bar.chain(clip).chain(board) {
            *own = None;
        }
        item.clear();
        price.clear();
        stock
    }
}
