//! What can be typed: commands and their options, with the sentences that `--help`, the manual pages and the completions show.

use std::path::PathBuf;

use clap::{Parser, Subcommand};
use plan::project::Paper;

use crate::{commands, version};

/// Plan a room that keeps loud sound in and outside noise out.
#[derive(Parser)]
#[command(name = "stillroom", version, long_version = version::long(), about, max_term_width = 100)]
#[command(after_help = "Start with `stillroom demo`, then `stillroom new my-room` for a room of your own.")]
pub(crate) struct Cli {
    /// Print results and errors only: no progress, no remarks
    #[arg(short, long, global = true)]
    pub(crate) quiet: bool,
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// A size of paper as it is typed.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
pub(crate) enum PaperWord {
    /// 297 × 420 mm: each drawing on one sheet
    A3,
    /// 210 × 297 mm: a large drawing on two sheets to be glued together
    A4,
    /// 8½ × 11 inches: a large drawing on two sheets to be glued together
    Letter,
    /// 11 × 17 inches: each drawing on one sheet
    Tabloid,
}

impl From<PaperWord> for Paper {
    fn from(word: PaperWord) -> Self {
        match word {
            PaperWord::A3 => Self::A3,
            PaperWord::A4 => Self::A4,
            PaperWord::Letter => Self::Letter,
            PaperWord::Tabloid => Self::Tabloid,
        }
    }
}

#[derive(Subcommand)]
pub(crate) enum Command {
    /// Put the demo room into a folder, plan it, write every sheet and say where to look
    Demo {
        /// Folder for the demo
        #[arg(long, value_name = "DIR", default_value = "percussion-room")]
        into: PathBuf,
        /// Paper of the dossier, in place of what the room file says
        #[arg(long, ignore_case = true)]
        paper: Option<PaperWord>,
    },
    /// Put a commented starter file for your own room into a folder
    New {
        /// Folder for the room
        dir: PathBuf,
    },
    /// Look through a room file and say what is wrong in it; exit code 1 on an error
    Check {
        /// The room file
        room: PathBuf,
    },
    /// Plan a room: print the summary, and write every sheet where asked
    Plan {
        /// The room file
        room: PathBuf,
        /// Folder for the sheets: dossier, drawings, lists, the whole plan as JSON
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
        /// Choose what to build too, some seconds more, and put it into the dossier, the drawings and the lists
        #[arg(long, requires = "out")]
        choose: bool,
        /// Write the whole plan as JSON to standard output and nothing else
        #[arg(long)]
        json: bool,
        /// Paper of the dossier, in place of what the room file says
        #[arg(long, ignore_case = true)]
        paper: Option<PaperWord>,
    },
    /// Hold what was measured against the plan, and name the fault that explains it best
    Proof {
        /// The room file
        room: PathBuf,
        /// Write it as JSON to standard output
        #[arg(long)]
        json: bool,
        /// Keep the likeliest fault in the room file, so that what is planned next has it in it
        #[arg(long)]
        keep: bool,
    },
    /// Write sounds as they would be heard at each receiver: today, as planned, and one step further
    Hear {
        /// The room file
        room: PathBuf,
        /// Folder for the sounds
        #[arg(long, value_name = "DIR")]
        out: PathBuf,
        /// A recording of your own (WAV, FLAC, AIFF) in place of the drum kit
        #[arg(long, value_name = "FILE")]
        from: Option<PathBuf>,
    },
    /// Choose what to build: the least costly set that keeps every limit, what each decibel costs, what to do next
    Choose {
        /// The room file
        room: PathBuf,
        /// Folder for the sheet of the front and the lists of it
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
        /// Write it all as JSON to standard output and nothing else
        #[arg(long)]
        json: bool,
        /// Put the chosen build-ups into the room file; its comments stay
        #[arg(long)]
        write: bool,
    },
    /// Open a room as a page in the browser: change it and see at once what comes of it
    Open {
        /// The room file
        #[arg(default_value = "room.toml")]
        room: PathBuf,
        /// Port of this machine; any free one without it
        #[arg(long, default_value_t = 0, hide_default_value = true)]
        port: u16,
        /// Only print the address
        #[arg(long)]
        no_browser: bool,
        /// Let a phone on the same network in too, by a code it scans
        #[arg(long)]
        lan: bool,
        /// This machine's address on that network, where it has several
        #[arg(long, value_name = "ADDRESS", requires = "lan")]
        lan_address: Option<std::net::Ipv4Addr>,
    },
    /// Add readings taken on the site page to a room file; nothing in it is changed
    TakeIn {
        /// The room file
        room: PathBuf,
        /// The file of readings
        readings: PathBuf,
        /// Take them in though they name another room or layout, or none: you know that they fit
        #[arg(long)]
        anyway: bool,
    },
    /// Predict one build-up alone: sound reduction by third octaves, ratings, what limits it
    Element {
        /// The element file
        file: PathBuf,
        /// Write it as JSON to standard output and nothing else
        #[arg(long)]
        json: bool,
    },
    /// Rate a typed spectrum (columns frequency_hz,value_db; third octaves or octaves)
    Rate {
        /// The table
        file: PathBuf,
        /// Write it as JSON to standard output and nothing else
        #[arg(long)]
        json: bool,
    },
    /// List what the catalogue holds, each entry with where its numbers come from
    Catalogue {
        /// Which kind, such as `board` or `seal`; without it the kinds
        kind: Option<String>,
    },
    /// Write the signals to play when measuring, with a page that says how
    Signals {
        /// Folder for the signals
        dir: PathBuf,
        /// Level re full scale in dB, from −60 to −12.1
        #[arg(long, value_name = "DB", default_value_t = proof::signals::USUAL_LEVEL_DB, allow_negative_numbers = true)]
        level: f64,
        /// Sampling rate in Hz: 44100, 48000, 88200 or 96000
        #[arg(long, value_name = "HZ", default_value_t = 48_000)]
        rate: u32,
    },
    /// Read recordings (WAV, FLAC, AIFF) and print their levels by third octaves, and what is wrong with them; of two, the difference too
    Levels {
        /// The recordings
        #[arg(required = true)]
        files: Vec<PathBuf>,
        /// Recording of a calibrator on the same microphone at the same gain
        #[arg(long, value_name = "FILE", requires = "calibration_level")]
        calibration: Option<PathBuf>,
        /// Level printed on the calibrator in dB, such as 94 or 114
        #[arg(long, value_name = "DB", requires = "calibration")]
        calibration_level: Option<f64>,
        /// Recording of the background at the place of the second of two recordings; it is taken off
        #[arg(long, value_name = "FILE")]
        background: Option<PathBuf>,
        /// The one channel to take, counted from 1; without it the mean of all that are not silent
        #[arg(long, value_name = "N")]
        channel: Option<usize>,
        /// Folder for drawings of the level over time and of every band over time
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
        /// Write it as JSON to standard output and nothing else
        #[arg(long)]
        json: bool,
    },
    /// Read recordings of drum strokes, of noise switched off or of the sweep and print how fast the room dies away
    Decay {
        /// The recordings, one for each place of the microphone
        #[arg(required = true)]
        files: Vec<PathBuf>,
        /// What they are of; without it that is found out, and refused where it is unclear
        #[arg(long, value_enum)]
        kind: Option<commands::decay::Kind>,
        /// The channel to take, counted from 1
        #[arg(long, value_name = "N", default_value_t = 1)]
        channel: usize,
        /// Write it as JSON to standard output and nothing else
        #[arg(long)]
        json: bool,
    },
    /// Print the JSON Schema of a file format
    Schema {
        /// Which one
        #[arg(value_enum, default_value_t = commands::schema::Format::Room)]
        format: commands::schema::Format,
    },
    /// Print the completions of a shell, so that its Tab key knows commands and options
    Completions {
        /// Which shell
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
    /// Write the manual pages, one for the program and one for each command
    Manual {
        /// Folder for the pages
        dir: PathBuf,
    },
}
