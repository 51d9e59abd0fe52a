//! What a receiver hears and which element or leak lets how much of it through.

use std::collections::BTreeMap;

use bands::{Band, Spectrum};
use quantities::format::{round_to, with_unit};
use serde::{Serialize, Serializer, ser::SerializeMap};

use crate::{
    criterion::Verdict,
    ranged::{RangedSpectrum, RangedValue},
};

/// What one receiver hears.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Heard {
    /// The receiver.
    pub receiver: String,
    /// Level in each band: median, 10th and 90th percentile, dB. Below 50 Hz and above 5 kHz it lies outside the
    /// validated range.
    pub level: RangedSpectrum,
    /// A-weighted level.
    pub level_dba: RangedValue,
    /// Each element and leak, the one that lets most through first (in dB(A)).
    pub shares: Vec<Share>,
    /// Whether the receiver's criterion is met, if it has one.
    pub verdict: Option<Verdict>,
    /// What lets most through, in a sentence.
    pub sentence: String,
    /// What the person should know of this result, a sentence each.
    pub notes: Vec<String>,
}

/// What one element or leak lets through to one receiver.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Share {
    /// The element or leak.
    pub name: String,
    /// Its own level at the receiver in each band, dB.
    pub level_db: RangedSpectrum,
    /// Its own A-weighted level.
    pub level_dba: RangedValue,
    /// Its part of the energy in each band, 0 to 1, mean over the sample: all parts sum to 1.
    #[serde(serialize_with = "fractions")]
    pub share: BTreeMap<Band, f64>,
    /// Its part of the A-weighted energy, 0 to 1.
    #[serde(serialize_with = "fraction")]
    pub share_dba: f64,
    /// Median level in each band if this one let nothing through, dB; none where nothing would be left.
    pub if_perfect_db: Option<Spectrum>,
    /// Median A-weighted level if this one let nothing through; none where nothing would be left.
    #[serde(serialize_with = "level")]
    pub if_perfect_dba: Option<f64>,
}

impl Share {
    /// What making this one perfect would gain, dB in the A-weighted median; none where nothing would be left.
    pub fn gain_if_perfect_dba(&self, heard: &Heard) -> Option<f64> {
        self.if_perfect_dba.map(|without| heard.level_dba.median_db - without)
    }
}

/// Share from which an element is worth naming, 0 to 1.
const WORTH_NAMING: f64 = 0.2;

/// `door seal lets 71 % through, the roof 22 %`, from shares in falling order.
pub(crate) fn sentence(shares: &[Share]) -> String {
    let percent = |share: &Share| with_unit(share.share_dba * 100.0, 0, "%");
    let Some((first, rest)) = shares.split_first() else {
        return String::new();
    };
    let mut text = format!("{} lets {} through", first.name, percent(first));
    for other in rest.iter().take_while(|share| share.share_dba >= WORTH_NAMING).take(2) {
        text.push_str(", ");
        text.push_str(&other.name);
        text.push(' ');
        text.push_str(&percent(other));
    }
    text
}

fn fractions<S: Serializer>(shares: &BTreeMap<Band, f64>, serializer: S) -> Result<S::Ok, S::Error> {
    let mut map = serializer.serialize_map(Some(shares.len()))?;
    for (band, share) in shares {
        map.serialize_entry(band.nominal(), &round_to(*share, 4))?;
    }
    map.end()
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the signature serde calls")]
fn fraction<S: Serializer>(share: &f64, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_f64(round_to(*share, 4))
}

#[expect(clippy::ref_option, reason = "the signature serde calls")]
fn level<S: Serializer>(level_db: &Option<f64>, serializer: S) -> Result<S::Ok, S::Error> {
    level_db.map(|value| round_to(value, 2)).serialize(serializer)
}
