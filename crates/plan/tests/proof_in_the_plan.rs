//! What measuring shows in the plan: the comparison, the fault, the verdict that is measured, and the plan that starts from it.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at what it did not expect")]

use plan::{
    Plan, Project,
    outcome::{Standing, proof::ProofOutcome},
    project::{Fault, Recorded},
    read,
};
use proof::{BandLevels, MeasuredLevels};

const PROVED: &str = include_str!("../../../examples/percussion-room-proved/room.toml");

fn project(text: &str) -> Project {
    let (project, found) = read(text, "room.toml");
    project.unwrap_or_else(|| panic!("{found:?}"))
}

fn planned(text: &str) -> Plan {
    plan::plan(&project(text)).unwrap()
}

fn proof_of(plan: &Plan) -> &ProofOutcome {
    plan.proof.as_ref().unwrap()
}

fn level(plan: &Plan, receiver: &str) -> f64 {
    plan.heard.iter().find(|one| one.receiver == receiver && one.governs).unwrap().heard.level_dba.median_db
}

/// The example's door was given a seal that leaves 2.6 mm open: the program, which is not told, finds it, its size within a factor of two.
#[test]
fn the_fault_of_the_example_is_found() {
    let plan = planned(PROVED);
    let proof = proof_of(&plan);
    assert_eq!(proof.differences.len(), 3);
    assert!(proof.not_judged.is_empty(), "{:?}", proof.not_judged);
    let diagnosis = proof.diagnosis.as_ref().unwrap();
    let first = &diagnosis.explanations[0];
    assert_eq!(first.name, "the seal of the door does not close", "{:#?}", diagnosis.explanations);
    let size = first.size.as_ref().unwrap();
    assert!(size.median > 1.3 && size.median < 5.2, "{size:?}");
    assert!(matches!(first.fault, Some(Fault::Seal { .. })));
    assert!(!diagnosis.fits_nothing && first.fit > 0.05, "{}", first.fit);
    let gain = first.gains.iter().find(|gain| gain.receiver == "garden fence").unwrap();
    assert!(gain.gain_dba > 0.0, "{gain:?}");
    assert!(diagnosis.sentence.contains("the seal of the door"), "{}", diagnosis.sentence);
}

#[test]
fn a_verdict_that_was_measured_says_so() {
    let plan = planned(PROVED);
    let fence = plan.verdicts.iter().find(|one| one.about == "garden fence").unwrap();
    assert!(fence.meaning.starts_with("measured: "), "{}", fence.meaning);
    let inside = plan.verdicts.iter().find(|one| one.about == "inside the room").unwrap();
    assert!(!inside.meaning.contains("measured"), "{}", inside.meaning);
    assert!(
        plan.findings.iter().any(|one| one.standing == Standing::Fails && one.sentence.contains("paper")
            || one.sentence.contains("seal of the door"))
    );
    for one in &proof_of(&plan).differences {
        assert_eq!(one.bands.len(), 21);
        assert!(one.bands.iter().all(|band| band.planned_lower_db <= band.planned_db
            && band.planned_db <= band.planned_upper_db
            && band.deviation_db > 0.5));
    }
}

/// With the fault kept, what is planned is what was measured, and nothing more is found.
#[test]
fn a_kept_fault_is_planned_with() {
    let kept = format!("{PROVED}\n[[as_proved.fault]]\nkind = \"seal\"\nelement = \"door\"\nopen_mm = 2.6\n");
    let (before, after) = (planned(PROVED), planned(&kept));
    assert!(level(&after, "bedroom window") >= level(&before, "bedroom window"));
    let door = |plan: &Plan| {
        let heard = plan.heard.iter().find(|one| one.receiver == "garden fence" && one.governs).unwrap();
        heard.heard.shares.iter().find(|share| share.name == "door seal").unwrap().share_dba
    };
    assert!(door(&after) > door(&before));
    let proof = proof_of(&after);
    assert_eq!(proof.as_proved.len(), 1);
    let first = &proof.diagnosis.as_ref().unwrap().explanations[0];
    assert_eq!(first.size, None, "{first:#?}");
}

