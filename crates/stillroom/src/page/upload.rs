//! Recordings dropped on the page: streamed into the project's own folder, under names of our own, and looked at before they count.

use std::{
    fs::{self, File},
    io::{Read, Write},
    path::{Path, PathBuf},
    sync::{Arc, Mutex, PoisonError},
    time::Duration,
};

use axum::extract::{Multipart, multipart::Field};
use bands::Band;
use plan::{
    edit::{self, NewValue},
    project::{DecayOf, Measured, Measurement, Stage},
};
use proof::{Recording, RecordingError};
use quantities::reader::Reader;

use super::{
    desk::{Desk, Refusal},
    edits::of,
    fields::{Kept, may_group, number_of},
    recordings::Wanted,
    words::proof as words,
};
use crate::files::{self, PART};

/// Folder of the recordings, beside the room file.
const FOLDER: &str = "recordings";
/// Largest recording taken, bytes.
const LARGEST: u64 = if cfg!(test) { 2 } else { 200 } * 1024 * 1024;
/// Most of a request that is read and thrown away so that its answer is heard, bytes.
const MOST_DRAINED: u64 = 2 * 1024 * 1024 * 1024;
/// Most recordings at once.
const MOST_FILES: usize = 24;
/// Most fields of a form, and the longest of them, bytes.
const MOST_FIELDS: usize = 120;
const LONGEST_FIELD: usize = 4096;
/// What came in so long ago and was not finished never will be.
const LEFT_BEHIND: Duration = Duration::from_hours(1);
/// One upload gets its names after the other.
static NAMING: Mutex<()> = Mutex::new(());

/// A file that goes with this value unless it is kept.
#[derive(Debug)]
struct Passing(Option<PathBuf>);

impl Passing {
    fn path(&self) -> &Path {
        self.0.as_deref().unwrap_or(Path::new(""))
    }

    fn keep(mut self) {
        self.0 = None;
    }
}

impl Drop for Passing {
    fn drop(&mut self) {
        if let Some(path) = &self.0 {
            // One that is gone already is as good.
            let _ = fs::remove_file(path);
        }
    }
}

/// A recording as it came.
#[derive(Debug)]
struct Part {
    file: Passing,
    /// What its sender called it: shown, never used.
    called: String,
    calibrator: bool,
}

/// A form as it came.
#[derive(Debug, Default)]
pub(crate) struct Taken {
    fields: Vec<(String, String)>,
    parts: Vec<Part>,
    /// What was wrong with it on the way.
    wrong: Option<String>,
}

/// Takes a form in; a recording goes to disk as it comes.
pub(crate) async fn take(desk: &Desk, mut form: Multipart) -> Taken {
    let mut taken = Taken::default();
    let mut drained = 0;
    loop {
        match form.next_field().await {
            Ok(Some(field)) => {
                take_field(desk, field, &mut taken, &mut drained).await;
                // What is left of the field would be read to its end before the next.
                if drained > MOST_DRAINED {
                    return taken;
                }
            }
            Ok(None) => return taken,
            Err(_) => {
                taken.wrong.get_or_insert_with(|| words::BROKEN_OFF.to_owned());
                return taken;
            }
        }
    }
}

/// The text of a field; none where it is longer than any that is asked for, or broken.
async fn short_text(field: &mut Field<'_>) -> Option<String> {
    let mut bytes = Vec::new();
    while let Some(chunk) = field.chunk().await.ok()? {
        if bytes.len() + chunk.len() > LONGEST_FIELD {
            return None;
        }
        bytes.extend_from_slice(&chunk);
    }
    String::from_utf8(bytes).ok()
}

