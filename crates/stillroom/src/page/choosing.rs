//! What to build, chosen behind the page: begun, watched, stopped, and kept until the room changes.

use std::{
    panic::{AssertUnwindSafe, catch_unwind},
    sync::{Arc, Mutex, MutexGuard, PoisonError, atomic::Ordering},
    time::Instant,
};

use plan::{
    Choice, Project,
    choosing::{Watch, choose_watched},
};

use super::{desk::Desk, words::choose as words};

/// How far choosing has come.
#[derive(Clone, Debug, Default)]
pub(crate) enum Choosing {
    /// Nobody asked.
    #[default]
    Idle,
    /// Under way.
    Running {
        /// Which stage, from 0.
        stage: usize,
        /// For how long, s.
        for_s: u64,
    },
    /// Done for a text.
    Done {
        /// The text it was chosen for.
        text: Arc<str>,
        /// The text in which it, or something else of what was offered, was adopted.
        adopted: Option<Arc<str>>,
        /// What came of it.
        choice: Arc<Choice>,
    },
    /// It could not be done, and why.
    Failed(String),
}

impl Choosing {
    /// Whether it is under way.
    pub(crate) fn running(&self) -> bool {
        matches!(self, Self::Running { .. })
    }
}

enum Held {
    Idle,
    Running { watch: Arc<Watch>, since: Instant },
    Done { text: Arc<str>, adopted: Option<Arc<str>>, choice: Arc<Choice> },
    Failed(String),
}

/// Chooses, one room after the other.
pub(crate) struct Chooser(Mutex<Held>);

impl Default for Chooser {
    fn default() -> Self {
        Self(Mutex::new(Held::Idle))
    }
}

impl Chooser {
    fn lock(&self) -> MutexGuard<'_, Held> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// How far it has come.
    pub(crate) fn now(&self) -> Choosing {
        match &*self.lock() {
            Held::Idle => Choosing::Idle,
            Held::Running { watch, since } => Choosing::Running {
                stage: watch.stage.load(Ordering::Relaxed),
                for_s: since.elapsed().as_secs(),
            },
            Held::Done { text, adopted, choice } => Choosing::Done {
                text: Arc::clone(text),
                adopted: adopted.clone(),
                choice: Arc::clone(choice),
            },
            Held::Failed(sentence) => Choosing::Failed(sentence.clone()),
        }
    }

    /// Begins to choose for a room; what was under way before is given up.
    pub(crate) fn begin(desk: &Arc<Desk>, text: &str, project: Arc<Project>) {
        let text: Arc<str> = text.into();
        desk.chooser().stop();
        let watch = Arc::new(Watch::default());
        *desk.chooser().lock() = Held::Running { watch: Arc::clone(&watch), since: Instant::now() };
        let desk = Arc::clone(desk);
        std::thread::spawn(move || {
            let done = catch_unwind(AssertUnwindSafe(|| choose_watched(&project, &watch)));
            let mut held = desk.chooser().lock();
            // Another may have been begun, or this one stopped.
            let own = matches!(&*held, Held::Running { watch: now, .. } if Arc::ptr_eq(now, &watch));
            if own {
                *held = match done {
                    Ok(Ok(Some(choice))) => Held::Done { text, adopted: None, choice: Arc::new(choice) },
                    Ok(Ok(None)) => Held::Idle,
                    Ok(Err(error)) => Held::Failed(error.to_string()),
                    Err(_) => Held::Failed(words::STOPPED_SHORT.to_owned()),
                };
            }
            drop(held);
            desk.draw_again();
        });
    }

    /// Remembers the text in which something of what was offered was adopted.
    pub(crate) fn was_adopted(&self, now: &str) {
        if let Held::Done { adopted, .. } = &mut *self.lock() {
            *adopted = Some(now.into());
        }
    }

    /// Stops what is under way.
    pub(crate) fn stop(&self) {
        let mut held = self.lock();
        if let Held::Running { watch, .. } = &*held {
            watch.stop.store(true, Ordering::Relaxed);
            *held = Held::Idle;
        }
    }
}
