//! Measurements, and faults found by them.

use super::Mistake;

pub(super) const MISTAKES: &[Mistake] = &[
    Mistake {
        from: "[[gap]]",
        to: "[[measurement]]\nwhat = \"decay\"\ndecay_of = \"strokes\"\ndecay_s = { \"100\" = 0.4 }\n\n[[gap]]",
        at: "decay_of = \"strokes\"",
        says: "`decay_of` says what a recording of decays is of, and here is none. Take `decay_of` away, or name the recording: `what = \"decay\"` with its `file`.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[measurement]]\nwhat = \"inside\"\n\n[[gap]]",
        at: "[[measurement]]",
        says: "The measurement has no values. Write `levels = { \"100\" = 72.5, \"125\" = 70.0 }`, `level_dba = 71.5` where the meter shows no bands, or `file = \"inside.wav\"`.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[measurement]]\nwhat = \"insid\"\nlevels = { \"100\" = 90.0 }\n\n[[gap]]",
        at: "what = \"insid\"",
        says: "`what` cannot be \"insid\". Did you mean \"inside\"? Known are \"inside\", \"outside\", \"receiver\", \"background\" or \"decay\".",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[measurement]]\nwhat = \"inside\"\nlevels = { \"110\" = 90.0 }\n\n[[gap]]",
        at: "levels = { \"110\"",
        says: "`110` is no third-octave band. The nearest is \"100\".",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[measurement]]\nwhat = \"inside\"\nlevels = { \"100\" = 990.0 }\n\n[[gap]]",
        at: "levels = { \"100\"",
        says: "`levels` cannot be 990: it must lie from -20 to 150. `levels`: Levels by third-octave band, as a meter shows them.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[measurement]]\nwhat = \"receiver\"\nlevels = { \"100\" = 40.0 }\n\n[[gap]]",
        at: "[[measurement]]",
        says: "A measurement of \"receiver\" needs its `receiver`. Write the name of the [[receiver]] it was measured at.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[measurement]]\nwhat = \"receiver\"\nreceiver = \"garden shed\"\nlevels = { \"100\" = 40.0 }\n\n[[gap]]",
        at: "receiver = \"garden shed\"",
        says: "There is no receiver \"garden shed\". The receivers are `garden fence`, `bedroom window`, `inside the room`.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[measurement]]\nwhat = \"inside\"\nreceiver = \"garden fence\"\nlevels = { \"100\" = 90.0 }\n\n[[gap]]",
        at: "receiver = \"garden fence\"\nlevels",
        says: "The level in the room itself has no `receiver`. Take `receiver` away, or write `what = \"receiver\"`.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[measurement]]\nwhat = \"inside\"\nlevels = { \"100\" = 90.0 }\nfile = \"inside.wav\"\n\n[[gap]]",
        at: "file = \"inside.wav\"",
        says: "`levels` and `file` both stand here. Keep one of them: the values as typed, or the recording they are worked out from.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[measurement]]\nwhat = \"inside\"\nfile = \"inside.wav\"\n\n[[gap]]",
        at: "file = \"inside.wav\"",
        says: "A recording without calibration can only be compared with others of the same chain and gain. Write `chain = \"…\"` with one name for all recordings made with this gain, or give `calibration_file` and `calibration_db`.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[measurement]]\nwhat = \"inside\"\nfile = \"inside.wav\"\ncalibration_file = \"tone.wav\"\n\n[[gap]]",
        at: "calibration_file = \"tone.wav\"",
        says: "The calibrator's tone needs its level, `calibration_db`. Write what the calibrator says, usually `calibration_db = 94`.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[measurement]]\nwhat = \"inside\"\nlevels = { \"100\" = 90.0 }\ncalibration_db = 94\n\n[[gap]]",
        at: "calibration_db = 94",
        says: "`calibration_db` is the level of a calibrator's tone, but `calibration_file` is missing. Name the recording of the tone, or take `calibration_db` away.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[measurement]]\nwhat = \"decay\"\nlevels = { \"100\" = 90.0 }\n\n[[gap]]",
        at: "levels = { \"100\"",
        says: "A measurement of \"decay\" has no `levels`. Write `decay_s`, or another word at `what`.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[measurement]]\nwhat = \"decay\"\nreceiver = \"garden fence\"\ndecay_s = { \"500\" = 0.5 }\n\n[[gap]]",
        at: "receiver = \"garden fence\"\ndecay_s",
        says: "\"garden fence\" lies outdoors: there is no decay. Take `receiver` away for the decay of this room.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[as_proved.fault]]\nkind = \"seal\"\nelement = \"door\"\n\n[[gap]]",
        at: "[[as_proved.fault]]",
        says: "A fault of the kind \"seal\" needs the key `open_mm`. Write `open_mm`; `stillroom proof ROOM.toml --keep` writes the whole table.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[as_proved.fault]]\nkind = \"seal\"\nelement = \"B-C\"\nopen_mm = 2\n\n[[gap]]",
        at: "element = \"B-C\"\nopen_mm",
        says: "A fault of the kind \"seal\" is in a window or door. Name a window or door, such as `element = \"door\"`.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[as_proved.fault]]\nkind = \"gap\"\nelement = \"B-C\"\narea_mm2 = 200\nloss_db = 3\n\n[[gap]]",
        at: "loss_db = 3",
        says: "A fault of the kind \"gap\" has no `loss_db`. Take `loss_db` away.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[as_proved.fault]]\nkind = \"flanking\"\nreceiver = \"garden fence\"\nloss_db = 12\n\n[[gap]]",
        at: "receiver = \"garden fence\"\nloss_db",
        says: "\"garden fence\" is in no room next door: nothing goes round to it. Name a receiver with `behind`.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[as_proved.fault]]\nkind = \"air-path\"\nvent = \"chimney\"\nloss_db = 12\n\n[[gap]]",
        at: "vent = \"chimney\"",
        says: "There is no vent \"chimney\". Write the name of a [[vent]].",
    },
];
