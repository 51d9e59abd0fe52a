//! The page as somebody sees it who wants what is not his: over a real connection, with requests no browser would send.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first thing that is missing")]

use std::{
    fmt::Write as _,
    fs,
    io::{BufRead, BufReader, Read, Write},
    net::{Shutdown, TcpStream},
    path::PathBuf,
    process::{Child, Command, Stdio},
    time::Duration,
};

const DEMO: &str = include_str!("../../../examples/percussion-room/room.toml");

struct Page {
    folder: PathBuf,
    child: Child,
    port: u16,
    key: String,
}

impl Page {
    fn open(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("stillroom-attacks-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).unwrap();
        let room = folder.join("room.toml");
        fs::write(&room, DEMO).unwrap();
        let mut child = Command::new(env!("CARGO_BIN_EXE_stillroom"))
            .args(["open", "--no-browser"])
            .arg(&room)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut address = String::new();
        BufReader::new(child.stdout.as_mut().unwrap()).read_line(&mut address).unwrap();
        let (place, key) = address.trim().split_once("/?key=").unwrap();
        let port = place.rsplit_once(':').unwrap().1.parse().unwrap();
        Self { folder, child, port, key: key.to_owned() }
    }

    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_mins(1))).unwrap();
        stream
    }

    /// Sends bytes as they are and gives what comes back until the other side ends, or nothing.
    fn send(&self, request: &[u8]) -> String {
        let mut stream = self.connect();
        // The other side may have heard enough before the end.
        let _ = stream.write_all(request);
        Self::heard(stream)
    }

    /// The same, with the end of what is sent said.
    fn send_all(&self, request: &[u8]) -> String {
        let mut stream = self.connect();
        let _ = stream.write_all(request).and_then(|()| stream.shutdown(Shutdown::Write));
        Self::heard(stream)
    }

    fn heard(mut stream: TcpStream) -> String {
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        String::from_utf8_lossy(&answer).into_owned()
    }

    fn ask(&self, line: &str, headers: &[(&str, &str)], body: &str) -> String {
        let mut request =
            format!("{line} HTTP/1.1\r\nConnection: close\r\nContent-Length: {}\r\n", body.len());
        for (name, value) in headers {
            let _ = write!(request, "{name}: {value}\r\n");
        }
        self.send(format!("{request}\r\n{body}").as_bytes())
    }

    fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    fn cookie(&self) -> String {
        format!("stillroom-{}={}", self.port, self.key)
    }

    /// Asks as the right browser does.
    fn own(&self, line: &str, body: &str) -> String {
        let (host, cookie) = (self.host(), self.cookie());
        let origin = format!("http://{host}");
        let form = "application/x-www-form-urlencoded";
        self.ask(
            line,
            &[("Host", &host), ("Origin", &origin), ("Cookie", &cookie), ("Content-Type", form)],
            body,
        )
    }

    fn untouched(&self) {
        assert_eq!(fs::read_to_string(self.folder.join("room.toml")).unwrap(), DEMO);
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
        let _ = fs::remove_dir_all(&self.folder);
    }
}

fn status(answer: &str) -> u16 {
    answer.strip_prefix("HTTP/1.1 ").and_then(|rest| rest.get(..3)?.parse().ok()).unwrap_or(0)
}

