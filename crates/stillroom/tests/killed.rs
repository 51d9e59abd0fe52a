//! The program killed in the middle of saving: the file is the old one or the new one, whole.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at what it did not expect")]

use std::{
    fs,
    io::{BufRead, BufReader, Read, Write},
    net::TcpStream,
    process::{Command, Stdio},
    sync::{
        Arc,
        atomic::{AtomicBool, AtomicUsize, Ordering},
    },
    time::Duration,
};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

#[test]
fn a_program_killed_while_saving_leaves_a_whole_file() {
    let folder = std::env::temp_dir().join(format!("stillroom-killed-{}", std::process::id()));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    let file = folder.join("room.toml");
    let texts = [4232, 4233].map(|mm| DEMO.replacen("ceiling_mm = 4232", &format!("ceiling_mm = {mm}"), 1));
    let mut saved = 0;
    for round in 0..6_u64 {
        fs::write(&file, DEMO).unwrap();
        let mut program = Command::new(env!("CARGO_BIN_EXE_stillroom"))
            .args(["open", "room.toml", "--no-browser"])
            .current_dir(&folder)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut address = String::new();
        BufReader::new(program.stdout.as_mut().unwrap()).read_line(&mut address).unwrap();
        let (host, key) = address.trim().strip_prefix("http://").unwrap().split_once("/?key=").unwrap();
        let port = host.rsplit(':').next().unwrap();
        let (host, cookie) = (host.to_owned(), format!("Cookie: stillroom-{port}={key}\r\n\r\n"));
        let (done, count) = (Arc::new(AtomicBool::new(false)), Arc::new(AtomicUsize::new(0)));
        let editing = {
            let (done, count) = (Arc::clone(&done), Arc::clone(&count));
            std::thread::spawn(move || {
                // The version grows by one with each save; to and fro between two texts.
                let mut version = 1;
                while !done.load(Ordering::Relaxed) {
                    let mm = 4232 + version % 2;
                    let body =
                        format!("version={version}&page=%2Fsteps&n%3Asurvey.tape%5B2%5D.ceiling_mm={mm}");
                    let Ok(mut stream) = TcpStream::connect(&host) else { return };
                    let head = format!(
                        "POST /set HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nConnection: close\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n",
                        body.len()
                    );
                    if stream.write_all(format!("{head}{cookie}{body}").as_bytes()).is_err() {
                        return;
                    }
                    let mut answer = String::new();
                    let _ = stream.read_to_string(&mut answer);
                    if answer.starts_with("HTTP/1.1 303") {
                        version += 1;
                        count.fetch_add(1, Ordering::Relaxed);
                    }
                }
            })
        };
        while count.load(Ordering::Relaxed) < 2 {
            assert!(!editing.is_finished(), "the program answers");
            std::thread::sleep(Duration::from_millis(3));
        }
        std::thread::sleep(Duration::from_millis(3 + 7 * round));
        program.kill().unwrap();
        program.wait().unwrap();
        done.store(true, Ordering::Relaxed);
        editing.join().unwrap();
        saved += count.load(Ordering::Relaxed);
        let text = fs::read_to_string(&file).unwrap();
        assert!(texts.contains(&text), "neither the old text nor the new: {} bytes", text.len());
    }
    assert!(saved >= 12);
    fs::remove_dir_all(&folder).unwrap();
}
