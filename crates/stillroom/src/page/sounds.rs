//! The sounds of a room to listen to on the page: made by the same code as the files of `stillroom hear`, once for each plan.

use std::sync::{Arc, Mutex, PoisonError};

use plan::{
    Plan, Project,
    versions::{decay_s, listen_at},
};
use proof::hear::{About, Pressure, Scale, synthesis, wav};
use quantities::format::with_unit;
use serde::Serialize;

use super::words::hear as words;
use crate::commands::hear::{CAUTION, PHRASE_DBA, PLAYED_S, at_source, rendered};

/// What a page can play of one plan.
#[derive(Debug, Serialize)]
pub(crate) struct Playable {
    /// How to listen without harm.
    caution: &'static str,
    /// A voice at one metre, to set the volume by.
    phrase: One,
    /// What can be heard where.
    places: Vec<Place>,
    #[serde(skip)]
    files: Vec<Vec<u8>>,
}

#[derive(Debug, Serialize)]
struct Place {
    receiver: String,
    source: String,
    sounds: Vec<One>,
}

#[derive(Debug, Serialize)]
struct One {
    /// `inside`, `today`, `planned`, `better`.
    id: String,
    name: String,
    level: String,
    address: String,
}

impl Playable {
    fn new(project: &Project, plan: &Plan, count: u64) -> anyhow::Result<Self> {
        let (places, _) = listen_at(project, plan);
        let decay = decay_s(plan);
        let mut pressures = Vec::new();
        let mut put = |id: &str, name: String, level_dba: f64, pressure: Pressure| {
            pressures.push((name.clone(), pressure));
            One {
                id: id.to_owned(),
                name,
                level: with_unit(level_dba, 0, "dB(A)"),
                address: format!("/sound/{count}/{}", pressures.len() - 1),
            }
        };
        let phrase = put(
            "phrase",
            words::PHRASE.to_owned(),
            PHRASE_DBA,
            Pressure::at_level(&synthesis::repeated(&synthesis::phrase(), PLAYED_S), PHRASE_DBA)?,
        );
        let mut heard = Vec::new();
        for place in &places {
            let mut inside = at_source(place, None)?;
            let mut sounds = Vec::new();
            let mut longest = inside.pa.len();
            for (number, version) in place.versions.iter().enumerate() {
                let one = rendered(place, version, number + 1, &inside, decay);
                longest = longest.max(one.pressure.pa.len());
                sounds.push(put(&version.id, version.name.clone(), one.pressure.total_dba(), one.pressure));
            }
            // What is heard outside dies away a little longer; going round, all must stay together.
            inside.pa.resize(longest, 0.0);
            let whose = if place.inwards { words::OUTSIDE } else { words::INSIDE };
            sounds.insert(0, put("inside", whose.to_owned(), place.source_level_dba, inside));
            heard.push(Place { receiver: place.receiver.clone(), source: place.source.clone(), sounds });
        }
        // One scale for all: what is quieter in truth is quieter here by as much.
        let scale = Scale::for_all(pressures.iter().map(|(_, pressure)| pressure));
        let files = pressures
            .iter()
            .map(|(title, pressure)| {
                let about = About { title: title.clone(), comment: CAUTION.to_owned() };
                wav::write(&scale.samples(pressure), pressure.rate_hz, &about)
            })
            .collect::<Result<_, _>>()?;
        Ok(Self { caution: CAUTION, phrase, places: heard, files })
    }
}

/// The sounds of the newest plan that somebody wanted to hear.
#[derive(Default)]
pub(crate) struct Sounds {
    made: Mutex<Option<(u64, Arc<Playable>)>>,
}

impl Sounds {
    /// The sounds of a plan, by its count; made where there are none yet.
    ///
    /// # Errors
    /// Why there are none.
    pub(crate) fn of(&self, project: &Project, plan: &Plan, count: u64) -> anyhow::Result<Arc<Playable>> {
        let mut made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, sounds)) = made.as_ref().filter(|(of, _)| *of == count) {
            return Ok(Arc::clone(sounds));
        }
        let sounds = Arc::new(Playable::new(project, plan, count)?);
        *made = Some((count, Arc::clone(&sounds)));
        Ok(sounds)
    }

    /// One of them as a WAV file; none where a newer plan has taken their place.
    pub(crate) fn file(&self, count: u64, number: usize) -> Option<Vec<u8>> {
        let made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        made.as_ref().filter(|(of, _)| *of == count).and_then(|(_, sounds)| sounds.files.get(number).cloned())
    }
}
