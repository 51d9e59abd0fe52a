//! Choosing on the page, and listening.

use super::{DEMO, Room};

#[tokio::test(flavor = "multi_thread")]
async fn a_choice_is_made_behind_the_page_and_adopted() {
    // Most is left as it is, so that choosing takes a test no longer than it must.
    let leave = "leave = [\"B-C\", \"C-D\", \"D-E\", \"E-A\", \"window\", \"door\"]";
    let few = format!("{DEMO}\n[choose]\n{leave}\n");
    let room = Room::with("choosing", &few);
    room.wait_until_idle().await;
    let version = room.version().await;
    let form = [("version", version.as_str()), ("page", "/choose")];
    // Stopped, it is as if nobody had asked.
    room.post("/begin-choosing", &form).await;
    assert!(room.get("/choose").await.1.contains("Being chosen"));
    room.post("/stop-choosing", &form).await;
    assert!(!room.get("/choose").await.1.contains("Being chosen"));
    assert_eq!(room.text(), few);
    let without = room.get("/dossier.pdf").await.1.len();
    room.post("/begin-choosing", &form).await;
    room.wait_until_idle().await;
    let (_, page) = room.get("/choose").await;
    // The dossier holds it from now on, and the sheet says so.
    assert!(page.contains("the dossier with this choice in it"));
    // What the terminal says of proof and spread, the sheet says too.
    assert!(page.contains("roved") && page.contains("of 100 draws of source, way and insulation"));
    assert!(room.get("/dossier.pdf").await.1.len() > without + 5000);
    let which =
        page.split("name=\"which\" value=\"").nth(1).unwrap_or_else(|| panic!("nothing to adopt: {page}"));
    let which = which.split('"').next().unwrap();
    let adopt = [("version", version.as_str()), ("page", "/choose"), ("which", which)];
    room.post("/adopt", &adopt).await;
    let adopted = room.text();
    assert!(adopted != few && adopted.contains("# "), "{}", room.get("/choose").await.1);
    assert!(room.get("/choose").await.1.contains("Adopted: the file has it now"));
    // What was chosen for the room before is not adopted into the room after.
    let version = room.version().await;
    let again = [("version", version.as_str()), ("page", "/choose"), ("which", which)];
    let (_, page) = room.post("/adopt", &again).await;
    assert!(page.contains("The room has changed since this was chosen"));
    assert!(!page.contains("the dossier with this choice in it"));
    assert_eq!(room.text(), adopted);
    room.post("/undo", &[("version", &version)]).await;
    assert_eq!(room.text(), few);
    // Undone, the room is the one it was chosen for.
    let (_, page) = room.get("/choose").await;
    assert!(page.contains("the dossier with this choice in it") && !page.contains("Adopted"));
}

#[tokio::test(flavor = "multi_thread")]
async fn every_version_can_be_heard_at_its_true_level() {
    // Without background, so that what is played is the sound alone.
    let lines: Vec<&str> = DEMO.lines().filter(|line| !line.starts_with("background")).collect();
    let quiet = lines.join("\n");
    let room = Room::with("hear", &quiet);
    room.wait_until_idle().await;
    let list = made(&room).await;
    let places = list["places"].as_array().unwrap();
    assert!(!places.is_empty() && list["caution"].as_str().unwrap().contains("volume"));
    for place in places {
        let ids: Vec<&str> =
            place["sounds"].as_array().unwrap().iter().map(|one| one["id"].as_str().unwrap()).collect();
        assert!(ids.starts_with(&["inside", "today", "planned"]), "{ids:?}");
    }
    let (project, _) = plan::read(&quiet, "room.toml");
    let project = project.unwrap();
    let (expected, _) = plan::versions::listen_at(&project, &plan::plan(&project).unwrap());
    let sounds = places[0]["sounds"].as_array().unwrap();
    let mut levels = Vec::new();
    for sound in sounds {
        let request = axum::http::Request::get(sound["address"].as_str().unwrap())
            .header("host", super::HOST)
            .header("cookie", format!("stillroom-4321={}", room.token))
            .body(axum::body::Body::empty());
        let answer = tower::ServiceExt::oneshot(room.router.clone(), request.unwrap()).await.unwrap();
        let bytes = axum::body::to_bytes(answer.into_body(), 64 << 20).await.unwrap();
        let recording = proof::Recording::open(std::io::Cursor::new(bytes.to_vec())).unwrap();
        let (read, _) = proof::hear::Sound::of_recording(recording).unwrap();
        let pa: Vec<f64> = read.samples.iter().map(|sample| f64::from(*sample)).collect();
        levels.push(proof::hear::Pressure { pa, rate_hz: read.rate_hz }.levels());
    }
    // One scale for all: in every band that is heard, a version lies under the inside by what the plan says, to a decibel.
    let mut held = 0;
    for (version, heard) in expected[0].versions.iter().zip(&levels[1..]) {
        for band in bands::Band::range(63.0, 2000.0) {
            let (Some(inside), Some(outside)) = (levels[0].get(band), heard.get(band)) else { continue };
            let difference = version.difference_db.get(band);
            assert!(
                (inside - outside - difference).abs() < 1.0,
                "{}, {} Hz: {} for {difference}",
                version.id,
                band.nominal(),
                inside - outside
            );
            held += 1;
        }
    }
    assert!(held > 30, "{held}");
}

/// The sounds once they are made; how far they have come is told meanwhile, and never less than before.
async fn made(room: &Room) -> serde_json::Value {
    let (_, told) = room.post("/sounds", &[]).await;
    let mut told: serde_json::Value = serde_json::from_str(&told).unwrap();
    let (mut last, mut seen) = (0, 0);
    while told["state"] == "making" {
        let (done, of) = (told["done"].as_u64().unwrap(), told["of"].as_u64().unwrap());
        assert!(last <= done && done <= of, "{done} of {of} after {last}");
        seen += u32::from(of > 0);
        last = done;
        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
        told = serde_json::from_str(&room.get("/sounds").await.1).unwrap();
    }
    assert!(seen > 0, "it was told how far they have come");
    told
}

#[tokio::test(flavor = "multi_thread")]
async fn the_making_of_sounds_can_be_stopped_and_begun_again() {
    let room = Room::new("stop-sounds");
    room.wait_until_idle().await;
    let state = |told: &str| serde_json::from_str::<serde_json::Value>(told).unwrap()["state"].clone();
    assert_eq!(state(&room.get("/sounds").await.1), "none", "nothing is made before somebody asks");
    assert_eq!(state(&room.post("/sounds", &[]).await.1), "making");
    assert_eq!(state(&room.post("/stop-sounds", &[]).await.1), "none");
    tokio::time::sleep(std::time::Duration::from_millis(300)).await;
    assert_eq!(
        state(&room.get("/sounds").await.1),
        "none",
        "what was stopped is not finished behind the page"
    );
    let list = made(&room).await;
    assert!(list["places"].as_array().is_some_and(|places| !places.is_empty()));
    // Made once for a plan.
    assert!(room.post("/sounds", &[]).await.1.contains("\"places\""));
}
