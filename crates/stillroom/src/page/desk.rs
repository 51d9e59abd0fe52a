//! What lies on the desk: the text of one room file, its plan, and every text it had before.
//!
//! The file on disk is always the truth. An edit makes a new text; only if that can be read is it written, whole, and becomes the text on the desk.

use std::{
    fs,
    path::{Path, PathBuf},
    sync::{
        Arc, Mutex, MutexGuard, PoisonError,
        atomic::{AtomicBool, Ordering},
    },
    time::{Duration, Instant, SystemTime},
};

use plan::{CeilingState, Choice, Diagnostic, Memory, Plan, Project, Severity, Unknown, replan};

use super::{
    choosing::{Chooser, Choosing},
    recordings::{Recordings, Wanted},
    sounds::Sounds,
    upload, words,
};
use crate::{commands::attached, files};

/// Whoever asks for drawings waits no longer for a plan that is being worked out.
const LONGEST_WAIT: Duration = Duration::from_secs(20);
const LOOKS_EVERY: Duration = Duration::from_millis(20);

/// Why an edit was not made; the file is as it was.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Refusal {
    /// What is wrong and what to do.
    pub(crate) sentence: String,
    /// Every line that is wrong, where a whole text was given.
    pub(crate) found: Vec<Diagnostic>,
}

impl Refusal {
    pub(crate) fn new(sentence: impl Into<String>) -> Self {
        Self { sentence: sentence.into(), found: Vec::new() }
    }
}

/// How far the ceiling of the plan on the desk has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ceiling {
    /// Set out.
    SetOut,
    /// Being set out behind the page: an earlier layout stands in.
    BeingSetOut,
    /// The search was ended by the person.
    EndedEarly,
}

/// A text as read and planned.
#[derive(Clone, Debug)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "each says of one thing whether it waits, whatever the others do"
)]
pub(crate) struct Reading {
    /// What the text says; none where it cannot be used.
    pub(crate) project: Option<Arc<Project>>,
    /// What is wrong or odd in it.
    pub(crate) found: Vec<Diagnostic>,
    /// Its plan, or the newest there was.
    pub(crate) plan: Option<Arc<Plan>>,
    /// Why the plan is not of this text.
    pub(crate) not_planned: Option<String>,
    /// How far the ceiling has come.
    pub(crate) ceiling: Ceiling,
    /// Whether the range of a prediction, or the modes, are still those of before an edit.
    pub(crate) ranging: bool,
    /// Whether what is heard is still that of the room as it was surveyed before an edit.
    pub(crate) hearing: bool,
    /// Whether what was measured is still as it was judged before an edit.
    pub(crate) judging: bool,
    /// What is to be said of a measurement's recording: its place, and sentences.
    pub(crate) said: Vec<(usize, Vec<String>)>,
    /// Whether recordings are still being listened to.
    pub(crate) listening: bool,
}

impl Reading {
    /// Whether something of it is being worked out behind the page.
    fn busy(&self) -> bool {
        self.ceiling == Ceiling::BeingSetOut || self.ranging || self.hearing || self.judging || self.listening
    }
}

/// What a page asks every so often.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct State {
    /// Counts texts.
    pub(crate) version: u64,
    /// Counts plans.
    pub(crate) drawn: u64,
    /// Whether something is being worked out behind the page.
    pub(crate) busy: bool,
}

/// What a page is made from.
#[derive(Clone, Debug)]
pub(crate) struct Spread {
    /// The text of the file.
    pub(crate) text: String,
    /// Counts texts: an edit must name the one it was made on.
    pub(crate) version: u64,
    /// Counts plans: a page drawn from an older one is drawn again.
    pub(crate) drawn: u64,
    /// Text as read and planned.
    pub(crate) reading: Reading,
    /// Whether there is a text to go back to.
    pub(crate) can_undo: bool,
    /// Whether there is one to go forward to.
    pub(crate) can_redo: bool,
    /// Something that happened behind the page.
    pub(crate) notice: Option<String>,
    /// How far choosing has come.
    pub(crate) choosing: Choosing,
    /// Whether this page may let in a phone.
    pub(crate) phone: bool,
}

impl Spread {
    /// Whether something is being worked out behind the page.
    pub(crate) fn busy(&self) -> bool {
        self.choosing.running() || self.reading.busy()
    }
}

