//! What can be wrong with a file that is handed in as a recording.

use quantities::reader::Reader;

use super::{HIGHEST_RATE_HZ, LOWEST_RATE_HZ};

/// Why a recording cannot be read, in one sentence that says what to do. The caller puts the file's name before it.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RecordingError {
    /// Not a single sample.
    #[error("there is no sound in it: the file is empty. Copy it from the recorder again.")]
    Empty,
    /// Written words.
    #[error("{}", text(Reader::Terminal))]
    Text,
    /// Bytes of no known kind.
    #[error("this is no WAV, FLAC or AIFF file. Save the recording as WAV (PCM, 24 bits) and try again.")]
    Unknown,
    /// A recording that lost part of the sound.
    #[error(
        "this is {what}: a lossy recording, and what it left out would be missing from the levels. Record as WAV or FLAC."
    )]
    Lossy {
        /// What it is.
        what: &'static str,
    },
    /// A form that is not taken.
    #[error("{what} Save it as WAV with 16, 24 or 32 bits and try again.")]
    Unsupported {
        /// What is not taken, a whole sentence.
        what: String,
    },
    /// The file contradicts itself or ends too soon.
    #[error("the file is damaged: {what}. Copy it from the recorder again.")]
    Damaged {
        /// What is wrong.
        what: String,
    },
    /// No channel.
    #[error("the file says that it has no channel. Copy it from the recorder again.")]
    NoChannels,
    /// Sampled too slowly or too fast.
    #[error(
        "it is sampled at {found_hz} Hz; {LOWEST_RATE_HZ} to {HIGHEST_RATE_HZ} Hz are taken. Record at 48 000 Hz."
    )]
    Rate {
        /// The file's rate.
        found_hz: u32,
    },
    /// A channel that is not there.
    #[error("channel {asked} was asked for, and the recording has {channels}. Channels count from 1.")]
    NoSuchChannel {
        /// Which, from 1.
        asked: usize,
        /// How many there are.
        channels: usize,
    },
    /// More than can be kept.
    #[error(
        "{hours} hours of channels are more than the {most_hours} that are taken at once. Cut the recording into parts, \
         or choose one channel."
    )]
    TooLong {
        /// Length times channels, h.
        hours: u64,
        /// The limit, h.
        most_hours: u64,
    },
    /// The reader failed.
    #[error("it cannot be read: {what}.")]
    Reading {
        /// What the system says.
        what: String,
    },
}

impl RecordingError {
    /// The sentence in the words of who reads it. `Display` gives that of a terminal.
    #[must_use]
    pub fn told(&self, reader: Reader) -> String {
        match self {
            Self::Text => text(reader),
            Self::Empty
            | Self::Unknown
            | Self::Lossy { .. }
            | Self::Unsupported { .. }
            | Self::Damaged { .. }
            | Self::NoChannels
            | Self::Rate { .. }
            | Self::NoSuchChannel { .. }
            | Self::TooLong { .. }
            | Self::Reading { .. } => self.to_string(),
        }
    }
}

fn text(reader: Reader) -> String {
    let (name, typed) = reader.either(
        ("Name", "levels typed from a meter go into the room file"),
        ("Choose", "levels read off a meter are typed below"),
    );
    format!(
        "this is text, not a recording, whatever its name ends in. {name} a WAV, FLAC or AIFF file; {typed}."
    )
}

impl From<std::io::Error> for RecordingError {
    fn from(error: std::io::Error) -> Self {
        let what = error.to_string();
        // The number of the operating system's error helps nobody.
        Self::Reading { what: what.split(" (os error").next().unwrap_or_default().to_owned() }
    }
}
