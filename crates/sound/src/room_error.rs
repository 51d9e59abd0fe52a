//! What can be wrong with the description of a room, its surroundings and its listeners.

use quantities::format::{number, with_unit};

/// A sentence about an input that cannot be computed with: what is wrong, where, what to do.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RoomError {
    /// A value that is no number, or lies outside what the method can take.
    #[error("{what}: {quantity} is {}, which must lie between {} and {}", with_unit(*value, 2, unit),
        number(*least, 2), with_unit(*most, 2, unit))]
    OutOfRange {
        /// The element, receiver or room it belongs to.
        what: String,
        /// Which of its values.
        quantity: String,
        /// The value given.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Smallest value accepted.
        least: f64,
        /// Largest value accepted.
        most: f64,
    },
    /// A 10th percentile above the median, or a 90th below it.
    #[error(
        "{what}: at {band} Hz the range runs the wrong way round; the lower value must not exceed the middle one, nor that the upper one"
    )]
    RangeUpsideDown {
        /// The element or source.
        what: String,
        /// Nominal frequency of the first band at fault.
        band: &'static str,
    },
    /// A face with fewer than three corners or a line with fewer than two.
    #[error("{what}: {given} corners were given, at least {needed} are needed")]
    TooFewCorners {
        /// The element.
        what: String,
        /// How many were given.
        given: usize,
        /// How many are needed.
        needed: usize,
    },
    /// A face or line of no size.
    #[error("{what}: it has no size; check that its corners are not all on one point or one line")]
    NoSize {
        /// The element.
        what: String,
    },
    /// Corners of a face that do not lie in one plane.
    #[error("{what}: its corners do not lie in one plane; one is {} out. Split it into flat faces", with_unit(*off_mm, 0, "mm"))]
    NotFlat {
        /// The element.
        what: String,
        /// Farthest distance of a corner from the plane, mm.
        off_mm: f64,
    },
    /// A face whose outline crosses itself.
    #[error("{what}: its outline crosses itself; give the corners in order round the edge")]
    OutlineCrosses {
        /// The element.
        what: String,
    },
    /// An outward direction that is not square to the face.
    #[error("{what}: the outward direction must be square to the face; it is {} off", with_unit(*off_deg, 0, "°"))]
    OutwardNotSquare {
        /// The element.
        what: String,
        /// Angle between the two, degrees.
        off_deg: f64,
    },
    /// A direction without length.
    #[error("a direction has no length; give it as a step in x, y and z of which one at least is not zero")]
    NoDirection,
    /// A receiver within the building's own outline.
    #[error(
        "receiver {receiver}: it lies inside the building or its walls; move it outside, or mark it as inside"
    )]
    ReceiverInBuilding {
        /// The receiver.
        receiver: String,
    },
    /// A receiver below the ground.
    #[error("receiver {receiver}: it lies {} below the ground outside; heights count upwards from that ground", with_unit(*below_m, 2, "m"))]
    ReceiverBelowGround {
        /// The receiver.
        receiver: String,
        /// How far below, m.
        below_m: f64,
    },
    /// A receiver on or too near a radiating element.
    #[error("receiver {receiver}: it is {} from {element}; the method needs {} or more. Move it away from the surface", with_unit(*distance_m * 1000.0, 0, "mm"), with_unit(*least_m * 1000.0, 0, "mm"))]
    ReceiverTooClose {
        /// The receiver.
        receiver: String,
        /// The element it is too near to.
        element: String,
        /// Distance to it, m.
        distance_m: f64,
        /// Least distance, m.
        least_m: f64,
    },
    /// A sum over no elements.
    #[error("{what}: nothing lets sound through, because no element was given; give at least one")]
    NothingLetsThrough {
        /// The receiver, wall or room.
        what: String,
    },
    /// Two elements of one name, whose shares could not be told apart.
    #[error("two elements are both called {name}; give each its own name")]
    NameTwice {
        /// The name.
        name: String,
    },
}

impl RoomError {
    /// Nothing when `least ≤ value ≤ most`, else the sentence.
    pub(crate) fn in_range(
        what: &str,
        quantity: &str,
        value: f64,
        unit: &'static str,
        (least, most): (f64, f64),
    ) -> Result<(), Self> {
        if value >= least && value <= most {
            return Ok(());
        }
        Err(Self::OutOfRange {
            what: what.to_owned(),
            quantity: quantity.to_owned(),
            value,
            unit,
            least,
            most,
        })
    }
}
