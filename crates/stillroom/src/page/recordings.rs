//! The recordings a room file names: each is worked out once, and kept while it and its calibrator's tone stay as they are.

use std::{
    collections::{BTreeMap, BTreeSet},
    panic::{AssertUnwindSafe, catch_unwind},
    path::{Path, PathBuf},
    sync::{Mutex, MutexGuard, PoisonError},
};

use bands::Readings;
use plan::{
    Project,
    project::{DecayOf, Measured, Measurement, Recorded, RecordedDecay},
};
use proof::{BandLevels, MeasuredLevels, iso_18233_2006::SweptLevels};

use super::{desk::Stamp, words};
use crate::{
    commands::{levels::calibrate, recorded},
    files,
};

/// What the levels of a recording hang on.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Wanted {
    file: (Named, Stamp),
    /// Whether decay times are wanted of it, not levels.
    decay: bool,
    /// Of what the decays are, where that is said.
    decay_of: Option<DecayOf>,
    /// Recording of the calibrator, and the level of its tone as bits.
    calibration: Option<(Named, Stamp, u64)>,
}

/// Where a file lies that a room file names; else why it may not be read.
type Named = Result<PathBuf, String>;

fn path(named: &Named) -> anyhow::Result<&Path> {
    named.as_deref().map_err(|why| anyhow::Error::msg(why.clone()))
}

/// What a recording gave.
#[derive(Clone, Debug)]
enum Gave {
    /// Levels, whether they count from 20 µPa, and gains where it is of the sweep.
    Levels(Box<BandLevels>, bool, Option<Box<SweptLevels>>),
    /// Decay times, s.
    Decay(Readings),
}

/// What came of a recording, with what is wrong with it; else why nothing did.
type Worked = Result<(Gave, Vec<String>), String>;

/// What is known of the recordings of a project.
#[derive(Debug, Default)]
pub(crate) struct Known {
    /// Levels that are known.
    pub(crate) recorded: Vec<Recorded>,
    /// Decay times that are known.
    pub(crate) decays: Vec<RecordedDecay>,
    /// What is to be said of a measurement's recording: its place, and sentences.
    pub(crate) said: Vec<(usize, Vec<String>)>,
    /// Whether some are still being listened to.
    pub(crate) listening: bool,
    /// Those nobody listens to yet.
    pub(crate) wanted: Vec<Wanted>,
}

/// All that were listened to since the program began.
#[derive(Debug, Default)]
pub(crate) struct Recordings {
    shelf: Mutex<Shelf>,
}

#[derive(Debug, Default)]
struct Shelf {
    worked: BTreeMap<Wanted, Worked>,
    begun: BTreeSet<Wanted>,
}

impl Wanted {
    /// What a measurement names, beside its room file; none where it names no recording.
    pub(crate) fn of(one: &Measurement, folder: &Path) -> Option<Self> {
        let stamped = |name: &str| {
            let stamp = Stamp::of(&folder.join(name));
            (files::inside(folder, name).map_err(|why| why.to_string()), stamp)
        };
        let file = stamped(one.file.as_ref()?);
        let calibration = one.calibration_file.as_ref().zip(one.calibration_db).map(|(name, stated_db)| {
            let (path, stamp) = stamped(name);
            (path, stamp, stated_db.to_bits())
        });
        Some(Self { file, decay: one.what == Measured::Decay, decay_of: one.decay_of, calibration })
    }

    fn work_out(&self) -> Worked {
        let listened = || -> anyhow::Result<(Gave, Vec<String>)> {
            if self.decay {
                let (times, said) =
                    recorded::decay(path(&self.file.0)?, self.decay_of, words::proof::SAY_WHICH)?;
                return Ok((Gave::Decay(times), Vec::from_iter(said)));
            }
            let sensitivity = match &self.calibration {
                Some((file, _, stated)) => Some(calibrate(path(file)?, f64::from_bits(*stated), 0)?.1),
                None => None,
            };
            let (analysis, mut said) = recorded::levels(path(&self.file.0)?, sensitivity)?;
            let (swept, overdriven) = recorded::swept(path(&self.file.0)?, sensitivity).unzip();
            said.extend(overdriven.flatten());
            let swept = swept.map(Box::new);
            Ok((Gave::Levels(Box::new(analysis.bands), sensitivity.is_some(), swept), said))
        };
        // A file nobody could foresee must not take the page with it.
        match catch_unwind(AssertUnwindSafe(listened)) {
            Ok(Ok(worked)) => Ok(worked),
            Ok(Err(error)) => Err(format!("{error:#}")),
            Err(_) => Err(words::proof::CANNOT_LISTEN.to_owned()),
        }
    }
}

impl Recordings {
    fn lock(&self) -> MutexGuard<'_, Shelf> {
        self.shelf.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What is known of a project's recordings; what is wanted counts as begun from here on.
    pub(crate) fn known(&self, project: &Project, folder: &Path) -> Known {
        let mut shelf = self.lock();
        let mut known = Known::default();
        for (measurement, one) in project.recordings() {
            let Some(wanted) = Wanted::of(one, folder) else { continue };
            match shelf.worked.get(&wanted) {
                Some(Ok((gave, said))) => {
                    if !said.is_empty() {
                        known.said.push((measurement, said.clone()));
                    }
                    match gave {
                        Gave::Levels(bands, calibrated, swept) => {
                            let (calibrated, chain) = (*calibrated, one.chain.clone());
                            let levels = MeasuredLevels { bands: **bands, calibrated, chain };
                            known.recorded.push(Recorded {
                                measurement,
                                levels,
                                swept: swept.as_deref().cloned(),
                                analysis: None,
                            });
                        }
                        Gave::Decay(decay_s) => {
                            known.decays.push(RecordedDecay { measurement, decay_s: decay_s.clone() });
                        }
                    }
                }
                Some(Err(sentence)) => known.said.push((measurement, vec![sentence.clone()])),
                None => {
                    known.listening = true;
                    if shelf.begun.insert(wanted.clone()) {
                        known.wanted.push(wanted);
                    }
                }
            }
        }
        known
    }

    /// Listens to recordings; takes a second for each minute.
    pub(crate) fn work_out(&self, wanted: Vec<Wanted>) {
        for one in wanted {
            let worked = one.work_out();
            self.lock().worked.insert(one, worked);
        }
    }

    /// Listens to one recording now.
    ///
    /// # Errors
    /// Why it gives no levels.
    pub(crate) fn listen(&self, wanted: Wanted) -> Result<(), String> {
        let worked = wanted.work_out();
        let done = worked.as_ref().map(|_| ()).map_err(Clone::clone);
        let mut shelf = self.lock();
        shelf.begun.insert(wanted.clone());
        shelf.worked.insert(wanted, worked);
        done
    }
}
