//! EN ISO 6946:2017, thermal resistance and transmittance.

use crate::{
    FabricError,
    heat::{UValue, UValueCheck},
};

pub(crate) fn combined_method(_check: &UValueCheck) -> Result<UValue, FabricError> {
    Err(FabricError::TooFew { what: "the build-up".to_owned(), of: "method", least: 1 })
}