async fn take_field(desk: &Desk, mut field: Field<'_>, taken: &mut Taken, drained: &mut u64) {
    let name = field.name().unwrap_or_default().to_owned();
    let called = field.file_name().map(shown);
    if taken.wrong.is_none() && called.is_none() {
        match short_text(&mut field).await {
            Some(text) if taken.fields.len() < MOST_FIELDS => {
                taken.fields.push((name, text));
                return;
            }
            _ => taken.wrong = Some(words::BROKEN_OFF.to_owned()),
        }
    }
    let called = called.unwrap_or_default();
    let mut writing = None;
    if taken.wrong.is_none() {
        if taken.parts.len() >= MOST_FILES {
            taken.wrong = Some(words::TOO_MANY.to_owned());
        } else {
            match begin(desk, taken.parts.len()) {
                Ok(begun) => writing = Some(begun),
                Err(error) => taken.wrong = Some(words::not_stored(&error)),
            }
        }
    }
    let mut length = 0;
    loop {
        let chunk = match field.chunk().await {
            Ok(Some(chunk)) => chunk,
            Ok(None) => break,
            Err(_) => {
                taken.wrong.get_or_insert_with(|| words::BROKEN_OFF.to_owned());
                return;
            }
        };
        length += chunk.len() as u64;
        if length > LARGEST && writing.take().is_some() {
            taken.wrong = Some(words::too_large(&called));
        }
        if let Some((file, _)) = &mut writing {
            if let Err(error) = file.write_all(&chunk) {
                taken.wrong = Some(words::not_stored(&error));
                writing = None;
            }
        } else {
            *drained += chunk.len() as u64;
            if *drained > MOST_DRAINED {
                return;
            }
        }
    }
    if let Some((file, passing)) = writing {
        // A browser sends an empty file where none was chosen.
        if length == 0 && called.is_empty() {
            return;
        }
        match file.sync_all() {
            Ok(()) => taken.parts.push(Part { file: passing, called, calibrator: name == "calibration" }),
            Err(error) => taken.wrong = Some(words::not_stored(&error)),
        }
    }
}

fn begin(desk: &Desk, number: usize) -> std::io::Result<(File, Passing)> {
    let folder = desk.folder().join(FOLDER);
    fs::create_dir_all(&folder)?;
    let mut random = [0_u8; 8];
    getrandom::fill(&mut random).map_err(|error| std::io::Error::other(error.to_string()))?;
    let path = folder.join(format!("{:016x}-{number}{PART}", u64::from_le_bytes(random)));
    let file = File::options().write(true).create_new(true).open(&path)?;
    Ok((file, Passing(Some(path))))
}

/// A sender's name for a file as it may be shown.
fn shown(name: &str) -> String {
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    last.chars().filter(|letter| !letter.is_control()).take(60).collect()
}

