//! Faults that measuring has found, kept so that what is planned next starts from the truth.

use serde::Serialize;

use crate::{
    project::{ElementId, WallId},
    read::keyed::{keyed, words},
};

keyed! {
    /// Faults that measuring has found: the plan is worked out with them in it until they are mended and taken out here.
    pub struct AsProved {
        /// Each fault.
        fault: Vec<FoundFault>,
    }
}

keyed! {
    /// A fault with its size; which keys it needs depends on its kind.
    pub struct FoundFault {
        /// What is wrong.
        kind: FaultKind,
        /// The part it is in: of a gap, a seal, missing fibre, panes, or a weak wall.
        element: Option<ElementId>,
        /// Of an air path: the name of its vent.
        vent: Option<String>,
        /// Of flanking: the receiver in the room next door.
        receiver: Option<String>,
        /// Of a gap: its open area.
        area_mm2: Option<f64> [1.0, 1_000_000.0],
        /// Of a seal: the mean width it leaves open all round.
        open_mm: Option<f64> [0.01, 20.0],
        /// Of bridged clips: how many.
        count: Option<u32> [1.0, 1000.0],
        /// Of missing fibre: the share of the face without it.
        share_percent: Option<f64> [1.0, 100.0],
        /// Of panes: the clear depth between them as it really is.
        depth_mm: Option<f64> [1.0, 1000.0],
        /// Of a weak wall, flanking or an air path: by how much less it insulates; of flanking the whole allowance.
        loss_db: Option<f64> [0.5, 40.0],
        /// How it was found, in words.
        found: Option<String>,
    }
}

words! {
    /// What is wrong.
    pub enum FaultKind {
        /// A gap straight through a wall or opening, or round the boards of a ceiling.
        Gap = "gap",
        /// A seal that does not close.
        Seal = "seal",
        /// Clips bridged by a screw that goes straight through.
        BridgedClips = "bridged-clips",
        /// Fibre that is missing or has slumped.
        MissingFill = "missing-fill",
        /// Panes nearer to each other than drawn.
        Panes = "panes",
        /// A wall, and all of its build-up, that insulates less than planned.
        WeakWall = "weak-wall",
        /// Sound that goes round the shared wall or ceiling.
        Flanking = "flanking",
        /// An air path that lets more through than planned.
        AirPath = "air-path",
    }
}

/// A fault with its size, nothing left open.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fault {
    /// A gap.
    Gap {
        /// The part it is in.
        element: ElementId,
        /// Its open area, mm².
        area_mm2: f64,
    },
    /// A seal that does not close.
    Seal {
        /// The opening.
        element: ElementId,
        /// Mean width it leaves open, mm.
        open_mm: f64,
    },
    /// Clips bridged.
    BridgedClips {
        /// How many.
        count: u32,
    },
    /// Fibre missing.
    MissingFill {
        /// The part it is in.
        element: ElementId,
        /// Share of the face without fibre, 0 to 1.
        share: f64,
    },
    /// Panes too near.
    Panes {
        /// The window.
        element: ElementId,
        /// Clear depth between the panes, mm.
        depth_mm: f64,
    },
    /// A build-up of walls that insulates less.
    WeakWall {
        /// A wall of that build-up.
        wall: WallId,
        /// By how much less, dB.
        loss_db: f64,
    },
    /// Sound round the shared element.
    Flanking {
        /// The receiver next door.
        receiver: String,
        /// The whole allowance, dB.
        loss_db: f64,
    },
    /// An air path that lets more through.
    AirPath {
        /// Its name.
        vent: String,
        /// By how much more, dB.
        loss_db: f64,
    },
}

impl FoundFault {
    /// The fault with its size; none where a key it needs is missing, which the reader reports.
    pub fn fault(&self) -> Option<Fault> {
        Some(match self.kind {
            FaultKind::Gap => Fault::Gap { element: self.element?, area_mm2: self.area_mm2? },
            FaultKind::Seal => Fault::Seal { element: self.element?, open_mm: self.open_mm? },
            FaultKind::BridgedClips => Fault::BridgedClips { count: self.count? },
            FaultKind::MissingFill => {
                Fault::MissingFill { element: self.element?, share: self.share_percent? / 100.0 }
            }
            FaultKind::Panes => Fault::Panes { element: self.element?, depth_mm: self.depth_mm? },
            FaultKind::WeakWall => match self.element? {
                ElementId::Wall(wall) => Fault::WeakWall { wall, loss_db: self.loss_db? },
                ElementId::Ceiling | ElementId::Opening(_) => return None,
            },
            FaultKind::Flanking => {
                Fault::Flanking { receiver: self.receiver.clone()?, loss_db: self.loss_db? }
            }
            FaultKind::AirPath => Fault::AirPath { vent: self.vent.clone()?, loss_db: self.loss_db? },
        })
    }
}

