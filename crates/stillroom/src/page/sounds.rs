//! The sounds of a room to listen to on the page: made behind it by the same code as the files of `stillroom hear`, once for each plan;
//! begun, watched, stopped.

use std::{
    panic::{AssertUnwindSafe, catch_unwind},
    sync::{
        Arc, Mutex, MutexGuard, PoisonError,
        atomic::{AtomicBool, AtomicUsize, Ordering},
    },
};

use plan::{
    Plan, Project,
    versions::{decay_s, listen_at},
};
use proof::hear::{About, Pressure, Scale, synthesis, wav};
use quantities::format::with_unit;
use serde::Serialize;

use super::{desk::Desk, words::hear as words};
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

/// The making of sounds as it is watched: parts done and in all, and whether it is to stop.
#[derive(Debug, Default)]
struct Watch {
    done: AtomicUsize,
    of: AtomicUsize,
    stop: AtomicBool,
}

impl Watch {
    /// One more part is done; false where it is to stop.
    fn part(&self) -> bool {
        self.done.fetch_add(1, Ordering::Relaxed);
        !self.stop.load(Ordering::Relaxed)
    }
}

impl Playable {
    /// None where it was stopped.
    fn new(project: &Project, plan: &Plan, count: u64, watch: &Watch) -> anyhow::Result<Option<Self>> {
        let (places, _) = listen_at(project, plan);
        // Each sound is heard through the room, then written; so are the one inside of each place, and the phrase.
        let versions: usize = places.iter().map(|place| 2 * place.versions.len() + 1).sum();
        watch.of.store(versions + 1, Ordering::Relaxed);
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
                if !watch.part() {
                    return Ok(None);
                }
            }
            // What is heard outside dies away a little longer; going round, all must stay together.
            inside.pa.resize(longest, 0.0);
            let whose = if place.inwards { words::OUTSIDE } else { words::INSIDE };
            sounds.insert(0, put("inside", whose.to_owned(), place.source_level_dba, inside));
            heard.push(Place { receiver: place.receiver.clone(), source: place.source.clone(), sounds });
        }
        // One scale for all: what is quieter in truth is quieter here by as much.
        let scale = Scale::for_all(pressures.iter().map(|(_, pressure)| pressure));
        let mut files = Vec::new();
        for (title, pressure) in &pressures {
            let about = About { title: title.clone(), comment: CAUTION.to_owned() };
            files.push(wav::write(&scale.samples(pressure), pressure.rate_hz, &about)?);
            if !watch.part() {
                return Ok(None);
            }
        }
        Ok(Some(Self { caution: CAUTION, phrase, places: heard, files }))
    }
}

/// How far the sounds have come.
#[derive(Clone, Debug)]
pub(crate) enum Making {
    /// Nobody asked, or it was stopped.
    Idle,
    /// Under way: parts done, and in all.
    Running {
        /// Done so far.
        done: usize,
        /// In all.
        of: usize,
    },
    /// Made.
    Made(Arc<Playable>),
    /// They could not be made, and why.
    Failed(String),
}

#[derive(Default)]
enum Held {
    #[default]
    Idle,
    Running(u64, Arc<Watch>),
    Made(u64, Arc<Playable>),
    Failed(String),
}

/// The sounds of the newest plan that somebody wanted to hear.
#[derive(Default)]
pub(crate) struct Sounds(Mutex<Held>);

impl Sounds {
    fn lock(&self) -> MutexGuard<'_, Held> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// How far they have come.
    pub(crate) fn now(&self) -> Making {
        match &*self.lock() {
            Held::Idle => Making::Idle,
            Held::Running(_, watch) => Making::Running {
                done: watch.done.load(Ordering::Relaxed),
                of: watch.of.load(Ordering::Relaxed),
            },
            Held::Made(_, sounds) => Making::Made(Arc::clone(sounds)),
            Held::Failed(sentence) => Making::Failed(sentence.clone()),
        }
    }

    /// Begins to make the sounds of a plan, by its count; those of another plan that are under way are given up. One that is made, or being
    /// made, is not begun again.
    pub(crate) fn begin(desk: &Arc<Desk>, project: Arc<Project>, plan: Arc<Plan>, count: u64) {
        let watch = Arc::new(Watch::default());
        {
            let mut held = desk.sounds().lock();
            match &*held {
                Held::Running(of, _) | Held::Made(of, _) if *of == count => return,
                Held::Running(_, other) => other.stop.store(true, Ordering::Relaxed),
                _ => {}
            }
            *held = Held::Running(count, Arc::clone(&watch));
        }
        let desk = Arc::clone(desk);
        std::thread::spawn(move || {
            let made = catch_unwind(AssertUnwindSafe(|| Playable::new(&project, &plan, count, &watch)));
            let mut held = desk.sounds().lock();
            // Others may have been begun, or these stopped.
            if !matches!(&*held, Held::Running(_, now) if Arc::ptr_eq(now, &watch)) {
                return;
            }
            *held = match made {
                Ok(Ok(Some(sounds))) => Held::Made(count, Arc::new(sounds)),
                Ok(Ok(None)) => Held::Idle,
                Ok(Err(error)) => Held::Failed(format!("{error:#}")),
                Err(_) => Held::Failed(words::NOT_MADE.to_owned()),
            };
        });
    }

    /// Stops what is under way.
    pub(crate) fn stop(&self) {
        let mut held = self.lock();
        if let Held::Running(_, watch) = &*held {
            watch.stop.store(true, Ordering::Relaxed);
            *held = Held::Idle;
        }
    }

    /// One of them as a WAV file; none where a newer plan has taken their place.
    pub(crate) fn file(&self, count: u64, number: usize) -> Option<Vec<u8>> {
        match &*self.lock() {
            Held::Made(of, sounds) if *of == count => sounds.files.get(number).cloned(),
            _ => None,
        }
    }
}
