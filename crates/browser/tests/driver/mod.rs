//! A browser driven by plain requests on loopback, and a room open in the program; both end with the test.

pub(crate) mod rules;

use std::{
    fs,
    io::{BufRead, BufReader, Read, Write},
    net::TcpStream,
    path::{Path, PathBuf},
    process::{Child, Command, Stdio},
    time::{Duration, Instant},
};

use serde_json::{Value, json};

/// The demo room.
pub(crate) const DEMO: &str = include_str!("../../../../examples/percussion-room/room.toml");
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// A room open in the program.
pub(crate) struct Room {
    pub(crate) folder: PathBuf,
    pub(crate) address: String,
    program: Child,
}

impl Room {
    /// Opens the demo; none with a printed line where the program is not built.
    pub(crate) fn open(name: &str) -> Option<Self> {
        let program = program()?;
        let folder = std::env::temp_dir().join(format!("stillroom-browser-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).unwrap();
        fs::write(folder.join("room.toml"), DEMO).unwrap();
        let mut program = Command::new(program)
            .args(["open", "room.toml", "--no-browser"])
            .current_dir(&folder)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut address = String::new();
        BufReader::new(program.stdout.as_mut().unwrap()).read_line(&mut address).unwrap();
        Some(Self { folder, address: address.trim().to_owned(), program })
    }

    pub(crate) fn text(&self) -> String {
        fs::read_to_string(self.folder.join("room.toml")).unwrap()
    }
}

impl Room {
    /// Waits for the file to hold a text.
    pub(crate) fn wait_for(&self, expected: &str) {
        let begin = Instant::now();
        while self.text() != expected {
            assert!(
                begin.elapsed() < Duration::from_secs(10),
                "the file never became what was expected: {}",
                self.text()
            );
            std::thread::sleep(Duration::from_millis(30));
        }
    }
}

impl Room {
    /// Waits for the file to hold some words.
    pub(crate) fn wait_for_words(&self, words: &str) {
        let begin = Instant::now();
        while !self.text().contains(words) {
            assert!(
                begin.elapsed() < Duration::from_secs(10),
                "the file never held `{words}`: {}",
                self.text()
            );
            std::thread::sleep(Duration::from_millis(30));
        }
    }
}

impl Drop for Room {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
        let _ = fs::remove_dir_all(&self.folder);
    }
}

/// The built program, beside the tests.
pub(crate) fn program() -> Option<PathBuf> {
    let here = std::env::current_exe().ok()?;
    let program = here.parent()?.parent()?.join("stillroom");
    if program.exists() {
        return Some(program);
    }
    eprintln!(
        "SKIPPED: the program is not built at {}; `cargo test --workspace` builds it.",
        program.display()
    );
    None
}

/// A browser window.
pub(crate) struct Browser {
    driver: Child,
    port: u16,
    session: String,
}

/// How often what is clicked may be put anew before it is a fault.
const TIMES_GONE: usize = 3;
/// How long a page may take to load before it is asked for again.
const LONGEST_LOAD_MS: u64 = 30_000;
/// How long the driver may take to answer anything.
const LONGEST_ANSWER: Duration = Duration::from_secs(90);

impl Browser {
    /// Opens a window of a width; none with a printed line where there is no browser.
    pub(crate) fn open(width: u32) -> Option<Self> {
        Self::sized(width, 900)
    }

    /// The same of a height as well.
    pub(crate) fn sized(width: u32, height: u32) -> Option<Self> {
        let mut driver = match Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
        {
            Ok(driver) => driver,
            Err(error) => {
                eprintln!("SKIPPED: no chromedriver ({error}); ./test.sh installs it with chromium.");
                return None;
            }
        };
        let mut lines = BufReader::new(driver.stdout.take().unwrap()).lines();
        let port = lines.find_map(|line| {
            let line = line.ok()?;
            line.split("successfully on port ").nth(1)?.trim_end_matches('.').parse().ok()
        })?;
        // What it prints later must go somewhere, or it stops when the pipe is full.
        std::thread::spawn(move || lines.for_each(drop));
        let mut browser = Self { driver, port, session: String::new() };
        let arguments = [
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--disable-background-networking",
            "--disable-component-update",
            "--no-first-run",
            "--disable-sync",
            "--disable-default-apps",
        ];
        let metrics = json!({ "width": width, "height": height, "pixelRatio": 1.0, "touch": width < 1000 });
        let options = json!({ "args": arguments, "mobileEmulation": { "deviceMetrics": metrics } });
        let wanted = json!({ "browserName": "chrome", "goog:chromeOptions": options,
            "timeouts": { "pageLoad": LONGEST_LOAD_MS },
            "goog:loggingPrefs": { "browser": "ALL", "performance": "ALL" } });
        let answer = browser.call("POST", "/session", &json!({ "capabilities": { "alwaysMatch": wanted } }));
        answer["sessionId"]
            .as_str()
            .unwrap_or_else(|| panic!("no session: {answer}"))
            .clone_into(&mut browser.session);
        Some(browser)
    }