impl FaultKind {
    /// The keys a fault of this kind needs: which part, and which size.
    pub(crate) fn needs(self) -> (Option<&'static str>, &'static str) {
        match self {
            Self::Gap => (Some("element"), "area_mm2"),
            Self::Seal => (Some("element"), "open_mm"),
            Self::BridgedClips => (None, "count"),
            Self::MissingFill => (Some("element"), "share_percent"),
            Self::Panes => (Some("element"), "depth_mm"),
            Self::WeakWall => (Some("element"), "loss_db"),
            Self::Flanking => (Some("receiver"), "loss_db"),
            Self::AirPath => (Some("vent"), "loss_db"),
        }
    }
}

impl Fault {
    /// Its kind, as the file writes it.
    pub fn kind(&self) -> FaultKind {
        match self {
            Self::Gap { .. } => FaultKind::Gap,
            Self::Seal { .. } => FaultKind::Seal,
            Self::BridgedClips { .. } => FaultKind::BridgedClips,
            Self::MissingFill { .. } => FaultKind::MissingFill,
            Self::Panes { .. } => FaultKind::Panes,
            Self::WeakWall { .. } => FaultKind::WeakWall,
            Self::Flanking { .. } => FaultKind::Flanking,
            Self::AirPath { .. } => FaultKind::AirPath,
        }
    }

    /// The part of the shell it is in, if it is in one.
    pub fn element(&self) -> Option<ElementId> {
        match self {
            Self::Gap { element, .. }
            | Self::Seal { element, .. }
            | Self::MissingFill { element, .. }
            | Self::Panes { element, .. } => Some(*element),
            Self::BridgedClips { .. } => Some(ElementId::Ceiling),
            Self::WeakWall { wall, .. } => Some(ElementId::Wall(*wall)),
            Self::Flanking { .. } | Self::AirPath { .. } => None,
        }
    }
}

impl FoundFault {
    /// A fault as it is written into the file.
    pub fn of(fault: &Fault, found: Option<String>) -> Self {
        let mut written = Self {
            kind: fault.kind(),
            element: fault.element(),
            vent: None,
            receiver: None,
            area_mm2: None,
            open_mm: None,
            count: None,
            share_percent: None,
            depth_mm: None,
            loss_db: None,
            found,
        };
        match fault {
            Fault::Gap { area_mm2, .. } => written.area_mm2 = Some(*area_mm2),
            Fault::Seal { open_mm, .. } => written.open_mm = Some(*open_mm),
            Fault::BridgedClips { count } => {
                written.element = None;
                written.count = Some(*count);
            }
            Fault::MissingFill { share, .. } => written.share_percent = Some(100.0 * share),
            Fault::Panes { depth_mm, .. } => written.depth_mm = Some(*depth_mm),
            Fault::WeakWall { loss_db, .. } => written.loss_db = Some(*loss_db),
            Fault::Flanking { receiver, loss_db } => {
                written.receiver = Some(receiver.clone());
                written.loss_db = Some(*loss_db);
            }
            Fault::AirPath { vent, loss_db } => {
                written.vent = Some(vent.clone());
                written.loss_db = Some(*loss_db);
            }
        }
        written
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_that_is_written_reads_as_it_was() {
        let element = ElementId::Wall(WallId(2));
        for fault in [
            Fault::Gap { element, area_mm2: 250.0 },
            Fault::Seal { element, open_mm: 1.5 },
            Fault::BridgedClips { count: 7 },
            Fault::MissingFill { element, share: 0.25 },
            Fault::Panes { element, depth_mm: 16.0 },
            Fault::WeakWall { wall: WallId(1), loss_db: 6.0 },
            Fault::Flanking { receiver: "next door".to_owned(), loss_db: 12.0 },
            Fault::AirPath { vent: "air path".to_owned(), loss_db: 9.0 },
        ] {
            assert_eq!(FoundFault::of(&fault, None).fault(), Some(fault));
        }
    }
}