#[test]
fn strangers_get_no_page_and_change_nothing() {
    let page = Page::open("strangers");
    let (host, cookie) = (page.host(), page.cookie());
    assert_eq!(status(&page.own("GET /room", "")), 200, "the right browser is let in");
    // Another loopback address of this machine finds nobody: only 127.0.0.1 is listened on.
    assert!(TcpStream::connect_timeout(&([127, 0, 0, 2], page.port).into(), Duration::from_secs(5)).is_err());
    // Names that lead here from elsewhere, the right cookie or not.
    let elsewhere = format!("evil.example:{}", page.port);
    let dotted = format!("127.0.0.1.evil.example:{}", page.port);
    let user = format!("127.0.0.1:{}@evil.example", page.port);
    for name in [elsewhere.as_str(), &dotted, &user, "", "127.0.0.1", "0.0.0.0"] {
        let answer = page.ask("GET /room", &[("Host", name), ("Cookie", &cookie)], "");
        assert_ne!(status(&answer), 200, "{name}");
        assert!(!answer.contains("garden fence"), "{name}");
    }
    let two = page.ask("GET /room", &[("Host", &host), ("Host", "evil.example"), ("Cookie", &cookie)], "");
    let absolute = format!("GET http://evil.example:{}/room", page.port);
    let absolute = page.ask(&absolute, &[("Host", "evil.example"), ("Cookie", &cookie)], "");
    let without = page.send(b"GET /room HTTP/1.0\r\n\r\n");
    for answer in [absolute, without] {
        assert_ne!(status(&answer), 200, "{answer:.200}");
    }
    assert!(status(&two) == 400 || status(&two) == 200, "the first name counts");
    // Words that are nearly right.
    let key = &page.key;
    let longer = format!("{key}0");
    let upper = key.to_uppercase();
    for word in ["", "0", &key[1..], &longer, "*", "%00"] {
        let answer = page.ask(&format!("GET /?key={word}"), &[("Host", &host)], "");
        assert_eq!(status(&answer), 403, "{word}");
        assert!(!answer.contains(key.as_str()), "{word}");
        let wrong = format!("stillroom-{}={word}", page.port);
        assert_eq!(status(&page.ask("GET /room", &[("Host", &host), ("Cookie", &wrong)], "")), 403, "{word}");
    }
    if upper != *key {
        assert_eq!(status(&page.ask(&format!("GET /?key={upper}"), &[("Host", &host)], "")), 403);
    }
    page.untouched();
}

#[test]
fn nothing_is_changed_by_looking_nor_from_another_page() {
    let page = Page::open("looking");
    let (host, cookie) = (page.host(), page.cookie());
    for address in [
        "/set",
        "/text",
        "/undo",
        "/redo",
        "/layer",
        "/fixed",
        "/measured",
        "/forget",
        "/keep-fault",
        "/adopt",
        "/begin-choosing",
        "/stop-choosing",
        "/lengths",
        "/phone",
    ] {
        let fields = "version=1&page=%2Froom&n%3Asurvey.tape%5B0%5D.ceiling_mm=5000&text=x";
        for method in ["GET", "HEAD"] {
            let answer = page.own(&format!("{method} {address}?{fields}"), "");
            // The page that shows a code is looked at by GET, and makes none then.
            let refused: &[u16] = if address == "/phone" { &[200, 404] } else { &[404, 405] };
            assert!(refused.contains(&status(&answer)), "{method} {address}: {answer:.100}");
        }
        for origin in ["null", "http://evil.example", "https://127.0.0.1", "http://127.0.0.1", ""] {
            let headers: [(&str, &str); 3] = [("Host", &host), ("Origin", origin), ("Cookie", &cookie)];
            let answer = page.ask(&format!("POST {address}"), &headers, fields);
            assert_eq!(status(&answer), 403, "{address} from {origin:?}");
        }
        let own = format!("http://{host}");
        let no_cookie: [(&str, &str); 2] = [("Host", &host), ("Origin", &own)];
        assert_eq!(status(&page.ask(&format!("POST {address}"), &no_cookie, fields)), 403, "{address}");
    }
    for method in ["PUT", "DELETE", "PATCH", "TRACE", "OPTIONS", "CONNECT", "PROPFIND"] {
        let answer = page.own(&format!("{method} /room"), "");
        assert!(status(&answer) >= 400, "{method}: {answer:.100}");
        assert!(!answer.to_lowercase().contains("access-control-allow"), "{method}");
    }
    page.untouched();
}

#[test]
fn no_address_leads_to_another_file() {
    let page = Page::open("paths");
    fs::write(page.folder.join("secret.txt"), "nobody's business").unwrap();
    for path in [
        "/assets/../secret.txt",
        "/assets/..%2fsecret.txt",
        "/assets/%2e%2e/secret.txt",
        "/assets/%2e%2e%2f%2e%2e%2fetc%2fpasswd",
        "/assets//etc/passwd",
        "/assets/..\\secret.txt",
        "/assets/room.toml",
        "/../secret.txt",
        "/secret.txt",
        "/room.toml",
        "/assets/%00",
        "//evil.example/",
    ] {
        let answer = page.own(&format!("GET {path}"), "");
        assert!([0, 400, 403, 404].contains(&status(&answer)), "{path}: {answer:.100}");
        assert!(!answer.contains("nobody's business") && !answer.contains("root:"), "{path}");
    }
    // Where a change leads back to is one of our own pages, whatever was asked for.
    let answer = page.own("POST /undo", "version=1&page=%2F%2Fevil.example%2Fx");
    assert!(!answer.contains("evil.example"), "{answer:.300}");
    page.untouched();
}

