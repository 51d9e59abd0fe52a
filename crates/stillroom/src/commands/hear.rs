//! `stillroom hear`: sounds as they would be heard at each receiver, today, as planned and one step further.

use std::{path::Path, process::ExitCode};

use anyhow::{Context, Result, bail};
use plan::versions::{ListenAt, Version, decay_s, listen_at};
use proof::hear::{About, Between, LONGEST_S, Pressure, Scale, Sound, flac, synthesis, wav};
use quantities::format::with_unit;

use crate::{
    commands::{plan::planned, read_room},
    files,
    progress::Progress,
    report,
};

/// Level of the phrase everything is set by, dB(A): somebody who talks, one metre away.
const PHRASE_DBA: f64 = 60.0;
/// How to listen without harm and without deceiving oneself.
const CAUTION: &str = "Set the volume once, so that the phrase sounds like somebody talking to you from one metre away, then change nothing. \
                       Never turn it up to hear the quiet ones better: the next file may be 40 dB louder. Use good headphones; small \
                       loudspeakers leave out the low notes that get through walls.";
/// Largest recording that is read, bytes.
const LARGEST: u64 = 200 * 1024 * 1024;

/// One rendered file before it is written.
struct Rendered {
    id: String,
    title: String,
    pressure: Pressure,
}

/// Renders the kit or a recording at every receiver and writes WAV and FLAC files.
pub(crate) fn run(room: &Path, out: &Path, from: Option<&Path>) -> Result<ExitCode> {
    let Some(project) = read_room(room)? else { return Ok(ExitCode::from(1)) };
    let plan = planned(&project, room)?;
    let places = listen_at(&project, &plan);
    if places.is_empty() {
        bail!(
            "No receiver hears a source in the room: write a [[source]] and a [[receiver]] outdoors or next door."
        );
    }
    let own = from.map(recording).transpose()?;
    let versions: usize = places.iter().map(|place| place.versions.len()).sum();
    let progress = Progress::of_parts("Making the sounds", 2 * versions + 1);
    let decay = decay_s(&plan);
    let mut all = vec![Rendered {
        id: "0-phrase-to-set-the-volume".to_owned(),
        title: format!("A voice at one metre, {}", with_unit(PHRASE_DBA, 0, "dB(A)")),
        pressure: Pressure::at_level(&synthesis::phrase(), PHRASE_DBA)?,
    }];
    for place in &places {
        let sound = own.clone().unwrap_or_else(|| sound_of(place));
        let inside = Pressure::at_level(&sound, place.level_in_room_dba)?;
        for (number, version) in place.versions.iter().enumerate() {
            all.push(rendered(place, version, number + 1, &inside, decay));
            progress.part();
        }
    }
    let scale = Scale::for_all(all.iter().map(|one| &one.pressure));
    let full = format!("A sine that reaches full scale is {}.", with_unit(scale.full_scale_db, 1, "dB"));
    for one in &all {
        let about = About { title: one.title.clone(), comment: format!("{} {full} {CAUTION}", one.title) };
        let samples = scale.samples(&one.pressure);
        let rate = one.pressure.rate_hz;
        files::write_whole(&out.join(format!("{}.wav", one.id)), &wav::write(&samples, rate, &about)?)?;
        files::write_whole(&out.join(format!("{}.flac", one.id)), &flac::write(&samples, rate, &about)?)?;
        progress.part();
    }
    drop(progress);
    tell(&places, out, &full, own.as_ref())?;
    Ok(ExitCode::SUCCESS)
}

fn rendered(
    place: &ListenAt,
    version: &Version,
    number: usize,
    inside: &Pressure,
    decay_s: Option<[f64; bands::BAND_COUNT]>,
) -> Rendered {
    let between =
        Between { difference_db: version.difference_db, decay_s, background_db: place.background_db };
    Rendered {
        id: format!("{}-{number}-{}", plain(&place.receiver), version.id),
        title: format!(
            "{} at the {}: {}, {} of the {}",
            place.source,
            place.receiver,
            version.name,
            with_unit(version.level_dba, 0, "dB(A)"),
            place.source
        ),
        pressure: inside.heard(&between),
    }
}

/// A kit where drums govern, the phrase where a voice does.
fn sound_of(place: &ListenAt) -> Sound {
    let voice =
        ["voice", "speech", "sing", "talk"].iter().any(|word| place.source.to_lowercase().contains(word));
    if voice { synthesis::phrase() } else { synthesis::kit() }
}

fn recording(path: &Path) -> Result<Sound> {
    let shown = path.display();
    let about = std::fs::metadata(path).with_context(|| {
        format!("There is no file `{shown}` that can be read. Check the name and the folder.")
    })?;
    if about.len() > LARGEST {
        bail!("`{shown}` is larger than 200 MB: cut out the minute that matters.");
    }
    let bytes = std::fs::read(path).with_context(|| format!("`{shown}` cannot be read."))?;
    Ok(wav::read(&bytes, &files::short_name(path))?)
}

fn tell(places: &[ListenAt], out: &Path, full: &str, own: Option<&Sound>) -> Result<()> {
    let mut lines = vec![format!(
        "Written to {}, each as WAV and FLAC, all at their true levels to each other:",
        out.display()
    )];
    lines.push(format!(
        "  0-phrase-to-set-the-volume  a voice at one metre, {}",
        with_unit(PHRASE_DBA, 0, "dB(A)")
    ));
    for place in places {
        for (at, version) in place.versions.iter().enumerate() {
            lines.push(format!(
                "  {}-{}-{}  {}, {}",
                plain(&place.receiver),
                at + 1,
                version.id,
                version.name,
                with_unit(version.level_dba, 0, "dB(A)")
            ));
        }
        if place.background_db.is_none() {
            lines.push(format!(
                "    without background: the file names none for the {} (`background`, `background_dba`)",
                place.receiver
            ));
        }
    }
    if let Some(own) = own {
        let seconds = own.samples.len() as f64 / f64::from(own.rate_hz.max(1));
        if seconds > LONGEST_S {
            lines.push(format!("Of the recording the first {} are used.", with_unit(LONGEST_S, 0, "s")));
        }
        lines.push(
            "The recording is played at the level of the plan's source, averaged over its length.".to_owned(),
        );
    }
    lines.push(full.to_owned());
    lines.push(CAUTION.to_owned());
    report::say(&lines.join("\n"))
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
