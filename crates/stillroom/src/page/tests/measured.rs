//! Recordings and typed levels brought to the page: what is written, what is refused, what stays.

use std::fs;

use axum::{
    body::Body,
    http::{Request, StatusCode},
};

use super::{DEMO, HOST, Room};

pub(super) const BOUNDARY: &str = "----stillroom-test";
/// Name of a part, name of its file, its bytes.
pub(super) type Part<'a> = (&'a str, &'a str, &'a [u8]);

/// Some seconds of noise at a level, as a WAV file.
fn noise(amplitude: f64) -> Vec<u8> {
    let mut state = 7_u32;
    let samples: Vec<i32> = (0..48_000 * 6)
        .map(|_| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (amplitude * (f64::from(state >> 8) - 8_388_608.0)) as i32
        })
        .collect();
    let about = proof::hear::About { title: "noise".to_owned(), comment: String::new() };
    proof::hear::wav::write(&samples, 48_000, &about).unwrap()
}

pub(super) fn multipart(fields: &[(&str, &str)], files: &[Part<'_>]) -> Vec<u8> {
    let mut body = Vec::new();
    for (name, value) in fields {
        let part =
            format!("--{BOUNDARY}\r\ncontent-disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n");
        body.extend(part.bytes());
    }
    for (name, called, bytes) in files {
        let head = format!(
            "--{BOUNDARY}\r\ncontent-disposition: form-data; name=\"{name}\"; filename=\"{called}\"\r\ncontent-type: audio/wav\r\n\r\n"
        );
        body.extend(head.bytes());
        body.extend(*bytes);
        body.extend(b"\r\n");
    }
    body.extend(format!("--{BOUNDARY}--\r\n").bytes());
    body
}

impl Room {
    async fn send(&self, fields: &[(&str, &str)], files: &[Part<'_>]) -> (StatusCode, String) {
        let request = Request::post("/measured")
            .header("host", HOST)
            .header("origin", format!("http://{HOST}"))
            .header("cookie", format!("stillroom-4321={}", self.token))
            .header("content-type", format!("multipart/form-data; boundary={BOUNDARY}"))
            .body(Body::from(multipart(fields, files)));
        self.ask(request.unwrap()).await
    }

    /// Names of what lies beside the room file.
    fn stored(&self) -> Vec<String> {
        let Ok(entries) = fs::read_dir(self.folder.join("recordings")) else { return Vec::new() };
        let mut names: Vec<String> =
            entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }
}

const CHAIN: (&str, &str) = ("chain", "phone, gain fixed");

#[tokio::test(flavor = "multi_thread")]
async fn recordings_are_stored_under_our_own_names_and_compared() {
    let room = Room::new("recordings");
    let inside = [("what", "inside"), ("when", "after"), CHAIN, ("position", "by the door")];
    let (status, page) =
        room.send(&inside, &[("recording", "../../../etc/cron.d/evil.wav", &noise(0.5))]).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    let fence = [("what", "receiver"), ("when", "after"), ("receiver", "garden fence"), CHAIN];
    let two: [Part<'_>; 2] = [("recording", "a.mp3", &noise(0.002)), ("recording", "a.mp3", &noise(0.0021))];
    assert_eq!(room.send(&fence, &two).await.0, StatusCode::SEE_OTHER);
    let names =
        ["after-inside-1.wav", "after-receiver-garden-fence-1.wav", "after-receiver-garden-fence-2.wav"];
    assert_eq!(room.stored(), names);
    assert!(!room.folder.join("evil.wav").exists());
    let text = room.text();
    assert!(text.starts_with(DEMO), "what stood in the file stays, comments too");
    assert_eq!(text.matches("[[measurement]]").count(), 3);
    assert!(text.contains("file = \"recordings/after-receiver-garden-fence-2.wav\"\n"), "{text}");
    room.wait_until_idle().await;
    let (_, page) = room.get("/proof").await;
    assert!(
        page.contains("What explains it") && page.contains("Measured and planned difference, garden fence"),
        "{page}"
    );
    assert!(
        page.contains("came as evil.wav") && !page.contains("cron.d"),
        "its sender's name is told and leads nowhere"
    );
    // Taken out again, and back by undo.
    let version = room.version().await;
    let entry = [("version", version.as_str()), ("page", "/proof"), ("entry", "measurement[2]")];
    assert_eq!(room.post("/forget", &entry).await.0, StatusCode::SEE_OTHER);
    assert_eq!(room.text().matches("[[measurement]]").count(), 2);
    let version = room.version().await;
    room.post("/undo", &[("version", &version)]).await;
    assert_eq!(room.text(), text);
    // Nothing else can be taken out by that way.
    let version = room.version().await;
    let entry = [("version", version.as_str()), ("page", "/proof"), ("entry", "survey.tape[0]")];
    room.post("/forget", &entry).await;
    assert_eq!(room.text(), text);
}

#[tokio::test(flavor = "multi_thread")]
async fn the_wrong_thing_is_refused_with_a_sentence_and_leaves_nothing() {
    let room = Room::new("wrong-things");
    let inside = [("what", "inside"), ("when", "after"), CHAIN];
    let cut = &noise(0.5)[..30];
    let silent = noise(0.0);
    for (called, bytes, said) in [
        ("notes.wav", b"Tuesday: measured by the door.".as_slice(), "text"),
        ("photo.wav", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x01".as_slice(), "no WAV"),
        ("song.wav", b"ID3\x04\0\0\0\0\0\0\0\0\0\0\0\0".as_slice(), "lossy"),
        ("empty.wav", b"".as_slice(), "empty"),
        ("cut.wav", cut, "damaged"),
        ("silent.wav", silent.as_slice(), "was not taken"),
    ] {
        let (status, page) = room.send(&inside, &[("recording", called, bytes)]).await;
        let sentence =
            page.split("role=\"alert\">").nth(1).map(|rest| rest.split('<').next().unwrap_or_default());
        let sentence = sentence.unwrap_or_default();
        assert_eq!(status, StatusCode::OK);
        assert!(sentence.contains(called) && sentence.contains(said), "{called}: {sentence}");
        assert!(page.contains("value=\"phone, gain fixed\""), "what was typed stays");
        assert_eq!((room.text().as_str(), room.stored().len()), (DEMO, 0), "{called}");
    }
    // One good recording beside a bad one: neither is kept.
    let both: [Part<'_>; 2] =
        [("recording", "good.wav", &noise(0.5)), ("recording", "bad.wav", b"bad, bad, bad text")];
    let (_, page) = room.send(&inside, &both).await;
    assert!(page.contains("bad.wav") && room.stored().is_empty() && room.text() == DEMO);
    // One that is too large is read to its end, so that the sentence arrives, and thrown away.
    let large = vec![0_u8; 3 * 1024 * 1024];
    let (_, page) = room.send(&inside, &[("recording", "long.wav", &large)]).await;
    assert!(page.contains("is larger than 200 MB") && room.stored().is_empty());
    for (fields, said) in [
        (vec![("what", "receiver"), ("when", "after")], "at which place"),
        (vec![("what", "elsewhere"), ("when", "after")], "what was measured"),
        (vec![("what", "inside"), ("when", "after")], "Choose a recording"),
        (vec![("what", "inside"), ("when", "after"), ("l:100", "loud")], "is no number"),
        (vec![("what", "inside"), ("when", "after"), ("l:100", "900")], "150"),
        (
            vec![("what", "receiver"), ("when", "after"), ("receiver", "the moon"), ("l:100", "50")],
            "the moon",
        ),
    ] {
        let (_, page) = room.send(&fields, &[]).await;
        assert!(
            page.contains(said),
            "{said}: {}",
            page.split("role=\"alert\"").nth(1).unwrap_or_default().get(..300).unwrap_or_default()
        );
        assert_eq!(room.text(), DEMO);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn levels_of_a_meter_are_typed() {
    let room = Room::new("typed");
    let fields =
        [("what", "inside"), ("when", "before"), ("l:100", "97,4"), ("l:1000", " 95.7 "), ("l:50", "")];
    assert_eq!(room.send(&fields, &[]).await.0, StatusCode::SEE_OTHER);
    let text = room.text();
    assert!(
        text.starts_with(DEMO) && text.contains("when = \"before\"\nlevels = { 100 = 97.4, 1000 = 95.7 }"),
        "{text}"
    );
}

#[cfg(unix)]
#[tokio::test(flavor = "multi_thread")]
async fn a_full_disk_and_a_folder_that_cannot_be_written_lose_nothing() {
    let room = Room::new("full");
    // The device that is always full stands where the new text is written first.
    let part = room.folder.join(format!("room.toml.{}.part", std::process::id()));
    std::os::unix::fs::symlink("/dev/full", &part).unwrap();
    let version = room.version().await;
    let fields = [("version", version.as_str()), ("page", "/room"), ("n:survey.tape[2].ceiling_mm", "4236")];
    let (_, page) = room.post("/set", &fields).await;
    assert!(page.contains("disk full?") && page.contains("value=\"4236\""), "{page}");
    assert_eq!(room.text(), DEMO);
    assert!(!part.exists() && part.symlink_metadata().is_err(), "nothing is left behind");
    // Where the folder of the recordings cannot be made.
    fs::write(room.folder.join("recordings"), "in the way").unwrap();
    let inside = [("what", "inside"), ("when", "after"), CHAIN];
    let (_, page) = room.send(&inside, &[("recording", "a.wav", &noise(0.5))]).await;
    assert!(page.contains("could not be stored") && room.text() == DEMO, "{page}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_recording_outside_the_folder_is_not_listened_to() {
    let text =
        format!("{DEMO}\n[[measurement]]\nwhat = \"inside\"\nchain = \"phone\"\nfile = \"../secret.wav\"\n");
    let room = Room::with("outside", &text);
    fs::write(room.folder.join("../secret.wav"), noise(0.5)).unwrap();
    room.wait_until_idle().await;
    let (_, page) = room.get("/proof").await;
    let _ = fs::remove_file(room.folder.join("../secret.wav"));
    assert!(page.contains("leads out of the folder"), "{page}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_field_that_never_ends_is_no_field() {
    let room = Room::new("endless");
    let endless = "x".repeat(1 << 20);
    let fields = [("what", "inside"), ("when", "after"), CHAIN, ("position", endless.as_str())];
    let (status, _) = room.send(&fields, &[("recording", "a.wav", &noise(0.5))]).await;
    assert_ne!(status, StatusCode::SEE_OTHER);
    assert_eq!(room.text(), DEMO);
    assert_eq!(room.stored(), [] as [String; 0]);
}

#[tokio::test(flavor = "multi_thread")]
async fn the_decay_of_the_room_itself_can_be_entered() {
    let room = Room::new("own-decay");
    let fields =
        [("what", "decay"), ("when", "after"), ("receiver", ""), ("l:500", "0.4"), ("l:1000", "0.5")];
    let (status, page) = room.send(&fields, &[]).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    let text = room.text();
    assert!(text.contains("what = \"decay\"") && !text.contains("receiver = \"\""), "{text}");
}
