//! `stillroom hear`: sounds as they would be heard at each receiver, today, as planned and one step further.

use std::{fmt::Write as _, path::Path, process::ExitCode};

use anyhow::{Context, Result, bail};
use plan::{
    outcome::heard_words::at_place,
    versions::{ListenAt, Version, decay_s, listen_at},
};
use proof::{
    Recording,
    hear::{About, Between, LONGEST_S, Pressure, Scale, Sound, flac, synthesis, wav},
};
use quantities::format::with_unit;

use crate::{
    commands::{plan::planned, read_room},
    files,
    progress::Progress,
    report,
};

/// Level of the phrase everything is set by, dB(A): somebody who talks, one metre away.
pub(crate) const PHRASE_DBA: f64 = 60.0;
/// How long what the program makes itself is played, s: long enough to read a level from it.
pub(crate) const PLAYED_S: f64 = 15.0;
/// How to listen without harm and without deceiving oneself.
pub(crate) const CAUTION: &str = "Set the volume once, so that the phrase sounds like somebody talking to you from one metre away, then change nothing. \
                       Never turn it up to hear the quiet ones better: the next file may be 40 dB louder. Use good headphones; small \
                       loudspeakers leave out the low notes that get through walls.";
/// The file of words beside the sounds.
const SETTINGS: &str = "read-me-first.txt";

/// One rendered file before it is written.
pub(crate) struct Rendered {
    pub(crate) id: String,
    pub(crate) title: String,
    pub(crate) pressure: Pressure,
    /// What is said of it where the files are listed.
    pub(crate) words: String,
}

/// A recording of one's own.
pub(crate) struct Own {
    name: String,
    sound: Sound,
    cut_off: bool,
}

/// Renders the kit or a recording at every receiver and writes WAV and FLAC files.
pub(crate) fn run(room: &Path, out: &Path, from: Option<&Path>) -> Result<ExitCode> {
    let Some(project) = read_room(room)? else { return Ok(ExitCode::from(1)) };
    let plan = planned(&project, room)?;
    let (places, mut left_out) = listen_at(&project, &plan);
    if places.is_empty() {
        bail!(
            "No receiver hears a source: write a [[source]] in the room and a [[receiver]] outdoors or next door, or an [[outside_sound]] and \
             a [[receiver]] with `inside = true`."
        );
    }
    let own = from.map(recording).transpose()?;
    let versions: usize = places.iter().map(|place| place.versions.len()).sum();
    let progress = Progress::of_parts("Making the sounds", 2 * versions + 1);
    let decay = decay_s(&plan);
    let phrase = Pressure::at_level(&synthesis::repeated(&synthesis::phrase(), PLAYED_S), PHRASE_DBA)?;
    let mut all = vec![Rendered {
        id: "0-phrase-to-set-the-volume".to_owned(),
        title: format!("A voice at one metre, {}", with_unit(PHRASE_DBA, 0, "dB(A)")),
        words: format!("a voice at one metre, {}", with_unit(PHRASE_DBA, 0, "dB(A)")),
        pressure: phrase,
    }];
    let mut notes = Vec::new();
    for place in &places {
        let at_source = at_source(place, own.as_ref())?;
        for (number, version) in place.versions.iter().enumerate() {
            all.push(rendered(place, version, number + 1, &at_source, decay));
            progress.part();
        }
        if place.background_db.is_none() {
            notes.push(format!(
                "There is no background in the sounds {}: the file names no sort of it (`background`; `background_dba` alone says how loud, not what).",
                at_place(&place.receiver)
            ));
        }
    }
    let scale = Scale::for_all(all.iter().map(|one| &one.pressure));
    let full = format!(
        "Full scale: a sine that reaches it is {} at the ear once the volume is set.",
        with_unit(scale.full_scale_db, 1, "dB")
    );
    for one in &all {
        let about = About { title: one.title.clone(), comment: format!("{} {full} {CAUTION}", one.title) };
        let samples = scale.samples(&one.pressure);
        let rate = one.pressure.rate_hz;
        files::write_whole(&out.join(format!("{}.wav", one.id)), &wav::write(&samples, rate, &about)?)?;
        files::write_whole(&out.join(format!("{}.flac", one.id)), &flac::write(&samples, rate, &about)?)?;
        progress.part();
    }
    drop(progress);
    notes.push(what_is_played(&places, own.as_ref()));
    notes.append(&mut left_out);
    notes.push(full);
    let list = listed(&all);
    let page = format!("{CAUTION}\n\nTHE FILES, each as WAV and FLAC\n\n{list}\n{}\n", notes.join("\n"));
    files::write_whole(&out.join(SETTINGS), page.as_bytes())?;
    report::say(&format!(
        "Written to {}, each as WAV and FLAC, all at their true levels to each other:\n{list}{}\n{CAUTION}\nAll this stands in {} too.",
        out.display(),
        notes.join("\n"),
        out.join(SETTINGS).display()
    ))?;
    Ok(ExitCode::SUCCESS)
}

