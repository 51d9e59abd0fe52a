//! Readings of the phone brought to the page by a browser without scripts; lengths without a mark on a page in feet.

use axum::{
    body::Body,
    http::{Request, StatusCode},
};

use super::{
    DEMO, HOST, Room,
    measured::{BOUNDARY, multipart},
};

impl Room {
    async fn bring(&self, readings: &str, more: &[(&str, &str)]) -> (StatusCode, String) {
        let version = self.version().await;
        let fields: Vec<(&str, &str)> =
            std::iter::once(("version", version.as_str())).chain(more.iter().copied()).collect();
        let body = multipart(&fields, &[("readings", "readings.toml", readings.as_bytes())]);
        let request = Request::post("/readings")
            .header("host", HOST)
            .header("origin", format!("http://{HOST}"))
            .header("cookie", format!("stillroom-4321={}", self.token))
            .header("content-type", format!("multipart/form-data; boundary={BOUNDARY}"))
            .body(Body::from(body));
        self.ask(request.unwrap()).await
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn readings_are_taken_in_once_and_only_those_of_this_layout() {
    let room = Room::new("readings");
    room.wait_until_idle().await;
    for (wrong, sentence) in [
        ("", "Choose the file"),
        ("Tuesday, by the door", "no readings"),
        ("\u{0}RIFF", "no readings"),
        ("format = 2\n", "carry no stamp"),
    ] {
        let (status, page) = room.bring(wrong, &[]).await;
        assert!(status == StatusCode::OK && page.contains(sentence), "{wrong}: {page}");
    }
    let (status, page) = room.bring(&"#".repeat(3 << 20), &[]).await;
    assert!(status == StatusCode::OK && page.contains("larger than any file of readings"), "{status}");
    let other = "format = 2\nroom = \"Percussion room\"\nstamp = \"AAAA-BBBB\"\n\n[[as_built.clip]]\nclip = 1\nread = \"K-1\"\n";
    let (_, page) = room.bring(other, &[]).await;
    assert!(page.contains("AAAA-BBBB") && page.contains("tick the box below"), "{page}");
    assert!(page.contains("name=\"anyway\""));
    assert_eq!(room.text(), DEMO);

    assert_eq!(room.bring(other, &[("anyway", "on")]).await.0, StatusCode::SEE_OTHER);
    let taken = room.text();
    assert!(taken.starts_with(DEMO) && taken.contains("[[as_built.clip]]\nclip = 1"), "{taken}");
    let (_, page) = room.get("/steps").await;
    assert!(page.contains("1 entry taken in.") && page.contains("on its mark"), "{page}");
    let version = room.version().await;
    room.post("/undo", &[("version", &version)]).await;
    assert_eq!(room.text(), DEMO);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_length_without_a_mark_is_told_on_a_page_in_feet() {
    let feet = DEMO.replacen("[project]\n", "[project]\nlengths = \"feet and inches\"\n", 1);
    let room = Room::with("bare", &feet);
    room.wait_until_idle().await;
    let told = |page: &str| page.contains("it was taken as millimetres");
    for (typed, bare) in [("13' 11\"", false), ("4236", true)] {
        let version = room.version().await;
        let fields =
            [("version", version.as_str()), ("page", "/room"), ("n:survey.tape[2].ceiling_mm", typed)];
        assert_eq!(room.post("/set", &fields).await.0, StatusCode::SEE_OTHER);
        assert_eq!(told(&room.get("/room").await.1), bare, "{typed}");
    }
    assert!(room.text().contains("ceiling_mm = 4236"));
}

#[tokio::test(flavor = "multi_thread")]
async fn the_ceiling_shows_how_to_go_on_and_a_tick_hides_no_hold_point() {
    let room = Room::with("going-on", DEMO);
    room.wait_until_idle().await;
    assert!(!room.get("/ceiling").await.1.contains("show=as-built"));
    let held = "\n[[as_built.step]]\nstep = \"Strip and look\"\ndone = true\n\n[[as_built.hold]]\nstep = \"Strip and look\"\nmeasured = \"25 %\"\nwithin = false\n";
    let bar = "\n[[as_built.bar]]\nbar = 10\nwall = \"C-D\"\nat_mm = 130\n";
    let hung = Room::with("going-on-hung", &format!("{DEMO}{bar}{held}"));
    hung.wait_until_idle().await;
    assert!(hung.get("/ceiling").await.1.contains("show=as-built"), "{}", hung.get("/ceiling").await.1);
    let (_, page) = hung.get("/ceiling?show=as-built").await;
    assert!(page.contains("How to go on") && page.contains("What was found"), "{page}");
    assert!(page.contains("Bar 10 stays where it is"), "{page}");
    let (_, steps) = hung.get("/steps").await;
    assert!(steps.contains("ticked, but its hold point is out"), "{steps}");
}