/// Names the recordings, looks at them, and writes the measurements into the room file.
///
/// # Errors
/// The sentence, with what was typed.
pub(crate) fn make(desk: &Arc<Desk>, taken: Taken) -> Result<(), Kept> {
    let fields = taken.fields;
    let kept = |sentence: String| Kept {
        path: words::FORM.to_owned(),
        sentence,
        pairs: fields.clone().into_boxed_slice(),
        ..Kept::default()
    };
    if let Some(wrong) = taken.wrong {
        return Err(kept(wrong));
    }
    let about = About::of(&fields).map_err(&kept)?;
    let (calibrators, parts): (Vec<Part>, Vec<Part>) =
        taken.parts.into_iter().partition(|part| part.calibrator);
    let mut entries = Vec::new();
    let mut files = Vec::new();
    let calibration = match calibrators.into_iter().next() {
        None => None,
        Some(part) => {
            let stated_db = of(&fields, "calibration_db").and_then(number_of);
            let stated_db = stated_db.ok_or_else(|| kept(words::CALIBRATOR_LEVEL.to_owned()))?;
            let (name, file) = named(desk, &part, "calibrator").map_err(&kept)?;
            files.push(file);
            Some((name, stated_db))
        }
    };
    if parts.is_empty() {
        let typed = typed(&fields).map_err(&kept)?;
        if typed.is_empty() {
            return Err(kept(words::NOTHING_GIVEN.to_owned()));
        }
        let key = if about.what == "decay" { "decay_s" } else { "levels" };
        entries.push(about.keys(vec![(key, NewValue::Keys(typed))], None));
    }
    if !parts.is_empty() && calibration.is_none() && about.what != "decay" && about.lacks_chain() {
        return Err(kept(words::NEEDS_CHAIN.to_owned()));
    }
    for part in &parts {
        let (name, file) = named(desk, part, &about.plain).map_err(&kept)?;
        // Its own name is the one its sender knows.
        let stored = files::short_name(Path::new(&name));
        let refused = |why: String| kept(words::of_recording(&part.called, &why.replace(&stored, words::IT)));
        let is_decay = about.what == "decay";
        let calibration = calibration.as_ref().filter(|_| !is_decay);
        let measured = Measurement {
            what: if is_decay { Measured::Decay } else { Measured::Inside },
            file: Some(name.clone()),
            decay_of: about.decay_of,
            calibration_file: calibration.map(|(file, _)| file.clone()),
            calibration_db: calibration.map(|(_, stated_db)| *stated_db),
            ..unsaid()
        };
        if let Some(wanted) = Wanted::of(&measured, desk.folder()) {
            desk.recordings().listen(wanted).map_err(refused)?;
        }
        let mut keys = vec![("file", NewValue::Text(name))];
        keys.extend(about.decay_of.map(|of| ("decay_of", NewValue::from(of.word()))));
        // Its sender's name for it is kept, to be found again among the others.
        if !part.called.is_empty() {
            keys.push(("note", NewValue::Text(words::came_as(&part.called))));
        }
        entries.push(about.keys(keys, calibration));
        files.push(file);
    }
    // A measurement is only ever added: it does not matter which text the page was drawn from.
    let version = desk.state().version;
    desk.change(version, |text, _| {
        entries.iter().try_fold(text.to_owned(), |text, keys| {
            edit::append_entry(&text, "measurement", keys).map_err(|error| Refusal::new(error.to_string()))
        })
    })
    .map_err(|refusal| kept(refusal.sentence))?;
    files.into_iter().for_each(Passing::keep);
    Ok(())
}

/// Takes away recordings that a program ended in the middle of their coming left beside a room file long ago.
pub(crate) fn sweep(folder: &Path) {
    files::sweep_folder(&folder.join(FOLDER), LEFT_BEHIND, |name| {
        let parts = name.strip_suffix(PART).and_then(|name| name.split_once('-'));
        parts.is_some_and(|(random, number)| {
            random.len() == 16
                && random.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'))
                && !number.is_empty()
                && number.bytes().all(|byte| byte.is_ascii_digit())
        })
    });
}

/// A measurement that says nothing yet.
fn unsaid() -> Measurement {
    Measurement {
        what: Measured::Inside,
        when: Stage::After,
        receiver: None,
        source: None,
        position: None,
        corner: false,
        on_wall: None,
        levels: None,
        level_dba: None,
        decay_s: None,
        file: None,
        decay_of: None,
        calibration_file: None,
        calibration_db: None,
        chain: None,
        date: None,
        note: None,
    }
}

/// Gives a recording its name, from what it is and what the form says of it.
fn named(desk: &Desk, part: &Part, plain: &str) -> Result<(String, Passing), String> {
    let mut head = Vec::new();
    let read = File::open(part.file.path()).and_then(|file| file.take(12).read_to_end(&mut head));
    read.map_err(|error| words::not_stored(&error))?;
    // What it is, is told by its first bytes; a file that lies about them is found out when it is listened to.
    let end = match head.get(..4) {
        Some(b"fLaC") => "flac",
        Some(b"FORM") => "aiff",
        _ => "wav",
    };
    if let Err(error) = files::open_sound(part.file.path()).and_then(|reader| Ok(Recording::open(reader)?)) {
        let own = error.root_cause().downcast_ref::<RecordingError>();
        let why = own.map_or_else(|| error.root_cause().to_string(), |own| own.told(Reader::Page));
        return Err(words::of_recording(&part.called, &why));
    }
    let _one_after_the_other = NAMING.lock().unwrap_or_else(PoisonError::into_inner);
    for number in 1..10_000 {
        let name = format!("{FOLDER}/{plain}-{number}.{end}");
        let path = desk.folder().join(&name);
        if path.exists() {
            continue;
        }
        return match fs::rename(part.file.path(), &path) {
            Ok(()) => Ok((name, Passing(Some(path)))),
            Err(error) => Err(words::not_stored(&error)),
        };
    }
    Err(words::TOO_MANY.to_owned())
}

