//! What an element could be built as, and how it is put into the project.

use crate::project::{
    BridgeKind, Buildup, BuildupId, ClipId, ElementId, ElementSpec, GapFilling, Project, SealId, Vent,
};

/// What is chosen for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Slot {
    /// Ceiling, wall, window or door.
    Element(ElementId),
    /// An air path, by its place in the file.
    Vent(usize),
    /// All gaps together.
    Gaps,
}

impl Slot {
    /// What a person calls it.
    pub(super) fn name(self, project: &Project) -> String {
        match self {
            Self::Element(id @ ElementId::Wall(_)) => format!("wall {}", project.element_name(id)),
            Self::Element(id) => project.element_name(id),
            Self::Vent(at) => project.vents.get(at).map_or_else(String::new, |vent| vent.name.clone()),
            Self::Gaps => "joints and holes".to_owned(),
        }
    }
}

/// What becomes of the seal of an opening.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) enum SealChange {
    /// It stays.
    #[default]
    Stays,
    /// Another.
    Other(SealId),
    /// None: each leaf has its own.
    OfLeaves,
}

/// What changes in the project.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Change {
    /// The build-up of the element.
    pub(super) buildup: Option<ElementSpec>,
    /// The seal of the opening.
    pub(super) seal: SealChange,
    /// The air path.
    pub(super) vent: Option<Vent>,
    /// Every gap closed to its full depth.
    pub(super) close_gaps: bool,
}

impl Change {
    /// Puts the change into a project.
    pub(super) fn put_into(&self, project: &mut Project, slot: Slot) {
        if self.close_gaps {
            project.gaps.iter_mut().for_each(|gap| gap.filling = GapFilling::Sealant);
        }
        match slot {
            Slot::Vent(at) => {
                if let (Some(slot), Some(vent)) = (project.vents.get_mut(at), &self.vent) {
                    slot.clone_from(vent);
                }
            }
            Slot::Gaps => {}
            Slot::Element(id) => {
                if let Some(element) = &self.buildup {
                    let new = BuildupId(project.buildups.len());
                    let name = slot.name(project);
                    let id_of_file = format!("chosen-{}", name.replace(' ', "-"));
                    project.buildups.push(Buildup { id: id_of_file, element: element.clone() });
                    match id {
                        ElementId::Ceiling => {
                            project.ceiling.buildup = new;
                            if let (Some(clip), Some(stocked)) =
                                (other_clip(project, element), &mut project.stock.clip)
                            {
                                // What was known of the other clip does not hold for this one.
                                stocked.product = clip;
                                (stocked.rated_load_kg, stocked.price) = (None, None);
                            }
                        }
                        ElementId::Wall(wall) => {
                            // A lining of the file goes with the wall it was on.
                            project.linings.retain(|lining| lining.wall != wall);
                            if let Some(wall) = project.walls.get_mut(wall.0) {
                                wall.buildup = new;
                            }
                        }
                        ElementId::Opening(at) => {
                            if let Some(opening) = project.openings.get_mut(at.0) {
                                opening.buildup = new;
                            }
                        }
                    }
                }
                if let ElementId::Opening(at) = id
                    && let Some(opening) = project.openings.get_mut(at.0)
                {
                    match &self.seal {
                        SealChange::Stays => {}
                        SealChange::Other(seal) => opening.seal = Some(seal.clone()),
                        SealChange::OfLeaves => opening.seal = None,
                    }
                }
            }
        }
    }
}

/// The clip a ceiling hangs on, where it is another than the file buys.
pub(super) fn other_clip(project: &Project, ceiling: &ElementSpec) -> Option<ClipId> {
    let clip = ceiling.bridges.iter().find(|bridge| bridge.kind == BridgeKind::Clip)?.product.as_ref()?;
    let stocked = project.stock.clip.as_ref()?;
    (stocked.product.as_str() != clip.as_str()).then(|| ClipId(clip.as_str().to_owned()))
}

/// One thing an element could be built as.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Proposal {
    /// In a few words.
    pub(super) name: String,
    /// What changes.
    pub(super) change: Change,
    /// What it costs in all, in the person's money or in the units of the scale.
    pub(super) cost: f64,
    /// Whether some of the cost follows the scale rather than a price.
    pub(super) guessed: bool,
    /// Steps of work.
    pub(super) steps: u32,
    /// The work itself, a step each.
    pub(super) work: Vec<&'static str>,
    /// How far the ceiling hangs below the joists, mm.
    pub(super) drop_mm: f64,
    /// Floor it takes, m².
    pub(super) floor_m2: f64,
    /// What it hangs from the joists, kg/m².
    pub(super) hung_kg_m2: f64,
    /// How much of that is fibre, which lies between the joists, kg/m².
    pub(super) fibre_kg_m2: f64,
    /// Whether clips carry the rest.
    pub(super) on_clips: bool,
    /// Heaviest board to be lifted overhead, kg.
    pub(super) lift_kg: f64,
}

impl Proposal {
    /// What stands today and is left.
    pub(super) fn as_it_is() -> Self {
        Self {
            name: "as it is".to_owned(),
            change: Change::default(),
            cost: 0.0,
            guessed: false,
            steps: 0,
            work: Vec::new(),
            drop_mm: 0.0,
            floor_m2: 0.0,
            hung_kg_m2: 0.0,
            fibre_kg_m2: 0.0,
            on_clips: false,
            lift_kg: 0.0,
        }
    }

    /// A proposal that costs and takes nothing yet.
    pub(super) fn new(name: String, change: Change, work: Vec<&'static str>) -> Self {
        let steps = u32::try_from(work.len()).unwrap_or(u32::MAX);
        Self { name, change, steps, work, ..Self::as_it_is() }
    }
}