/// The desk.
pub(crate) struct Desk {
    path: PathBuf,
    folder: PathBuf,
    memory: Memory,
    recordings: Recordings,
    sounds: Sounds,
    chooser: Chooser,
    lying: Mutex<Lying>,
}

struct Lying {
    text: String,
    version: u64,
    drawn: u64,
    undo: Vec<String>,
    redo: Vec<String>,
    stamp: Stamp,
    reading: Reading,
    search: Arc<AtomicBool>,
    notice: Option<String>,
}

/// What tells cheaply that nobody wrote to a file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Stamp {
    length: u64,
    changed: Option<SystemTime>,
}

impl Stamp {
    pub(crate) fn of(path: &Path) -> Self {
        fs::metadata(path)
            .map(|about| Self { length: about.len(), changed: about.modified().ok() })
            .unwrap_or_default()
    }
}

impl Desk {
    /// Lays a room file on the desk.
    ///
    /// # Errors
    /// Where it cannot be read as text.
    pub(crate) fn open(room: &Path) -> anyhow::Result<Arc<Self>> {
        // A link stays a link: what it points at is written.
        let path = fs::canonicalize(room).unwrap_or_else(|_| room.to_owned());
        let stamp = Stamp::of(&path);
        let text = files::read_text(&path)?;
        let nothing = Reading {
            project: None,
            found: Vec::new(),
            plan: None,
            not_planned: None,
            ceiling: Ceiling::SetOut,
            ranging: false,
            hearing: false,
            judging: false,
            said: Vec::new(),
            listening: false,
        };
        let folder = path.parent().unwrap_or(Path::new(".")).to_owned();
        // What was left in the middle of being written when the program was last killed is of no use to anyone.
        files::sweep(&path);
        upload::sweep(&folder);
        let desk = Arc::new(Self {
            path,
            folder,
            memory: Memory::new(),
            recordings: Recordings::default(),
            sounds: Sounds::default(),
            chooser: Chooser::default(),
            lying: Mutex::new(Lying {
                text,
                version: 1,
                drawn: 0,
                undo: Vec::new(),
                redo: Vec::new(),
                stamp,
                reading: nothing,
                search: Arc::default(),
                notice: None,
            }),
        });
        let mut lying = desk.lock();
        desk.plan_again(&mut lying);
        drop(lying);
        Ok(desk)
    }

    /// The file's name without folders.
    pub(crate) fn name(&self) -> String {
        files::short_name(&self.path)
    }

    /// What lies on the desk now, after a look at the disk.
    pub(crate) fn spread(self: &Arc<Self>) -> Spread {
        let mut lying = self.lock();
        self.look_at_disk(&mut lying);
        Spread {
            text: lying.text.clone(),
            version: lying.version,
            drawn: lying.drawn,
            reading: lying.reading.clone(),
            can_undo: !lying.undo.is_empty(),
            can_redo: !lying.redo.is_empty(),
            notice: lying.notice.clone(),
            choosing: self.chooser.now(),
            phone: false,
        }
    }

    /// The plan of the text on the desk, all of it its own: what is given away to be built from. Waits a while for what is worked out behind the
    /// page.
    ///
    /// # Errors
    /// A sentence where there is none, where the text cannot be planned, or where it takes longer.
    pub(crate) fn settled(self: &Arc<Self>) -> Result<Arc<Plan>, String> {
        let asked = Instant::now();
        loop {
            let reading = self.spread().reading;
            if let Some(why) = reading.not_planned {
                return Err(why);
            }
            if !reading.busy() {
                return reading.plan.ok_or_else(|| words::NO_PLAN.to_owned());
            }
            if asked.elapsed() > LONGEST_WAIT {
                return Err(words::NOT_SETTLED.to_owned());
            }
            std::thread::sleep(LOOKS_EVERY);
        }
    }

    /// The folder the file lies in.
    pub(crate) fn folder(&self) -> &Path {
        &self.folder
    }

    /// The recordings that were listened to.
    pub(crate) fn recordings(&self) -> &Recordings {
        &self.recordings
    }

    /// The sounds of the room.
    pub(crate) fn sounds(&self) -> &Sounds {
        &self.sounds
    }

    /// What was chosen for the text as it is now.
    pub(crate) fn chosen(self: &Arc<Self>) -> Option<Arc<Choice>> {
        match self.chooser.now() {
            Choosing::Done { text, choice, .. } if self.lock().text == *text => Some(choice),
            _ => None,
        }
    }

