#![no_main]

use libfuzzer_sys::fuzz_target;

const ROOM: &str = include_str!("../../examples/percussion-room/room.toml");

fuzz_target!(|data: &[u8]| spoil::readings(ROOM, data));
