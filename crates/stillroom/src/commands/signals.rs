//! `stillroom signals`: what to play when measuring.

use std::{fmt::Write as _, path::Path, process::ExitCode};

use anyhow::{Context, Result};
use proof::signals::Signal;
use quantities::format::with_unit;

use crate::{files, report};

/// Writes every signal and the page that says how to use them.
pub(crate) fn run(dir: &Path, level_db: f64, rate_hz: u32) -> Result<ExitCode> {
    let mut list = String::new();
    for signal in Signal::ALL {
        let wav =
            signal.wav(rate_hz, level_db).with_context(|| format!("{} was not written.", signal.name()))?;
        files::write_whole(&dir.join(format!("{}.wav", signal.name())), &wav)?;
        let _ = writeln!(list, "  {:<19} {}", format!("{}.wav", signal.name()), signal.purpose());
    }
    let page = format!(
        "{HOW_TO}\nTHE FILES (24 bits, noise and sweep at {} re full scale)\n\n{list}",
        with_unit(level_db, 0, "dB")
    );
    let how_to = dir.join("how-to-measure.txt");
    files::write_whole(&how_to, page.as_bytes())?;
    report::say(&format!("{list}\nHow to use them: {}", how_to.display()))?;
    Ok(ExitCode::SUCCESS)
}

/// One page, for someone with a loudspeaker and a recorder.
const HOW_TO: &str = "\
MEASURING WITH A LOUDSPEAKER AND A RECORDER

CARE. Loud noise harms: wear ear protectors inside, tell the neighbours, keep it short. Begin quietly. A loudspeaker can burn
out on the low notes of the sweep: if it rattles, go down.

BEFORE YOU BEGIN
1. Recorder: WAV or FLAC, 24 bits, 48 000 Hz. Switch off automatic gain, limiter, low cut and noise reduction. A telephone
   that cannot switch them off gives no level.
2. With a calibrator: push it onto the microphone and record 10 s. From then on do not touch the gain.
   Without one, differences between recordings of the same recorder at the same gain still hold.
3. Switch off what hums: fridge, fan, heating. Wait for a quiet moment outside.

LEVEL DIFFERENCE, INSIDE TO OUTSIDE
1. Loudspeaker in a corner of the room, door shut. Start the recorder, then play pink-minute.wav to its end. The rising
   chirps before it and the falling ones after it are how the program lines up recordings without a cable.
2. Record inside at five places or more, half a metre from every surface, a metre from the loudspeaker.
3. Do not touch loudspeaker or gain. Record outside, at each place that matters.
4. Record one minute of background at each place outside, with nothing playing.
5. If the noise drowns outside, play sweep.wav instead, inside and outside: a sweep is found again far below the background.
   Record from before the first chirps until after the last.

DECAY TIME (how fast the room dies away)
  Either: one drum stroke, a bursting balloon or two boards clapped, five times, 3 s apart, at three places or more;
  or: pink-bursts.wav; or: sweep.wav. One recording for each place of the microphone, each not longer than two minutes.
  Then: stillroom decay place1.wav place2.wav place3.wav
  If it cannot tell what the recordings are of, add --kind strokes, --kind noise or --kind sweep.

LEVELS
  stillroom levels inside.wav outside.wav --out drawings
  Two recordings, the room first, give the level difference too; of the sweep in both by what is left of it far below the noise. With the
  background taken off: stillroom levels inside.wav outside.wav --background quiet.wav
  With a calibrator: stillroom levels inside.wav --calibration calibrator.wav --calibration-level 94

The loudest moment should stay 6 dB below full scale. What is clipped, drops out, is too short or too quiet is said in words.
";
