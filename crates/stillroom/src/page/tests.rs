//! The page without a browser: who is let in, what an edit writes, what is refused.

mod chosen;
mod edited;
mod measured;
mod phone;
mod readings;

use std::{fs, path::PathBuf, sync::Arc};

use axum::{
    Router,
    body::{Body, to_bytes},
    http::{Request, StatusCode},
};
use tower::ServiceExt;

use super::{desk::Desk, guard::Guard, router, words};

const DEMO: &str = include_str!("../../../../examples/percussion-room/room.toml");
const HOST: &str = "127.0.0.1:4321";

struct Room {
    folder: PathBuf,
    router: Router,
    token: String,
}

impl Room {
    fn new(name: &str) -> Self {
        Self::with(name, DEMO)
    }

    fn with(name: &str, text: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("stillroom-page-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).unwrap();
        let file = folder.join("room.toml");
        fs::write(&file, text).unwrap();
        let guard = Arc::new(Guard::new(4321).unwrap());
        let token = guard.token().to_owned();
        Self { folder, router: router(Desk::open(&file).unwrap(), guard, None), token }
    }

    fn text(&self) -> String {
        fs::read_to_string(self.folder.join("room.toml")).unwrap()
    }

    async fn ask(&self, request: Request<Body>) -> (StatusCode, String) {
        let answer = self.router.clone().oneshot(request).await.unwrap();
        let status = answer.status();
        let body = to_bytes(answer.into_body(), 64 << 20).await.unwrap();
        (status, String::from_utf8_lossy(&body).into_owned())
    }

    async fn get(&self, address: &str) -> (StatusCode, String) {
        let request = Request::get(address)
            .header("host", HOST)
            .header("cookie", format!("stillroom-4321={}", self.token))
            .body(Body::empty());
        self.ask(request.unwrap()).await
    }

    async fn post(&self, address: &str, fields: &[(&str, &str)]) -> (StatusCode, String) {
        let body = url_encoded(fields);
        let request = Request::post(address)
            .header("host", HOST)
            .header("origin", format!("http://{HOST}"))
            .header("cookie", format!("stillroom-4321={}", self.token))
            .header("content-type", "application/x-www-form-urlencoded")
            .body(Body::from(body));
        self.ask(request.unwrap()).await
    }

    /// Waits for what is being worked out behind the page.
    async fn wait_until_idle(&self) {
        for _ in 0..2400 {
            if self.get("/state").await.1.contains("\"busy\":false") {
                return;
            }
            tokio::time::sleep(std::time::Duration::from_millis(50)).await;
        }
        panic!("still busy");
    }

    async fn version(&self) -> String {
        let (_, page) = self.get("/order").await;
        page.split("data-version=\"").nth(1).unwrap().split('"').next().unwrap().to_owned()
    }
}

impl Drop for Room {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.folder);
    }
}

fn url_encoded(fields: &[(&str, &str)]) -> String {
    let plain = |text: &str| -> String {
        text.bytes().fold(String::new(), |text, byte| text + &format!("%{byte:02X}"))
    };
    fields
        .iter()
        .map(|(name, value)| format!("{}={}", plain(name), plain(value)))
        .collect::<Vec<_>>()
        .join("&")
}

#[tokio::test(flavor = "multi_thread")]
async fn only_this_machines_own_browser_is_let_in() {
    let room = Room::new("door");
    let bare = |host: &str, origin: Option<&str>, post: bool| {
        let mut request =
            if post { Request::post("/undo") } else { Request::get("/room") }.header("host", host);
        if let Some(origin) = origin {
            request = request.header("origin", origin);
        }
        request.header("cookie", format!("stillroom-4321={}", room.token)).body(Body::empty()).unwrap()
    };
    assert_eq!(room.ask(bare(HOST, None, false)).await.0, StatusCode::OK);
    assert_eq!(room.ask(bare("localhost:4321", None, false)).await.0, StatusCode::OK);
    for host in ["evil.example:4321", "127.0.0.1:80", "127.0.0.1"] {
        assert_eq!(room.ask(bare(host, None, false)).await.0, StatusCode::FORBIDDEN, "{host}");
    }
    for origin in [None, Some("null"), Some("http://evil.example:4321"), Some("http://localhost:4321")] {
        assert_eq!(room.ask(bare(HOST, origin, true)).await.0, StatusCode::FORBIDDEN, "{origin:?}");
    }
    let without = |address: &str| Request::get(address).header("host", HOST).body(Body::empty()).unwrap();
    for address in ["/room", "/state", "/dossier.pdf", "/?key=wrong", "/"] {
        assert_eq!(room.ask(without(address)).await.0, StatusCode::FORBIDDEN, "{address}");
    }
    let door = room.router.clone().oneshot(without(&format!("/?key={}", room.token))).await.unwrap();
    assert_eq!(door.status(), StatusCode::SEE_OTHER);
    let cookie = door.headers()["set-cookie"].to_str().unwrap();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"));
    assert!(door.headers()["content-security-policy"].to_str().unwrap().starts_with("default-src 'self'"));
}