    /// One request to the driver; its value.
    fn call(&self, method: &str, path: &str, body: &Value) -> Value {
        self.ask(method, path, body)
            .unwrap_or_else(|error| panic!("{path}: the driver does not answer: {error}"))
    }

    /// The same, with what came between.
    fn ask(&self, method: &str, path: &str, body: &Value) -> std::io::Result<Value> {
        let body = body.to_string();
        let mut stream = TcpStream::connect(("127.0.0.1", self.port))?;
        stream.set_read_timeout(Some(LONGEST_ANSWER))?;
        write!(
            stream,
            "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nContent-Type: application/json\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
            self.port,
            body.len()
        )?;
        // The driver keeps the line open, so what its head says is read, and no more.
        let mut answer = BufReader::new(stream);
        let mut length = 0;
        loop {
            let mut line = String::new();
            answer.read_line(&mut line)?;
            if let Some(said) = line.to_ascii_lowercase().strip_prefix("content-length:") {
                length = said.trim().parse().map_err(std::io::Error::other)?;
            }
            if line.trim().is_empty() {
                break;
            }
        }
        let mut content = vec![0; length];
        answer.read_exact(&mut content)?;
        Ok(serde_json::from_slice::<Value>(&content)?["value"].take())
    }

    /// One request of this window's session; its value.
    pub(crate) fn own(&self, method: &str, path: &str, body: &Value) -> Value {
        let answer = self.call(method, &format!("/session/{}{path}", self.session), body);
        assert!(answer.get("error").is_none_or(Value::is_null), "{path}: {answer}");
        answer
    }

    /// Opens an address. A window without a screen has been seen to hang between two pages on a busy machine, with nothing asked of any
    /// server yet: then it is asked once more, as a person would press the key again.
    pub(crate) fn go(&self, address: &str) {
        let path = format!("/session/{}/url", self.session);
        let go = || self.call("POST", &path, &json!({ "url": address }));
        let mut answer = go();
        if answer["error"] == "timeout" {
            eprintln!("{address} did not load within {LONGEST_LOAD_MS} ms; once more");
            answer = go();
        }
        assert!(answer.get("error").is_none_or(Value::is_null), "{address}: {answer}");
    }

    pub(crate) fn run(&self, script: &str) -> Value {
        self.own("POST", "/execute/sync", &json!({ "script": script, "args": [] }))
    }

    /// A script that calls `done` with its result.
    pub(crate) fn run_later(&self, script: &str) -> Value {
        let script = format!("const done = arguments[arguments.length - 1]; {script}");
        self.own("POST", "/execute/async", &json!({ "script": script, "args": [] }))
    }

    /// Waits for an expression to hold.
    pub(crate) fn wait_for(&self, what: &str, expression: &str) {
        self.wait_long_for(what, expression, Duration::from_secs(20));
    }

    /// The same for what takes its time.
    pub(crate) fn wait_long_for(&self, what: &str, expression: &str, at_most: Duration) {
        let begin = Instant::now();
        while !self.run(&format!("return Boolean({expression})")).as_bool().unwrap_or(false) {
            assert!(begin.elapsed() < at_most, "waited for {what}; the page says: {}", self.said());
            std::thread::sleep(Duration::from_millis(60));
        }
    }

    fn said(&self) -> Value {
        self.run("return document.getElementById('sheet') ? document.getElementById('sheet').innerText.slice(0, 900) : document.body.innerText")
    }