    /// What chooses behind the page.
    pub(crate) fn chooser(&self) -> &Chooser {
        &self.chooser
    }

    /// Whether a page is the newest.
    pub(crate) fn state(self: &Arc<Self>) -> State {
        let mut lying = self.lock();
        self.look_at_disk(&mut lying);
        let busy = self.chooser.now().running() || lying.reading.busy();
        State { version: lying.version, drawn: lying.drawn, busy }
    }

    /// Draws every page again: something beside the plan has changed.
    pub(crate) fn draw_again(&self) {
        self.lock().drawn += 1;
    }

    /// Makes an edit on the text a page was drawn from, writes the file and plans again.
    ///
    /// # Errors
    /// Where the text has moved on, the edit cannot be made or read, or the file cannot be written; the file is then as it was.
    pub(crate) fn change(
        self: &Arc<Self>,
        version: u64,
        edit: impl FnOnce(&str, &Reading) -> Result<String, Refusal>,
    ) -> Result<(), Refusal> {
        let mut lying = self.on_version(version)?;
        let new = edit(&lying.text, &lying.reading)?;
        if new == lying.text {
            return Ok(());
        }
        self.readable(&new, &lying.reading.found)?;
        self.write(&new)?;
        let old = std::mem::replace(&mut lying.text, new);
        lying.undo.push(old);
        lying.redo.clear();
        self.taken(&mut lying);
        Ok(())
    }

    /// Goes back to the text before, or forward to the one that was left.
    ///
    /// # Errors
    /// Where the text has moved on, there is none to go to, or the file cannot be written.
    pub(crate) fn turn(self: &Arc<Self>, version: u64, back: bool) -> Result<(), Refusal> {
        let mut lying = self.on_version(version)?;
        let from = if back { &lying.undo } else { &lying.redo };
        let Some(new) = from.last().cloned() else {
            return Err(Refusal::new(if back { words::NOTHING_TO_UNDO } else { words::NOTHING_TO_REDO }));
        };
        self.write(&new)?;
        let old = std::mem::replace(&mut lying.text, new);
        if back {
            lying.undo.pop();
            lying.redo.push(old);
        } else {
            lying.redo.pop();
            lying.undo.push(old);
        }
        self.taken(&mut lying);
        Ok(())
    }

    /// Ends the search for a layout; the best found so far is shown.
    pub(crate) fn end_search(&self) {
        self.lock().search.store(true, Ordering::Relaxed);
    }

    /// Tells something above every sheet until a person has read it or goes on.
    pub(crate) fn tell(&self, words: String) {
        let mut lying = self.lock();
        lying.notice = Some(words);
        lying.drawn += 1;
    }

    /// A person has read the notice.
    pub(crate) fn put_notice_away(&self) {
        self.lock().notice = None;
    }