#[test]
fn every_answer_tells_the_browser_to_trust_nothing_else() {
    let page = Page::open("headers");
    for line in ["GET /room", "GET /nothing", "GET /state", "GET /dossier.pdf", "POST /set"] {
        let answer = page.own(line, "");
        let head = answer.split("\r\n\r\n").next().unwrap().to_lowercase();
        for wanted in [
            "content-security-policy: default-src 'self'",
            "frame-ancestors 'none'",
            "form-action 'self'",
            "x-content-type-options: nosniff",
            "x-frame-options: deny",
            "referrer-policy: same-origin",
            "cache-control: no-store",
        ] {
            assert!(head.contains(wanted), "{line}: {wanted} in\n{head}");
        }
        assert!(!head.contains("unsafe-") && !head.contains("access-control"), "{line}");
    }
}

#[test]
fn too_much_is_refused_and_rubbish_stops_nobody() {
    let page = Page::open("rubbish");
    let (host, cookie) = (page.host(), page.cookie());
    let head = format!(
        "POST /text HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nCookie: {cookie}\r\nConnection: close\r\nContent-Type: \
         application/x-www-form-urlencoded\r\n"
    );
    // A body said to be larger than any room file, and one that never says its end.
    let said = page.send(format!("{head}Content-Length: 99999999999\r\n\r\ntext=x").as_bytes());
    assert_eq!(status(&said), 413, "{said:.200}");
    let mut endless = format!("{head}Transfer-Encoding: chunked\r\n\r\n").into_bytes();
    for _ in 0..60 {
        endless.extend(b"100000\r\n");
        endless.extend(std::iter::repeat_n(b'a', 0x0010_0000));
        endless.extend(b"\r\n");
    }
    let answer = page.send(&endless);
    assert!([0, 400, 413].contains(&status(&answer)), "{answer:.200}");
    // Headers without end, no request at all, bytes that are none.
    let wide = format!("GET /room HTTP/1.1\r\nHost: {host}\r\nX: {}\r\n\r\n", "x".repeat(2_000_000));
    assert!(matches!(status(&page.send(wide.as_bytes())), 0 | 400 | 431));
    let long =
        format!("GET /room?{} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n", "a".repeat(200_000));
    assert_ne!(status(&page.send(long.as_bytes())), 200);
    for bytes in [
        b"\0\x01\x02\r\n\r\n".as_slice(),
        b"\x16\x03\x01\x02\0\x01\0\x01\xfc\x03\x03",
        b"GET\r\n\r\n",
        b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
    ] {
        assert_ne!(status(&page.send_all(bytes)), 200);
    }
    // Fields that make no sense: a sentence, not an end.
    for body in [
        "version=%ff",
        "version=1&page=/room&n%3A=1",
        &format!("version=1&{}", "a=b&".repeat(20_000)),
        "=&=&=",
        "version=99999999999999999999",
    ] {
        for address in ["/set", "/text", "/layer", "/fixed", "/undo"] {
            let answer = page.own(&format!("POST {address}"), body);
            assert!((200..500).contains(&status(&answer)), "{address} {body:.40}: {answer:.100}");
        }
    }
    // Many who say nothing keep nobody else waiting.
    let silent: Vec<TcpStream> = (0..100).map(|_| page.connect()).collect();
    assert_eq!(status(&page.own("GET /room", "")), 200);
    drop(silent);
    page.untouched();
}

#[test]
fn markup_in_a_room_file_is_shown_as_it_is_written() {
    let page = Page::open("markup");
    let nasty = "<script>alert(1)</script>\\\" onload=\\\"x";
    let text = DEMO.replacen("name = \"Percussion room\"", &format!("name = \"{nasty}\""), 1);
    assert_ne!(text, DEMO);
    fs::write(page.folder.join("room.toml"), &text).unwrap();
    for address in [
        "/room",
        "/built",
        "/heard",
        "/choose",
        "/ceiling",
        "/fabric",
        "/order",
        "/steps",
        "/proof",
        "/file",
        "/site.html",
    ] {
        let answer = page.own(&format!("GET {address}"), "");
        assert_eq!(status(&answer), 200, "{address}");
        assert!(!answer.contains("<script>alert"), "{address}");
    }
}
