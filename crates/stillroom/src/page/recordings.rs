//! The recordings a room file names: each is worked out once, and kept while it and its calibrator's tone stay as they are.

use std::{
    collections::{BTreeMap, BTreeSet},
    panic::{AssertUnwindSafe, catch_unwind},
    path::{Path, PathBuf},
    sync::{Mutex, MutexGuard, PoisonError},
};

use plan::{
    Project,
    project::{Measurement, Recorded},
};
use proof::{BandLevels, MeasuredLevels};

use super::{desk::Stamp, words};
use crate::commands::{levels::calibrate, recorded};

/// What the levels of a recording hang on.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Wanted {
    file: (PathBuf, Stamp),
    /// Recording of the calibrator, and the level of its tone as bits.
    calibration: Option<(PathBuf, Stamp, u64)>,
}

/// What came of a recording: its levels, whether they count from 20 µPa, and what is wrong with it.
type Worked = Result<(BandLevels, bool, Vec<String>), String>;

/// What is known of the recordings of a project.
#[derive(Debug, Default)]
pub(crate) struct Known {
    /// Levels that are known.
    pub(crate) recorded: Vec<Recorded>,
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
            let path = folder.join(name);
            let stamp = Stamp::of(&path);
            (path, stamp)
        };
        let file = stamped(one.file.as_ref()?);
        let calibration = one.calibration_file.as_ref().zip(one.calibration_db).map(|(name, stated_db)| {
            let (path, stamp) = stamped(name);
            (path, stamp, stated_db.to_bits())
        });
        Some(Self { file, calibration })
    }

    fn work_out(&self) -> Worked {
        let listened = || -> anyhow::Result<(BandLevels, bool, Vec<String>)> {
            let sensitivity = match &self.calibration {
                Some((file, _, stated)) => Some(calibrate(file, f64::from_bits(*stated), 0)?.1),
                None => None,
            };
            let (bands, said) = recorded::levels(&self.file.0, sensitivity)?;
            Ok((bands, sensitivity.is_some(), said))
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
                Some(Ok((bands, calibrated, said))) => {
                    if !said.is_empty() {
                        known.said.push((measurement, said.clone()));
                    }
                    let levels =
                        MeasuredLevels { bands: *bands, calibrated: *calibrated, chain: one.chain.clone() };
                    known.recorded.push(Recorded { measurement, levels });
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