    fn lock(&self) -> MutexGuard<'_, Lying> {
        self.lying.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn on_version(self: &Arc<Self>, version: u64) -> Result<MutexGuard<'_, Lying>, Refusal> {
        let mut lying = self.lock();
        if self.look_at_disk(&mut lying) {
            return Err(Refusal::new(words::CHANGED_ON_DISK_EDIT));
        }
        // One that was moved or renamed is not made anew beside itself.
        if !self.path.exists() {
            return Err(Refusal::new(words::file_gone(&self.name())));
        }
        if lying.version != version {
            return Err(Refusal::new(words::OTHER_TAB));
        }
        Ok(lying)
    }

    /// Takes the file's text where somebody else wrote to it; true if so. The text before can be gone back to.
    fn look_at_disk(self: &Arc<Self>, lying: &mut Lying) -> bool {
        let stamp = Stamp::of(&self.path);
        if stamp == lying.stamp {
            return false;
        }
        match files::read_text(&self.path) {
            Ok(text) if text == lying.text => {
                lying.stamp = stamp;
                false
            }
            Ok(text) => {
                lying.stamp = stamp;
                let old = std::mem::replace(&mut lying.text, text);
                lying.undo.push(old);
                lying.redo.clear();
                lying.notice = Some(words::CHANGED_ON_DISK.to_owned());
                lying.version += 1;
                self.plan_again(lying);
                true
            }
            Err(error) => {
                let gone = words::cannot_be_read(&error.to_string());
                if lying.notice.as_ref() != Some(&gone) {
                    lying.notice = Some(gone);
                    lying.drawn += 1;
                }
                false
            }
        }
    }

    /// Whether a text can be used: it has no error that the text before had not.
    fn readable(&self, text: &str, before: &[Diagnostic]) -> Result<(), Refusal> {
        let (_, found) = plan::read::read_with(text, &self.name(), &attached(text, &self.path));
        let known =
            |one: &Diagnostic| before.iter().any(|old| old.message == one.message && old.key == one.key);
        let new: Vec<&Diagnostic> =
            found.iter().filter(|one| one.severity == Severity::Error && !known(one)).collect();
        let Some(first) = new.first() else { return Ok(()) };
        let sentence = match &first.help {
            Some(help) => format!("{} {help}", first.message),
            None => first.message.clone(),
        };
        Err(Refusal { sentence, found: found.clone() })
    }

    fn write(&self, text: &str) -> Result<(), Refusal> {
        files::write_whole(&self.path, text.as_bytes())
            .map_err(|error| Refusal::new(words::not_written(&format!("{error:#}"))))
    }

    fn taken(self: &Arc<Self>, lying: &mut Lying) {
        lying.stamp = Stamp::of(&self.path);
        lying.version += 1;
        lying.notice = None;
        self.plan_again(lying);
    }

    /// Reads and plans the text on the desk; a ceiling nobody set out before is set out behind the page.
    fn plan_again(self: &Arc<Self>, lying: &mut Lying) {
        lying.search.store(true, Ordering::Relaxed);
        lying.search = Arc::default();
        let (project, found) =
            plan::read::read_with(&lying.text, &self.name(), &attached(&lying.text, &self.path));
        let last = lying.reading.plan.take();
        let known =
            project.as_ref().map(|project| self.recordings.known(project, &self.folder)).unwrap_or_default();
        let project =
            project.map(|project| Arc::new(project.with_levels(known.recorded).with_decays(known.decays)));
        if !known.wanted.is_empty() {
            self.listen_behind(known.wanted);
        }
        let (mut ceiling, mut ranging, mut hearing, mut judging) = (Ceiling::SetOut, false, false, false);
        let (plan, not_planned) = match &project {
            None => (last, Some(words::FILE_HAS_ERRORS.to_owned())),
            Some(project) => match replan(project, &self.memory, Unknown::StandIn) {
                Ok(done) => {
                    if !done.is_settled() {
                        self.settle_behind(project, &lying.search);
                    }
                    if done.ceiling == CeilingState::StandsIn {
                        ceiling = Ceiling::BeingSetOut;
                    }
                    ranging = done.ranges_stand_in || done.modes_stand_in;
                    hearing = done.heard_stands_in;
                    judging = done.proof_stands_in;
                    (Some(Arc::new(done.plan)), None)
                }
                Err(error) => (last, Some(words::no_plan(&error.to_string()))),
            },
        };
        let (said, listening) = (known.said, known.listening);
        lying.reading = Reading {
            project,
            found,
            plan,
            not_planned,
            ceiling,
            ranging,
            hearing,
            judging,
            said,
            listening,
        };
        lying.drawn += 1;
    }

    /// Listens to recordings behind the page, and plans with them once they are known.
    fn listen_behind(self: &Arc<Self>, wanted: Vec<Wanted>) {
        let desk = Arc::clone(self);
        std::thread::spawn(move || {
            desk.recordings.work_out(wanted);
            let mut lying = desk.lock();
            if lying.reading.listening {
                desk.plan_again(&mut lying);
            }
        });
    }

    /// Plans with the ceiling set out and every range its own.
    fn settle_behind(self: &Arc<Self>, project: &Arc<Project>, stop: &Arc<AtomicBool>) {
        let (desk, project, stop) = (Arc::clone(self), Arc::clone(project), Arc::clone(stop));
        std::thread::spawn(move || {
            let done = replan(&project, &desk.memory, Unknown::SetOut(&stop));
            let mut lying = desk.lock();
            // Another search has taken the place of this one.
            if !Arc::ptr_eq(&lying.search, &stop) {
                return;
            }
            if let Ok(done) = done {
                lying.reading.plan = Some(Arc::new(done.plan));
                lying.reading.ceiling = match done.ceiling {
                    CeilingState::EndedEarly => Ceiling::EndedEarly,
                    CeilingState::SetOut | CeilingState::StandsIn => Ceiling::SetOut,
                };
            }
            (lying.reading.ranging, lying.reading.hearing, lying.reading.judging) = (false, false, false);
            lying.drawn += 1;
        });
    }
}