/// What was typed from a meter, band by band.
fn typed(fields: &[(String, String)]) -> Result<Vec<(String, NewValue)>, String> {
    let mut values = Vec::new();
    for band in Band::all() {
        let Some(typed) =
            of(fields, &format!("l:{}", band.nominal())).filter(|typed| !typed.trim().is_empty())
        else {
            continue;
        };
        let value = number_of(typed)
            .filter(|_| !may_group(typed, false))
            .ok_or_else(|| super::words::no_number(typed, false))?;
        values.push((band.nominal().to_owned(), value.into()));
    }
    Ok(values)
}

/// What a form says of its recordings.
struct About {
    what: &'static str,
    when: &'static str,
    /// The same as a plain beginning of a file's name.
    plain: String,
    texts: Vec<(&'static str, String)>,
    corner: bool,
    /// What the decays are of, where that is said.
    decay_of: Option<DecayOf>,
}

impl About {
    fn of(fields: &[(String, String)]) -> Result<Self, String> {
        let word = |name: &str, words: &[&'static str]| {
            words.iter().copied().find(|word| of(fields, name) == Some(*word))
        };
        let what = word("what", &["inside", "outside", "receiver", "background", "decay"]);
        let (Some(what), Some(when)) = (what, word("when", &["before", "after"])) else {
            return Err(words::WHAT_AND_WHEN.to_owned());
        };
        let text = |name: &'static str| {
            let typed = of(fields, name)?.trim();
            (!typed.is_empty()).then(|| (name, typed.to_owned()))
        };
        let receiver = text("receiver").filter(|_| matches!(what, "receiver" | "background" | "decay"));
        if matches!(what, "receiver" | "background") && receiver.is_none() {
            return Err(words::WHICH_PLACE.to_owned());
        }
        let place: String = receiver.iter().flat_map(|(_, name)| name.chars()).take(30).collect();
        let letters = format!("{when}-{what}-{place}").to_lowercase();
        let plain: String =
            letters.chars().map(|letter| if letter.is_ascii_alphanumeric() { letter } else { '-' }).collect();
        let rest = ["source", "position", "chain", "date"].into_iter().filter_map(text);
        Ok(Self {
            what,
            when,
            plain: plain.trim_end_matches('-').to_owned(),
            texts: receiver.clone().into_iter().chain(rest).collect(),
            corner: of(fields, "corner").is_some(),
            decay_of: of(fields, "decay_of").and_then(DecayOf::from_word).filter(|_| what == "decay"),
        })
    }

    /// Whether it says nothing of device and gain.
    fn lacks_chain(&self) -> bool {
        self.texts.iter().all(|(key, _)| *key != "chain")
    }

    fn keys(
        &self,
        own: Vec<(&'static str, NewValue)>,
        calibration: Option<&(String, f64)>,
    ) -> Vec<(&'static str, NewValue)> {
        let mut keys = vec![("what", self.what.into()), ("when", self.when.into())];
        keys.extend(self.texts.iter().map(|(key, text)| (*key, NewValue::Text(text.clone()))));
        if self.corner {
            keys.push(("corner", true.into()));
        }
        keys.extend(own);
        if let Some((file, stated_db)) = calibration {
            keys.push(("calibration_file", NewValue::Text(file.clone())));
            keys.push(("calibration_db", (*stated_db).into()));
        }
        keys
    }
}