/// Each kind of fault makes the room worse where it is heard, and none makes it better.
#[test]
fn every_kind_of_fault_lets_more_through() {
    let demo = include_str!("../../../examples/percussion-room/room.toml");
    let whole = planned(demo);
    for (fault, receiver) in [
        ("kind = \"gap\"\nelement = \"B-C\"\narea_mm2 = 3000", "garden fence"),
        ("kind = \"seal\"\nelement = \"window\"\nopen_mm = 3", "garden fence"),
        ("kind = \"bridged-clips\"\ncount = 40", "bedroom window"),
        ("kind = \"missing-fill\"\nelement = \"ceiling\"\nshare_percent = 100", "bedroom window"),
        ("kind = \"panes\"\nelement = \"window\"\ndepth_mm = 12", "garden fence"),
        ("kind = \"weak-wall\"\nelement = \"B-C\"\nloss_db = 15", "garden fence"),
        ("kind = \"flanking\"\nreceiver = \"front workshop\"\nloss_db = 20", "front workshop"),
        ("kind = \"air-path\"\nvent = \"air path\"\nloss_db = 25", "bedroom window"),
    ] {
        let faulty = planned(&format!("{demo}\n[[as_proved.fault]]\n{fault}\n"));
        let (was, is) = (level(&whole, receiver), level(&faulty, receiver));
        assert!(is > was + 0.05, "{fault}: {was} {is}");
        assert!(proof_of(&faulty).diagnosis.is_none() && proof_of(&faulty).as_proved.len() == 1);
    }
}

/// Recordings come in as levels; one chain is compared with itself, two with each other are not.
#[test]
fn recordings_are_compared_within_one_chain() {
    let demo = include_str!("../../../examples/percussion-room/room.toml");
    let text = format!(
        "{demo}\n[[measurement]]\nwhat = \"inside\"\nfile = \"in.wav\"\nchain = \"phone\"\n\n[[measurement]]\nwhat = \"receiver\"\nreceiver = \"garden fence\"\nfile = \"out.wav\"\nchain = \"phone\"\n"
    );
    let recorded = |chains: [&str; 2]| {
        let levels = |level_db: f64, chain: &str| MeasuredLevels {
            bands: BandLevels::from_fn(|band| Some(level_db - band.index() as f64)),
            calibrated: false,
            chain: Some(chain.to_owned()),
        };
        vec![
            Recorded { measurement: 0, levels: levels(-20.0, chains[0]) },
            Recorded { measurement: 1, levels: levels(-70.0, chains[1]) },
        ]
    };
    let same = project(&text).with_levels(recorded(["phone", "phone"]));
    assert_eq!(same.recordings().count(), 2);
    let plan = plan::plan(&same).unwrap();
    let one = &proof_of(&plan).differences[0];
    assert!(one.background_unknown);
    assert!(one.bands.iter().all(|band| (band.difference_db - 50.0).abs() < 1e-9));
    let other = plan::plan(&project(&text).with_levels(recorded(["phone", "meter"]))).unwrap();
    assert!(proof_of(&other).differences.is_empty());
    assert!(proof_of(&other).not_judged[0].contains("different chains"), "{:?}", proof_of(&other).not_judged);
}

