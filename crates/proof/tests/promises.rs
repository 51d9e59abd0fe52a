//! What a header promises and the file does not hold costs no memory. Alone in its process, whose memory is watched.

#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first thing that is missing")]

mod sound_files;

use std::{fs, io::Cursor};

use proof::Recording;
use proptest::{
    prelude::*,
    test_runner::{Config, TestRunner},
};

/// A file of a few kilobytes may cost so much address space, MB: the longest block of a FLAC header is 16 MB, and a thread's own heap 64 MB.
const MOST_MB: usize = 200;

/// The most address space this process has ever had, MB: memory that was set aside counts, touched or not.
fn most_so_far_mb() -> usize {
    let status = fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find_map(|line| line.strip_prefix("VmPeak:")).unwrap();
    line.trim().trim_end_matches("kB").trim().parse::<usize>().unwrap() / 1024
}

/// Header fields that promise what is not there: 4 GB of sound, 65 535 channels, the fastest rate, blocks as long as can be said.
fn promising(kind: usize, fields: &[(usize, u32)]) -> Vec<u8> {
    let mut file = sound_files::short(kind);
    for &(at, value) in fields {
        let bytes = if kind == 0 { value.to_le_bytes() } else { value.to_be_bytes() };
        for (n, byte) in bytes.into_iter().enumerate() {
            if let Some(slot) = file.get_mut(at % 80 + n) {
                *slot = byte;
            }
        }
    }
    file
}

/// Reads a file to its end; whatever was handed on stays within what the file can hold.
fn read(file: Vec<u8>) -> Result<(), TestCaseError> {
    let length = file.len();
    let Ok(mut recording) = Recording::open(Cursor::new(file)) else { return Ok(()) };
    let channels = recording.format().channels;
    let mut block = proof::Block::new();
    let mut samples = 0_usize;
    while recording.next_block(&mut block).is_ok_and(|more| more) {
        samples += block.iter().map(Vec::len).sum::<usize>();
        // Of a coded block a constant may stand for 65 535 samples in each channel.
        prop_assert!(samples <= 65_536 * channels * (length / 4 + 1), "{samples}");
        let kept: usize = block.iter().map(Vec::capacity).sum();
        prop_assert!(kept * size_of::<f64>() <= 64 << 20, "{kept} samples are kept room for");
        if samples > 2_000_000 {
            break;
        }
    }
    Ok(())
}

/// A size of a whole file is set aside by nobody before its bytes are there.
#[test]
fn promises_cost_no_memory() {
    let before = most_so_far_mb();
    let values = prop_oneof![Just(u32::MAX), Just(0x7FFF_FFFF), Just(0x00FF_FFFF), any::<u32>()];
    let cases = (0_usize..3, proptest::collection::vec((0_usize..80, values), 1..4));
    // The size of the data of a WAV, of the sound of an AIFF and of the first block of a FLAC, promised in full.
    for (kind, at) in [(0, 4), (0, 40), (1, 4), (1, 5), (2, 4), (2, 22), (2, 42)] {
        read(promising(kind, &[(at, u32::MAX)])).unwrap();
    }
    TestRunner::new(Config { cases: 300, failure_persistence: None, ..Config::default() })
        .run(&cases, |(kind, fields)| read(promising(kind, &fields)))
        .unwrap();
    let more = most_so_far_mb() - before;
    assert!(more <= MOST_MB, "{more} MB were set aside");
    // The watch would have seen it.
    let kept = std::hint::black_box(Vec::<u8>::with_capacity(1 << 30));
    assert!(most_so_far_mb() >= before + 2 * MOST_MB, "{before} {}", most_so_far_mb());
    drop(kept);
}