#[tokio::test(flavor = "multi_thread")]
async fn an_edit_is_written_with_its_comments_and_can_be_undone() {
    let room = Room::new("edit");
    let (version, path) = (room.version().await, "n:survey.tape[2].ceiling_mm");
    let fields = [("version", version.as_str()), ("page", "/room"), (path, "4 236")];
    assert_eq!(room.post("/set", &fields).await.0, StatusCode::SEE_OTHER);
    let expected = DEMO.replacen("ceiling_mm = 4232", "ceiling_mm = 4236", 1);
    assert_eq!(room.text(), expected);
    let version = room.version().await;
    room.post("/undo", &[("version", &version)]).await;
    assert_eq!(room.text(), DEMO);
    let version = room.version().await;
    room.post("/redo", &[("version", &version)]).await;
    assert_eq!(room.text(), expected);
    // An edit from a page that another window overtook changes nothing.
    let (_, page) = room.post("/set", &[("version", "1"), ("page", "/room"), (path, "4240")]).await;
    assert!(page.contains("another window"));
    assert_eq!(room.text(), expected);
}

#[tokio::test(flavor = "multi_thread")]
async fn what_cannot_be_used_stays_in_its_field_and_the_file_untouched() {
    let room = Room::new("refused");
    let version = room.version().await;
    for (typed, sentence) in [("five", "is no number"), ("12", "100")] {
        let fields =
            [("version", version.as_str()), ("page", "/room"), ("n:survey.tape[0].ceiling_mm", typed)];
        let (status, page) = room.post("/set", &fields).await;
        assert_eq!(status, StatusCode::OK);
        assert!(page.contains(&format!("value=\"{typed}\"")), "{typed} stays");
        let said = page.split("role=\"alert\">").nth(1).unwrap().split('<').next().unwrap();
        assert!(said.contains(sentence), "{said}");
        assert_eq!(room.text(), DEMO);
    }
    let (_, page) =
        room.post("/text", &[("version", &version), ("page", "/file"), ("text", "[limits\nx = ")]).await;
    assert!(page.contains("[limits") && page.contains("data-line=\"1\""));
    assert_eq!(room.text(), DEMO);
    let (_, page) = room
        .post(
            "/layer",
            &[("version", &version), ("page", "/built"), ("list", "x.layer"), ("layer", "0"), ("do", "down")],
        )
        .await;
    assert!(page.contains("role=\"alert\""));
    let (_, page) = room
        .post("/layer", &[("version", &version), ("page", "//evil.example"), ("list", ""), ("layer", "y")])
        .await;
    assert!(page.contains("The room as taped"));
    assert_eq!(room.text(), DEMO);
}

