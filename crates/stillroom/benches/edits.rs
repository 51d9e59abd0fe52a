//! How long a person waits for an edit: from sending it to the whole new page, over loopback, as the browser does it. The 95th
//! percentile stands beside its goal; a full search for a layout runs behind the page and is not waited for.

#![allow(clippy::unwrap_used, reason = "a bench stops at what it did not expect")]

use std::{
    fs,
    io::{BufRead, BufReader, Read, Write},
    net::TcpStream,
    process::{Command, Stdio},
    time::{Duration, Instant},
};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");
const PROVED: &str = include_str!("../../../examples/percussion-room-proved/room.toml");
/// Edits of each sort.
const TIMES: u64 = 40;

struct Page {
    host: String,
    cookie: String,
}

impl Page {
    fn ask(&self, method: &str, address: &str, body: &str) -> String {
        let mut stream = TcpStream::connect(&self.host).unwrap();
        write!(
            stream,
            "{method} {address} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nCookie: {}\r\nConnection: close\r\n\
             Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}",
            self.cookie,
            body.len(),
            host = self.host
        )
        .unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        String::from_utf8_lossy(&answer).into_owned()
    }

    fn version(&self) -> u64 {
        let state = self.ask("GET", "/state", "");
        state.split("\"version\":").nth(1).unwrap().split([',', '}']).next().unwrap().parse().unwrap()
    }

    fn wait_until_idle(&self) {
        while !self.ask("GET", "/state", "").contains("\"busy\":false") {
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

fn main() {
    let sorts: [(&str, &str, &str, [&str; 2]); 6] = [
        ("a tape", "/room", "n:survey.tape[2].ceiling_mm", ["4233", "4232"]),
        (
            "a board swapped",
            "/built?at=0",
            "t:buildup[0].layer[6].material",
            ["plasterboard-15", "dense-plasterboard-15"],
        ),
        ("fibre thicker", "/built?at=0", "n:buildup[0].layer[2].fill_mm", ["80", "100"]),
        ("a door leaf", "/heard", "t:buildup[4].layer[0].material", ["hardwood-66", "solid-core-44"]),
        ("a limit", "/heard", "n:receiver[0].limit_dba", ["42", "45"]),
        ("a price", "/order", "n:stock.clip.price", ["3.3", "3.2"]),
    ];
    for (name, text) in [("the demo", DEMO), ("the demo with its measurements", PROVED)] {
        let folder = std::env::temp_dir().join(format!("stillroom-edits-{}", std::process::id()));
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).unwrap();
        fs::write(folder.join("room.toml"), text).unwrap();
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
        let page = Page { host: host.to_owned(), cookie: format!("stillroom-{port}={key}") };
        page.wait_until_idle();
        let mut all = Vec::new();
        for (what, sheet, field, values) in sorts {
            let mut own = Vec::new();
            for round in 0..TIMES {
                // Each value is new, so that nothing is remembered from the time before: numbers creep.
                let value = values[(round % 2) as usize];
                let value = match value.parse::<f64>() {
                    Ok(number) if round % 2 == 0 => format!("{}", number + 0.01 * round as f64),
                    _ => value.to_owned(),
                };
                let plain =
                    |text: &str| text.bytes().fold(String::new(), |all, byte| all + &format!("%{byte:02X}"));
                let body = format!(
                    "version={}&page={}&{}={}",
                    page.version(),
                    plain(sheet),
                    plain(field),
                    plain(&value)
                );
                let began = Instant::now();
                let answer = page.ask("POST", "/set", &body);
                let shown = page.ask("GET", sheet, "");
                own.push(began.elapsed());
                assert!(answer.starts_with("HTTP/1.1 303") && shown.contains("</html>"), "{what}: {answer}");
                page.wait_until_idle();
            }
            all.extend(own.iter().copied());
            tell(&format!("{name}, {what}"), &mut own);
        }
        tell(&format!("{name}, all edits"), &mut all);
        program.kill().unwrap();
        program.wait().unwrap();
        fs::remove_dir_all(&folder).unwrap();
    }
}

fn tell(what: &str, times: &mut [Duration]) {
    times.sort();
    let at = |share: f64| {
        times[((times.len() as f64 * share).ceil() as usize).clamp(1, times.len()) - 1].as_secs_f64() * 1e3
    };
    let line = format!(
        "{what}: median {:.0} ms, 95th percentile {:.0} ms (goal 50 ms), worst {:.0} ms\n",
        at(0.5),
        at(0.95),
        at(1.0)
    );
    std::io::stdout().write_all(line.as_bytes()).unwrap();
}
