//! What was measured in the room and outside it, before and after.

use bands::Readings;
use serde::Serialize;

use crate::{
    project::WallId,
    read::keyed::{keyed, words},
};

keyed! {
    /// Third-octave levels or decay times measured at one position. Positions of one thing stand in a table each and are averaged.
    pub struct Measurement {
        /// What was measured.
        what: Measured,
        /// Before the work or after it.
        when: Stage = Stage::After,
        /// The receiver it was measured at, or in whose room.
        receiver: Option<String>,
        /// Which source was on, in words; one that plays noise or a sweep measures best.
        source: Option<String>,
        /// Where the microphone stood, in words.
        position: Option<String>,
        /// Whether the microphone stood in a corner of a small room, 0.3 to 0.4 m from its faces, for the low bands.
        corner: bool = false,
        /// The wall on whose outer face the microphone stood, a loudspeaker 45° in front of it: with decay times of this room it gives R′45°.
        on_wall: Option<WallId>,
        /// Levels by third-octave band, as a meter shows them.
        levels: Option<Readings> [-20.0, 150.0],
        /// One A-weighted level, where a meter shows no bands. It checks the sum and says nothing of what is wrong.
        level_dba: Option<f64> [-20.0, 150.0],
        /// Decay times by third-octave band, in seconds.
        decay_s: Option<Readings> [0.05, 20.0],
        /// Recording the levels or decay times are worked out from, beside this file.
        file: Option<String>,
        /// What a recording of decays is of, where that is heard wrongly or cannot be told.
        decay_of: Option<DecayOf>,
        /// Recording of a calibrator's tone, through the same chain at the same gain.
        calibration_file: Option<String>,
        /// Level of that tone.
        calibration_db: Option<f64> [60.0, 130.0],
        /// Name of the chain and its gain, such as "phone, gain fixed": recordings without calibration are compared within one chain only.
        chain: Option<String>,
        /// When it was measured.
        date: Option<String>,
        /// What one should know of it: wind, traffic, doors.
        note: Option<String>,
    }
}

words! {
    /// What was measured.
    pub enum Measured {
        /// The level in the room, its source on.
        Inside = "inside",
        /// The level of a sound outdoors, 2 m in front of the wall.
        Outside = "outside",
        /// The level at a receiver, the source on.
        Receiver = "receiver",
        /// The level at a receiver, the source off.
        Background = "background",
        /// Decay times: of the receiver's room, or of this room where no receiver is named.
        Decay = "decay",
    }
}

words! {
    /// What a recording of decays is of.
    pub enum DecayOf {
        /// Drum strokes, balloons, boards clapped.
        Strokes = "strokes",
        /// Noise that is switched off, such as the signal `pink-bursts`.
        Noise = "noise",
        /// The signal `sweep`.
        Sweep = "sweep",
    }
}

words! {
    /// Before the work or after it.
    pub enum Stage {
        /// Before the work.
        Before = "before",
        /// After it.
        After = "after",
    }
}

/// Decay times worked out from a recording.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RecordedDecay {
    /// Its place among the measurements of the file.
    pub measurement: usize,
    /// Decay times, s.
    pub decay_s: Readings,
}

/// A measurement with its levels, typed or worked out from its recording.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Recorded {
    /// Its place among the measurements of the file.
    pub measurement: usize,
    /// Its levels.
    pub levels: proof::MeasuredLevels,
    /// Gains from the sweep, where the recording is of it: its differences reach far below the background.
    #[serde(skip)]
    pub swept: Option<proof::iso_18233_2006::SweptLevels>,
    /// The whole analysis of the recording, to be drawn; none where the levels came another way.
    #[serde(skip)]
    pub analysis: Option<proof::Analysis>,
}