    /// Clicks what stands there. The page may put it anew between looking and clicking, when work behind it is done: then once more, as a
    /// person whose button moved would.
    pub(crate) fn click(&self, selector: &str) {
        let gone = |answer: &Value| answer["error"] == "stale element reference";
        let click = || {
            let element = self.find(selector);
            self.call("POST", &format!("/session/{}/element/{element}/click", self.session), &json!({}))
        };
        let mut answer = click();
        for _ in 0..TIMES_GONE {
            if !gone(&answer) {
                break;
            }
            answer = click();
        }
        assert!(answer.get("error").is_none_or(Value::is_null), "{selector}: {answer}");
    }

    /// Types over what a field holds, and leaves it.
    pub(crate) fn type_over(&self, selector: &str, typed: &str) {
        let element = self.find(selector);
        // Control and A take all of it, as a person would; then the figures, then the key that leaves the field.
        let keys = format!("\u{E009}a\u{E000}{typed}\u{E004}");
        self.own("POST", &format!("/element/{element}/value"), &json!({ "text": keys }));
    }

    fn find(&self, selector: &str) -> String {
        let found = self.own("POST", "/element", &json!({ "using": "css selector", "value": selector }));
        found[ELEMENT].as_str().unwrap_or_else(|| panic!("nothing is {selector}")).to_owned()
    }

    /// Drags from a point of the window by a way.
    pub(crate) fn drag(&self, (x, y): (f64, f64), (dx, dy): (f64, f64)) {
        let at = |x: f64, y: f64, ms: u32| json!({ "type": "pointerMove", "duration": ms, "x": x.round(), "y": y.round(), "origin": "viewport" });
        let actions = json!([at(x, y, 0), { "type": "pointerDown", "button": 0 }, at(x + dx / 2.0, y + dy / 2.0, 60),
            at(x + dx, y + dy, 60), { "type": "pointerUp", "button": 0 }]);
        self.own("POST", "/actions", &json!({ "actions": [{ "type": "pointer", "id": "mouse", "parameters": { "pointerType": "mouse" }, "actions": actions }] }));
    }

    /// Errors the console showed since it was last asked.
    pub(crate) fn console_errors(&self) -> Vec<String> {
        let log = self.own("POST", "/se/log", &json!({ "type": "browser" }));
        log.as_array()
            .into_iter()
            .flatten()
            .filter(|line| line["level"] == "SEVERE")
            .map(|line| line["message"].to_string())
            .collect()
    }

    /// Every address asked for since last time.
    pub(crate) fn requests(&self) -> Vec<String> {
        let log = self.own("POST", "/se/log", &json!({ "type": "performance" }));
        log.as_array()
            .into_iter()
            .flatten()
            .filter_map(|line| serde_json::from_str::<Value>(line["message"].as_str()?).ok())
            .filter(|event| event["message"]["method"] == "Network.requestWillBeSent")
            .filter_map(|event| event["message"]["params"]["request"]["url"].as_str().map(str::to_owned))
            .collect()
    }

    /// Keeps a picture of the window where `STILLROOM_SHOTS` names a folder.
    pub(crate) fn picture(&self, name: &str) {
        let Ok(folder) = std::env::var("STILLROOM_SHOTS") else { return };
        let shot = self.own("GET", "/screenshot", &json!({}));
        if let Some(bytes) = shot.as_str().and_then(from_base64) {
            fs::write(Path::new(&folder).join(format!("{name}.png")), bytes).unwrap();
        }
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        if !self.session.is_empty() {
            // A driver that hangs is killed all the same; a second panic here would hide the first.
            let _ = self.ask("DELETE", &format!("/session/{}", self.session), &json!({}));
        }
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

fn from_base64(text: &str) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    let (mut held, mut bits) = (0_u32, 0);
    for letter in text.bytes().filter(|letter| *letter != b'=' && !letter.is_ascii_whitespace()) {
        let value = match letter {
            b'A'..=b'Z' => letter - b'A',
            b'a'..=b'z' => letter - b'a' + 26,
            b'0'..=b'9' => letter - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            _ => return None,
        };
        held = held << 6 | u32::from(value);
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            bytes.push((held >> bits) as u8);
            held &= (1 << bits) - 1;
        }
    }
    Some(bytes)
}
