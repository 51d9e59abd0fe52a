//! Choosing on the page, and listening.

use super::{DEMO, Room};

#[tokio::test(flavor = "multi_thread")]
async fn a_choice_is_made_behind_the_page_and_adopted() {
    let room = Room::new("choosing");
    room.wait_until_idle().await;
    let version = room.version().await;
    let form = [("version", version.as_str()), ("page", "/choose")];
    // Stopped, it is as if nobody had asked.
    room.post("/begin-choosing", &form).await;
    assert!(room.get("/choose").await.1.contains("Being chosen"));
    room.post("/stop-choosing", &form).await;
    assert!(!room.get("/choose").await.1.contains("Being chosen"));
    assert_eq!(room.text(), DEMO);
    room.post("/begin-choosing", &form).await;
    room.wait_until_idle().await;
    let (_, page) = room.get("/choose").await;
    assert!(page.contains("What each decibel costs") && page.contains("value=\"front-"), "{page}");
    let which = page.split("value=\"front-").nth(1).unwrap().split('"').next().unwrap();
    let which = format!("front-{which}");
    let adopt = [("version", version.as_str()), ("page", "/choose"), ("which", which.as_str())];
    room.post("/adopt", &adopt).await;
    let adopted = room.text();
    assert!(adopted != DEMO && adopted.contains("chosen-"), "{}", room.get("/choose").await.1);
    // What was chosen for the room before is not adopted into the room after.
    let version = room.version().await;
    let again = [("version", version.as_str()), ("page", "/choose"), ("which", which.as_str())];
    let (_, page) = room.post("/adopt", &again).await;
    assert!(page.contains("The room has changed since this was chosen"));
    assert_eq!(room.text(), adopted);
    room.post("/undo", &[("version", &version)]).await;
    assert_eq!(room.text(), DEMO);
}

#[tokio::test(flavor = "multi_thread")]
async fn every_version_can_be_heard_at_its_true_level() {
    // Without background, so that what is played is the sound alone.
    let quiet: String = DEMO.lines().filter(|line| !line.starts_with("background")).map(|line| format!("{line}\n")).collect();
    let room = Room::with("hear", &quiet);
    room.wait_until_idle().await;
    let (_, list) = room.get("/sounds").await;
    let list: serde_json::Value = serde_json::from_str(&list).unwrap();
    let places = list["places"].as_array().unwrap();
    assert!(!places.is_empty() && list["caution"].as_str().unwrap().contains("volume"));
    for place in places {
        let ids: Vec<&str> = place["sounds"].as_array().unwrap().iter().map(|one| one["id"].as_str().unwrap()).collect();
        assert!(ids.starts_with(&["inside", "today", "planned"]), "{ids:?}");
    }
    let sounds = places[0]["sounds"].as_array().unwrap();
    let mut levels = Vec::new();
    for sound in sounds {
        let address = sound["address"].as_str().unwrap();
        let request = axum::http::Request::get(address)
            .header("host", super::HOST)
            .header("cookie", format!("stillroom-4321={}", room.token))
            .body(axum::body::Body::empty());
        let answer = tower::ServiceExt::oneshot(room.router.clone(), request.unwrap()).await.unwrap();
        let bytes = axum::body::to_bytes(answer.into_body(), 64 << 20).await.unwrap();
        let read = proof::hear::wav::read(&bytes, "sound").unwrap();
        // Levels as they come out of the file, by the same meter as for recordings.
        let pressure = proof::hear::Pressure {
            pa: read.samples.iter().map(|sample| f64::from(*sample)).collect(),
            rate_hz: read.rate_hz,
        };
        let bands = pressure.levels();
        let spectrum = bands::Spectrum::from_fn(|band| bands.get(band).unwrap_or(-200.0));
        let said: f64 = sound["level"].as_str().unwrap().split('\u{a0}').next().unwrap().parse().unwrap();
        levels.push((sound["id"].as_str().unwrap().to_owned(), spectrum.total_a_db(), said));
    }
    // One scale for all: the difference between any two is the one that is stated, in whole decibels.
    let (_, inside, inside_said) = levels[0].clone();
    for (id, level, said) in &levels[1..] {
        let (stated, played) = (inside_said - said, inside - level);
        assert!((stated - played).abs() < 1.5, "{id}: {played} dB under the inside, stated {stated}");
    }
}