#[tokio::test(flavor = "multi_thread")]
async fn what_happens_to_the_file_meanwhile_is_noticed() {
    let room = Room::new("meanwhile");
    let version = room.version().await;
    let other = format!("{DEMO}\n# by another program\n");
    fs::write(room.folder.join("room.toml"), &other).unwrap();
    let fields = [("version", version.as_str()), ("page", "/room"), ("n:survey.tape[2].ceiling_mm", "4236")];
    let (_, page) = room.post("/set", &fields).await;
    assert!(page.contains("Another program changed the file"));
    assert_eq!(room.text(), other);
    let version = room.version().await;
    room.post("/undo", &[("version", &version)]).await;
    assert_eq!(room.text(), DEMO);
    fs::write(room.folder.join("room.toml"), "[survey\n").unwrap();
    let (status, page) = room.get("/heard").await;
    assert!(
        status == StatusCode::OK && page.contains("The file has errors") && page.contains("garden fence")
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn a_file_that_cannot_be_written_is_said_and_nothing_is_lost() {
    let room = Room::new("unwritable");
    let version = room.version().await;
    // The file is written beside the old one first: something in that place stops it, like a full disk would.
    fs::create_dir(room.folder.join(format!("room.toml.{}.part", std::process::id()))).unwrap();
    let fields = [("version", version.as_str()), ("page", "/room"), ("n:survey.tape[2].ceiling_mm", "4236")];
    let (_, page) = room.post("/set", &fields).await;
    assert!(page.contains("The change was not made"), "{page}");
    assert_eq!(room.text(), DEMO);
    assert!(page.contains("value=\"4236\""));
}

#[tokio::test(flavor = "multi_thread")]
async fn every_sheet_is_drawn_even_of_a_file_that_is_wrong() {
    let broken = Room::with("broken", "format = 1\n[survey]\ncorners = [\"A\"]\n");
    let room = Room::new("sheets");
    let mut listed = 0;
    for sheet in &super::SHEETS {
        for query in ["", "?at=999&show=7", "?bar=99&off=x", "?corner=Z&right=1e999", "?at=-1"] {
            let address = format!("{}{query}", sheet.address);
            assert_eq!(room.get(&address).await.0, StatusCode::OK, "{address}");
            assert_eq!(broken.get(&address).await.0, StatusCode::OK, "{address}");
        }
        let (_, page) = room.get(sheet.address).await;
        assert!(page.contains("garden fence") && !page.contains("NaN"), "{}", sheet.address);
        // Beside the verdicts and above what is to do it is said what the words mean.
        let lists = page.contains("class=\"findings\"");
        listed += usize::from(lists);
        for standing in plan::outcome::Standing::ALL {
            let meant = page.contains(&format!("<b>{}</b>: {}", standing.word(), standing.meaning()));
            assert_eq!(meant, lists, "{}", sheet.address);
        }
        assert!(page.contains(&format!("title=\"{}\"", plan::outcome::Standing::Close.meaning())));
        assert!(
            !page.contains("<style") && !page.contains(" style=") && !page.contains("<script>"),
            "{}",
            sheet.address
        );
    }
    assert!(listed > 2, "{listed}");
    assert_eq!(room.get("/nothing").await.0, StatusCode::NOT_FOUND);
    assert!(room.get("/site.html").await.1.contains("on site"));
    // Nothing to build from is given away of a text that gives no plan.
    for address in ["/site.html", "/dossier.pdf"] {
        assert_eq!(broken.get(address).await.0, StatusCode::CONFLICT, "{address}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn lengths_in_feet_and_numbers_with_a_comma() {
    let room = Room::new("manner");
    let ask = |headers: Vec<(&'static str, String)>| {
        let mut request = Request::get("/room").header("host", HOST);
        for (name, value) in headers {
            request = request.header(name, value);
        }
        request.body(Body::empty()).unwrap()
    };
    let session = format!("stillroom-4321={}", room.token);
    let (_, feet) = room.ask(ask(vec![("cookie", format!("{session}; stillroom-lengths=feet"))])).await;
    assert!(feet.contains("value=\"13' 10 5/8&quot;\"") && !feet.contains("at ceiling, mm"), "{feet}");
    let comma = ask(vec![("cookie", session.clone()), ("accept-language", "de-DE,de".to_owned())]);
    let (_, comma) = room.ask(comma).await;
    let (_, plain) = room.get("/room").await;
    let known_to = |page: &str, mark: char| {
        page.split("\u{b1}\u{a0}").skip(1).any(|rest| rest.chars().nth(1) == Some(mark))
    };
    assert!(comma != plain && known_to(&comma, ',') && !known_to(&plain, ',') && known_to(&plain, '.'));
    // Inches may be typed where millimetres are shown.
    let version = room.version().await;
    let path = "n:survey.tape[2].ceiling_mm";
    for (typed, expected) in [
        ("4232", DEMO.to_owned()),
        ("13' 10 3/4\"", DEMO.replacen("ceiling_mm = 4232", "ceiling_mm = 4235.45", 1)),
    ] {
        let fields = [("version", version.as_str()), ("page", "/room"), (path, typed)];
        assert_eq!(room.post("/set", &fields).await.0, StatusCode::SEE_OTHER);
        assert_eq!(room.text(), expected);
    }
    let version = room.version().await;
    let fields = [("version", version.as_str()), ("page", "/room"), (path, "13' 10 17/16\"")];
    let (_, page) = room.post("/set", &fields).await;
    assert!(page.contains("no number and no length"));
    // What was shown in sixteenths and not touched is not written.
    let text = room.text();
    let version = room.version().await;
    let fields = format!("version={version}&page=/room&{path}=13%27+10+3%2F4%22");
    let request = Request::post("/set")
        .header("host", HOST)
        .header("origin", format!("http://{HOST}"))
        .header("cookie", format!("{session}; stillroom-lengths=feet"))
        .header("content-type", "application/x-www-form-urlencoded")
        .body(Body::from(fields));
    assert_eq!(room.ask(request.unwrap()).await.0, StatusCode::SEE_OTHER);
    assert_eq!(room.text(), text);
    // A file that was taken away is not made anew.
    let version = room.version().await;
    std::fs::rename(room.folder.join("room.toml"), room.folder.join("away.toml")).unwrap();
    let fields = [("version", version.as_str()), ("page", "/room"), (path, "4300")];
    let (_, page) = room.post("/set", &fields).await;
    assert!(page.contains("is no longer in its folder"), "{page}");
    assert!(!room.folder.join("room.toml").exists());
}

/// The file says the unit; the switch of the page says it instead, of the drawings too.
#[tokio::test(flavor = "multi_thread")]
async fn the_file_says_feet_until_the_switch_says_otherwise() {
    let text = DEMO.replacen("[project]\n", "[project]\nlengths = \"feet and inches\"\n", 1);
    let room = Room::with("file-manner", &text);
    room.wait_until_idle().await;
    let ask = |address: &'static str, cookie: String| {
        Request::get(address).header("host", HOST).header("cookie", cookie).body(Body::empty()).unwrap()
    };
    let session = format!("stillroom-4321={}", room.token);
    let drawn = |page: &str| {
        page.split_once("<figure")
            .unwrap()
            .1
            .split_once("</figure>")
            .unwrap()
            .0
            .replace("&quot;", "\"")
            .replace("&#39;", "'")
            .replace("&apos;", "'")
    };
    let (_, own) = room.ask(ask("/room", session.clone())).await;
    assert!(
        own.contains("value=\"13' 10 5/8&quot;\"") && drawn(&own).contains("17'\u{a0}2\u{a0}1/8\""),
        "{}",
        drawn(&own)
    );
    assert!(own.contains(words::IN_MM));
    let (_, other) = room.ask(ask("/room", format!("{session}; stillroom-lengths=mm"))).await;
    assert!(other.contains("value=\"4232\"") && drawn(&other).contains(">5236\u{a0}"), "{}", drawn(&other));
    // The switch turns what is seen: away from the file's unit the first time.
    let turn = Request::post("/lengths")
        .header("host", HOST)
        .header("origin", format!("http://{HOST}"))
        .header("cookie", &session)
        .header("content-type", "application/x-www-form-urlencoded")
        .body(Body::from(url_encoded(&[("page", "/room")])))
        .unwrap();
    let turned = room.router.clone().oneshot(turn).await.unwrap();
    let kept = turned.headers().get("set-cookie").unwrap().to_str().unwrap();
    assert!(kept.starts_with("stillroom-lengths=mm;"), "{kept}");
    // Nothing without a unit is left in millimetres beside the lengths.
    for address in ["/room", "/built", "/ceiling", "/fabric", "/order", "/steps"] {
        let (_, page) = room.ask(ask(address, session.clone())).await;
        assert!(!page.contains("\u{a0}mm<") && !page.contains(", mm<"), "{address}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_bar_said_to_be_fixed_is_written_as_a_reading() {
    let room = Room::new("fixed");
    room.wait_until_idle().await;
    let version = room.version().await;
    let (_, page) = room.get("/ceiling?bar=5&off=180").await;
    assert!(page.contains("boxed") && page.contains("off its mark"), "a breach is told");
    let (status, _) = room
        .post("/fixed", &[("version", &version), ("page", "/ceiling"), ("bar", "5"), ("off", "20")])
        .await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let text = room.text();
    assert!(text.starts_with(DEMO) && text.contains("[[as_built.bar]]\nbar = 5\n"), "{text}");
}