/// Before and after: what the work has gained, band by band and as one number.
#[test]
fn the_gain_of_the_work_is_told() {
    let demo = include_str!("../../../examples/percussion-room/room.toml");
    let table = |what: &str, when: &str, level: f64| {
        let receiver = if what == "receiver" { "receiver = \"garden fence\"\n" } else { "" };
        let levels: Vec<String> = bands::Band::range(50.0, 5000.0)
            .map(|band| format!("\"{}\" = {level}", band.nominal()))
            .collect();
        format!(
            "[[measurement]]\nwhat = \"{what}\"\nwhen = \"{when}\"\n{receiver}levels = {{ {} }}\n\n",
            levels.join(", ")
        )
    };
    let text = [
        demo.to_owned() + "\n",
        table("inside", "before", 95.0),
        table("receiver", "before", 65.0),
        table("inside", "after", 97.0),
        table("receiver", "after", 52.0),
    ]
    .concat();
    let plan = planned(&text);
    let one = &proof_of(&plan).differences[0];
    assert!(one.bands.iter().all(|band| (band.gain_db.unwrap() - 15.0).abs() < 1e-9));
    let (gain, deviation) = one.against_sound.as_ref().unwrap().gain_dba.unwrap();
    assert!((gain - 15.0).abs() < 1e-6 && deviation > 0.3 && deviation < 2.0, "{gain} {deviation}");
    assert!(one.sentence.contains("The work has gained 15\u{00A0}dB (±"), "{}", one.sentence);
    let listened = plan::versions::listen_at(&project(&text), &plan);
    let fence = listened.iter().find(|one| one.receiver == "garden fence").unwrap();
    let ids: Vec<&str> = fence.versions.iter().map(|version| version.id).collect();
    assert_eq!(ids, ["today", "planned", "better"]);
    assert!(fence.versions[0].name.contains("measured before"));
    assert!(fence.versions[1].level_dba >= fence.versions[2].level_dba);
}

/// Without any measurement the room without its new ceiling stands for today; it is louder outside.
#[test]
fn today_is_the_room_without_its_ceiling() {
    let demo = include_str!("../../../examples/percussion-room/room.toml");
    let project = project(demo);
    let plan = plan::plan(&project).unwrap();
    assert_eq!(plan.proof, None);
    for place in plan::versions::listen_at(&project, &plan) {
        let levels: Vec<f64> = place.versions.iter().map(|version| version.level_dba).collect();
        assert!(levels.windows(2).all(|pair| pair[0] >= pair[1] - 1e-9), "{}: {levels:?}", place.receiver);
        assert!(place.versions.iter().all(|version| version.difference_db.is_finite()));
    }
}

/// Measurements that say little, or nothing that can be, are judged or told; no number is lost.
#[test]
fn odd_measurements_are_judged_or_told() {
    let demo = include_str!("../../../examples/percussion-room/room.toml");
    let table = |what: &str, keys: &str, levels: &str| {
        let receiver = if what == "inside" { "" } else { "receiver = \"garden fence\"\n" };
        format!("[[measurement]]\nwhat = \"{what}\"\n{receiver}{keys}levels = {{ {levels} }}\n\n")
    };
    let one = "\"1000\" = 90";
    let quiet = "\"1000\" = 20";
    for (tables, judged) in [
        (vec![table("inside", "", one), table("receiver", "", quiet)], true),
        // Louder outside than inside, as far as a meter goes.
        (vec![table("inside", "", "\"1000\" = -20"), table("receiver", "", "\"1000\" = 150")], true),
        // Hidden in the background, and a background louder than the sound.
        (
            vec![
                table("inside", "", one),
                table("receiver", "", quiet),
                table("background", "", "\"1000\" = 60"),
            ],
            true,
        ),
        (vec![table("inside", "", one), table("receiver", "", "\"500\" = 20")], false),
        (vec![table("receiver", "", quiet)], false),
        (vec![table("inside", "corner = true\n", one), table("receiver", "", quiet)], false),
        (vec![table("inside", "", "\"25\" = 90"), table("receiver", "", "\"25\" = 60")], true),
    ] {
        let plan = planned(&format!("{demo}\n{}", tables.concat()));
        let proof = proof_of(&plan);
        assert_eq!(proof.differences.len(), usize::from(judged), "{tables:?} {:?}", proof.not_judged);
        assert_eq!(proof.not_judged.is_empty(), judged, "{tables:?} {:?}", proof.not_judged);
        let json = serde_json::to_string(proof).unwrap();
        for key in
            ["probability", "difference_db", "planned_db", "measured_dba", "level_dba", "fit", "median"]
        {
            assert!(!json.contains(&format!("\"{key}\":null")), "{key} in {json}");
        }
    }
}