/// The sound on its own side: one of one's own at the level of the plan's source, or one made here with its spectrum.
pub(crate) fn at_source(place: &ListenAt, own: Option<&Own>) -> Result<Pressure> {
    Ok(match own.filter(|_| !place.inwards) {
        Some(own) => Pressure::at_level(&own.sound, place.source_level_dba)?,
        None => Pressure::with_levels(&sound_of(place), &place.source_level_db)?,
    })
}

/// What a receiver hears of the sound, in one version of the room.
pub(crate) fn rendered(
    place: &ListenAt,
    version: &Version,
    number: usize,
    at_source: &Pressure,
    decay_s: Option<[f64; bands::BAND_COUNT]>,
) -> Rendered {
    // The decay is that of the room the sound is made in; outdoors there is none.
    let decay_s = decay_s.filter(|_| !place.inwards);
    let between =
        Between { difference_db: version.difference_db, decay_s, background_db: place.background_db };
    let pressure = at_source.heard(&between);
    let level = with_unit(pressure.total_dba(), 1, "dB(A)");
    let words = match place.background_db {
        Some(background) => format!(
            "{}: {level} in all, the background alone {}",
            version.name,
            with_unit(background.total_a_db(), 1, "dB(A)")
        ),
        None => format!("{}: {level}", version.name),
    };
    let whose = if place.inwards { "outside" } else { "in the room" };
    Rendered {
        id: format!("{}-{number}-{}", plain(&place.receiver), plain(&version.id)),
        title: format!("{} {whose}, heard {}: {words}", place.source, at_place(&place.receiver)),
        words,
        pressure,
    }
}

/// A kit where drums govern, the phrase where a voice does, steady noise for what comes from outdoors.
fn sound_of(place: &ListenAt) -> Sound {
    let voice =
        ["voice", "speech", "sing", "talk"].iter().any(|word| place.source.to_lowercase().contains(word));
    if place.inwards {
        synthesis::steady(PLAYED_S)
    } else if voice {
        synthesis::repeated(&synthesis::phrase(), PLAYED_S)
    } else {
        synthesis::repeated(&synthesis::kit(), PLAYED_S)
    }
}

fn recording(path: &Path) -> Result<Own> {
    let name = files::short_name(path);
    let read = files::open_sound(path)
        .and_then(|reader| Ok(Sound::of_recording(Recording::open(reader)?)?))
        .with_context(|| format!("{name} cannot be listened to."))?;
    let (sound, whole_s) = read;
    let recording = Recording::open(files::open_sound(path)?)?;
    let rate_hz = f64::from(recording.format().sample_rate_hz);
    for channel in 0..recording.format().channels {
        let samples = Recording::open(files::open_sound(path)?)?.read_channel(channel, LONGEST_S)?;
        if let Some(fault) = proof::faults::clipped(&samples, rate_hz, channel + 1) {
            bail!("{name} cannot be listened to. {fault}");
        }
    }
    Ok(Own { name, sound, cut_off: whole_s.is_some_and(|seconds| seconds > LONGEST_S) })
}

/// What the sounds are and what their levels mean.
fn what_is_played(places: &[ListenAt], own: Option<&Own>) -> String {
    let mut text =
        "The levels are means over the whole file, its last second of dying away with it; ".to_owned();
    match own {
        Some(own) => {
            let _ = write!(
                text,
                "{} is played with its own colour, in dB(A) as loud in the room as the plan's source: what gets through differs from the \
                 figures of the plan where its colour differs from the source's.",
                own.name
            );
            if own.cut_off {
                let _ = write!(text, " Of it the first {} are used.", with_unit(LONGEST_S, 0, "s"));
            }
        }
        None => text.push_str(
            "what the program plays has the spectrum of the plan's source in every third octave, so without the background they are the \
             plan's own figures within half a decibel: a meter weighs every frequency, the plan the middle of each third octave.",
        ),
    }
    if places.iter().any(|place| place.inwards) {
        text.push_str(
            " What comes from outdoors is steady noise with the spectrum of the sound named in the file.",
        );
    }
    text
}

fn listed(all: &[Rendered]) -> String {
    let longest = all.iter().map(|one| one.id.chars().count()).max().unwrap_or(0);
    all.iter().fold(String::new(), |mut text, one| {
        let _ = writeln!(text, "  {:<longest$}  {}", one.id, one.words);
        text
    })
}

/// A name for a file: letters, digits and hyphens.
fn plain(name: &str) -> String {
    let letters: String = name
        .to_lowercase()
        .chars()
        .map(|letter| if letter.is_alphanumeric() { letter } else { '-' })
        .collect();
    letters.trim_matches('-').to_owned()
}
