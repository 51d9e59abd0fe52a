//! Edits told in the words of the page, prices that were missing, what goes out in the unit of the page, and what is swept up.

use super::*;

#[tokio::test(flavor = "multi_thread")]
async fn a_number_out_of_range_is_told_with_the_name_of_its_field() {
    let room = Room::new("range");
    for (page, field, typed, called, meant) in [
        ("/room", "n:survey.tape[2].ceiling_mm", "4.232", "at ceiling", "type 4232."),
        ("/heard", "n:receiver[0].limit_dba", "900", "limit in dB(A)", ""),
        ("/order", "n:stock.clip.price", "-3", "price of one", ""),
    ] {
        let version = room.version().await;
        let fields = [("version", version.as_str()), ("page", page), (field, typed)];
        let (_, shown) = room.post("/set", &fields).await;
        let said = shown.split("role=\"alert\">").nth(1).unwrap().split('<').next().unwrap();
        let key = field.rsplit('.').next().unwrap();
        let named = key.contains('_') && said.contains(key);
        assert!(said.contains(called) && said.contains("must lie from"), "{said}");
        assert!(said.contains(meant), "{said}");
        assert!(!named && !said.contains('`'), "the key of the file is not named: {said}");
        assert_eq!(room.text(), DEMO);
    }
    // At a terminal it is the key.
    let text = DEMO.replacen("ceiling_mm = 4232", "ceiling_mm = 4.232", 1);
    let (_, found) = plan::read(&text, "room.toml");
    let said = found.iter().find(|one| one.code == "out-of-range").unwrap();
    assert!(
        said.message.starts_with("`ceiling_mm` cannot be 4.232 mm: it must lie from "),
        "{}",
        said.message
    );
    assert_eq!(said.help.as_deref(), Some("If that was meant in metres, write `ceiling_mm = 4232`."));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_price_that_is_missing_is_given_on_the_order() {
    let room = Room::new("price");
    room.wait_until_idle().await;
    let (_, page) = room.get("/order").await;
    let fields: Vec<&str> =
        page.split("name=\"p:").skip(1).map(|rest| rest.split('"').next().unwrap()).collect();
    assert!(!fields.is_empty(), "the demo has lines without a price");
    let (what, field) = (fields[0], format!("p:{}", fields[0]));
    let version = room.version().await;
    for (typed, sentence) in [("dear", "is no number"), ("-4", "must lie from 0"), ("2,600", "thousands")] {
        let (_, page) =
            room.post("/price", &[("version", &version), ("page", "/order"), (&field, typed)]).await;
        let said = page.split("role=\"alert\">").nth(1).unwrap().split('<').next().unwrap();
        assert!(said.contains(sentence), "{said}");
        assert!(page.contains(&format!("value=\"{typed}\"")), "{typed} stays in its field");
        assert_eq!(room.text(), DEMO);
    }
    let given = [("version", version.as_str()), ("page", "/order"), (field.as_str(), "2,75")];
    assert_eq!(room.post("/price", &given).await.0, StatusCode::SEE_OTHER);
    let text = room.text();
    assert!(text.starts_with(DEMO), "what stood in the file stays, comments too");
    assert!(text.ends_with(&format!("[[stock.price]]\nof = \"{what}\"\nprice = 2.75\n")), "{text}");
    room.wait_until_idle().await;
    let (_, page) = room.get("/order").await;
    assert!(!page.contains(&format!("name=\"{field}\"")), "it is missing no more");
    assert!(
        page.contains("name=\"n:stock.price[0].price\"") && page.contains("value=\"2.75\""),
        "and can be changed"
    );
    // A line the order does not have is refused.
    let version = room.version().await;
    let (_, page) =
        room.post("/price", &[("version", &version), ("page", "/order"), ("p:Moon dust", "1")]).await;
    assert!(page.contains("no such line"), "{page}");
    assert_eq!(room.text(), text);
    room.post("/undo", &[("version", &version)]).await;
    assert_eq!(room.text(), DEMO);
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_taken_away_is_in_the_unit_of_the_page() {
    let room = Room::new("unit");
    room.wait_until_idle().await;
    let (project, _) = plan::read(DEMO, "room.toml");
    let metric = plan::plan(&project.unwrap()).unwrap();
    let mut feet = metric.clone();
    feet.title.lengths = plan::project::LengthsIn::FeetAndInches;
    let written = |plan: &plan::Plan| {
        paper::pdf::write(&sheets::dossier::dossier(plan, &sheets::drawings::drawings(plan))).unwrap()
    };
    for (cookie, plan) in
        [("", &metric), ("; stillroom-lengths=mm", &metric), ("; stillroom-lengths=feet", &feet)]
    {
        let asked = async |address: &str| {
            let request = Request::get(address)
                .header("host", HOST)
                .header("cookie", format!("stillroom-4321={}{cookie}", room.token))
                .body(Body::empty());
            let answer = room.router.clone().oneshot(request.unwrap()).await.unwrap();
            to_bytes(answer.into_body(), 64 << 20).await.unwrap()
        };
        assert!(asked("/dossier.pdf").await == written(plan), "the paper of a page with {cookie:?}");
        assert!(
            asked("/site.html").await == sheets::site::page(plan).as_bytes(),
            "the page for the site with {cookie:?}"
        );
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_a_killed_program_left_is_swept_up_and_nothing_else() {
    let room = Room::new("swept");
    let recordings = room.folder.join("recordings");
    fs::create_dir_all(&recordings).unwrap();
    let long_ago = std::time::SystemTime::now() - std::time::Duration::from_hours(2);
    let files = [
        (room.folder.join("room.toml.4242.part"), true, false),
        (room.folder.join("room.toml.4243.part"), false, true),
        (room.folder.join("film.mkv.4242.part"), true, true),
        (recordings.join("00ff00ff00ff00ff-3.part"), true, false),
        (recordings.join("00ff00ff00ff00fe-3.part"), false, true),
        (recordings.join("fence-1.part"), true, true),
        (recordings.join("after-inside-1.wav"), true, true),
    ];
    for (path, old, _) in &files {
        fs::write(path, "half").unwrap();
        if *old {
            fs::File::options().write(true).open(path).unwrap().set_modified(long_ago).unwrap();
        }
    }
    Desk::open(&room.folder.join("room.toml")).unwrap();
    for (path, _, stays) in &files {
        assert_eq!(path.exists(), *stays, "{}", path.display());
    }
}
