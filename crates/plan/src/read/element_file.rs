//! The element file: one build-up alone.

use bands::Readings;
use toml::de::DeTable;

use crate::{
    project::{Bridge, ElementFile, ElementGap, ElementSpec, Layer, Mounting, Penetrating, SealId},
    read::{
        field::{Keyed, Rows},
        keyed::keyed,
        layers::element_spec,
        reading::Reading,
        spectrum::measured,
        wording::shown,
    },
};

keyed! {
    /// One build-up alone, as in the opening of a laboratory.
    pub(crate) struct ElementKeys {
        /// What sheets call it.
        name: String,
        /// Width of the opening it fills.
        width_m: f64 [0.1, 50.0] = 4.0,
        /// Height of the opening it fills.
        height_m: f64 [0.1, 20.0] = 2.5,
        /// How its edges are held.
        mounting: Mounting = Mounting::Laboratory,
        /// Layers from outside to inside.
        layer: Vec<Layer>,
        /// What crosses the cavities.
        bridge: Vec<Bridge>,
        /// What seals it all round, as a door or a window.
        seal: Option<SealId>,
        /// Slits and holes in it.
        gap: Vec<ElementGap>,
        /// What goes through it, or is let into it.
        penetration: Vec<Penetrating>,
        /// Sound reduction index measured on this very element, by third-octave band; used instead of a prediction.
        measured: Option<Readings> [-20.0, 120.0],
        /// File with the measured values, columns `frequency_hz,value_db`.
        measured_csv: Option<String>,
        /// Standard uncertainty of each measured value; without it that of a laboratory.
        measured_uncertainty_db: Option<f64> [0.1, 10.0],
    }
}

/// Reads the element.
pub(crate) fn element(document: &DeTable<'_>, reading: &mut Reading<'_>) -> Option<ElementFile> {
    let rows = Rows { path: String::new(), table: document, span: 0..0 };
    let keys = ElementKeys::decode_rows(&rows, reading)?;
    let readings = measured(keys.measured, keys.measured_csv.as_deref(), "", reading);
    let title = format!("The element \"{}\"", shown(&keys.name));
    let spec = ElementSpec {
        name: keys.name,
        layers: keys.layer,
        bridges: keys.bridge,
        measured: readings,
        measured_uncertainty_db: keys.measured_uncertainty_db,
    };
    let element = element_spec(spec, &title, "", reading)?;
    if reading.has_errors() {
        return None;
    }
    Some(ElementFile {
        element,
        width_m: keys.width_m,
        height_m: keys.height_m,
        mounting: keys.mounting,
        seal: keys.seal,
        gaps: keys.gap,
        penetrations: keys.penetration,
    })
}
