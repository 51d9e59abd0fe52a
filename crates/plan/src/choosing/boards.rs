//! Layers of board in the order in which they are fixed.

use catalogue::{Sheet, SheetFamily, find};

use crate::{
    assemble::{ceiling::board_size_mm, material::solid},
    choosing::prices::{Cost, Prices},
    project::{Bond, Layer, Leaf, LeafKind, MaterialId, OwnSheet, Project},
};

/// One board of the catalogue as a layer.
pub(super) fn leaf(id: &str, kind: LeafKind) -> Leaf {
    Leaf {
        kind,
        name: None,
        material: Some(MaterialId(id.to_owned())),
        own: OwnSheet::default(),
        thickness_mm: None,
        sheets: 1,
        bond: Bond::Screwed,
        seal: None,
        plaster_outside_mm: 0.0,
        plaster_inside_mm: 0.0,
    }
}

/// Boards one over the other, the one on the supports first.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stack {
    pub(super) ids: Vec<&'static str>,
}

impl Stack {
    pub(super) fn layers(&self) -> impl Iterator<Item = Layer> + '_ {
        self.ids.iter().map(|id| Layer::Leaf(leaf(id, LeafKind::Board)))
    }

    pub(super) fn thickness_mm(&self) -> f64 {
        self.sheets().map(|sheet| sheet.thickness_mm).sum()
    }

    pub(super) fn mass_kg_m2(&self) -> f64 {
        self.sheets().map(Sheet::mass_kg_m2).sum()
    }

    pub(super) fn cost_m2(&self, prices: &Prices<'_>) -> Cost {
        self.ids.iter().map(|id| prices.board_m2(id)).fold(Cost::default(), std::ops::Add::add)
    }

    /// `sand-filled board 15 mm, plasterboard 12.5 mm`.
    pub(super) fn words(&self) -> String {
        let names: Vec<&str> = self.sheets().map(|sheet| sheet.name).collect();
        names.join(", ")
    }

    /// Weight of its heaviest board as it is sold, kg.
    pub(super) fn heaviest_kg(&self, project: &Project) -> f64 {
        self.sheets().map(|sheet| board_kg(project, sheet)).fold(0.0, f64::max)
    }

    fn sheets(&self) -> impl Iterator<Item = &'static Sheet> + '_ {
        self.ids.iter().filter_map(|id| find::<Sheet>(id))
    }
}

fn board_kg(project: &Project, sheet: &Sheet) -> f64 {
    let stocked = project.stock.board.iter().find(|board| board.material.as_str() == sheet.id);
    if let Some(mass_kg) = stocked.and_then(|board| board.mass_kg) {
        return mass_kg;
    }
    let (length_mm, width_mm) = board_size_mm(project, sheet.id, sheet.mass_kg_m2()).unwrap_or_default();
    length_mm * width_mm * 1e-6 * sheet.mass_kg_m2()
}

/// Weight of the heaviest of some layers as it is sold, kg.
pub(super) fn heaviest_of_layers_kg(project: &Project, layers: &[&Leaf]) -> f64 {
    let sheets = layers.iter().filter_map(|leaf| find::<Sheet>(&solid(leaf).id));
    sheets.map(|sheet| board_kg(project, sheet)).fold(0.0, f64::max)
}

/// How many sorts of board a face has at most.
const MOST_SORTS: usize = 2;

/// Every way to lay one to `most` boards of no more than two kinds, the heaviest first and a face that takes a finish last.
pub(super) fn stacks(kinds: &[&'static str], most: usize) -> Vec<Stack> {
    let mut found: Vec<Vec<&'static str>> = Vec::new();
    let mut begun: Vec<Vec<&'static str>> = vec![Vec::new()];
    for _ in 0..most {
        let mut longer = Vec::new();
        for stack in &begun {
            let from = stack.last().and_then(|last| kinds.iter().position(|kind| kind == last)).unwrap_or(0);
            longer.extend(kinds.iter().skip(from).map(|kind| [stack.as_slice(), &[*kind]].concat()));
        }
        found.extend(longer.iter().cloned());
        begun = longer;
    }
    let gypsum = |id: &&str| find::<Sheet>(id).is_some_and(|sheet| sheet.family == SheetFamily::Gypsum);
    let mass = |id: &str| find::<Sheet>(id).map_or(0.0, Sheet::mass_kg_m2);
    // Nobody buys three sorts of board for one face.
    let sorts = |ids: &Vec<&'static str>| {
        (1..ids.len()).filter(|at| ids.get(*at) != ids.get(at - 1)).count() < MOST_SORTS
    };
    found
        .into_iter()
        .filter(sorts)
        .filter_map(|mut ids| {
            ids.sort_by(|a, b| mass(b).total_cmp(&mass(a)).then(a.cmp(b)));
            let face = ids.iter().rposition(gypsum)?;
            let last = ids.remove(face);
            ids.push(last);
            Some(Stack { ids })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_stack_ends_with_a_face_that_takes_a_finish() {
        let all = stacks(&["plasterboard-12.5", "osb-18", "sand-filled-board-15"], 2);
        // Of 3 single and 6 double stacks those with a plasterboard in them.
        assert_eq!(all.len(), 4);
        assert!(all.iter().all(|stack| stack.ids.last() == Some(&"plasterboard-12.5")));
        assert!((all[0].mass_kg_m2() - 8.6).abs() < 3.0);
        // Of ten triples the one of three sorts is left out, and three without a plasterboard.
        let three = stacks(&["plasterboard-12.5", "osb-18", "sand-filled-board-15"], 3);
        assert_eq!(three.len() - all.len(), 10 - 1 - 4);
    }
}
