//! Room files with one mistake each: a clear sentence of what is wrong and what to do, at the right line, and never
//! a panic.

mod keys;
mod measurements;
mod rooms;
mod sound;
mod texts;

use plan::Severity;

const ROOM: &str = include_str!("../rooms/workshop.toml");

struct Mistake {
    /// What is changed in the room, at the first place it stands.
    from: &'static str,
    /// What then stands there.
    to: &'static str,
    /// Text whose first place is in the line that must be pointed at.
    at: &'static str,
    /// All that must be said.
    says: &'static str,
}

fn mistakes() -> impl Iterator<Item = &'static Mistake> {
    [keys::MISTAKES, measurements::MISTAKES, rooms::MISTAKES, sound::MISTAKES, texts::MISTAKES]
        .into_iter()
        .flatten()
}

#[test]
fn every_mistake_gets_its_sentence_at_its_line() {
    let mut wrong = Vec::new();
    for mistake in mistakes() {
        assert!(ROOM.contains(mistake.from), "the room has no {:?}", mistake.from);
        let text = ROOM.replacen(mistake.from, mistake.to, 1);
        let (project, found) = plan::read(&text, "room.toml");
        let said: Vec<String> = found
            .iter()
            .map(|d| {
                format!("{} {}", d.message, d.help.as_deref().expect("every diagnostic says what to do"))
            })
            .collect();
        let place = text.find(mistake.at).expect("the line to point at");
        let line = text[..place].matches('\n').count() + 1;
        let said_line = found.first().map(|d| d.line);
        if said.join("\n") != mistake.says || said_line != Some(line) {
            wrong.push(format!(
                "{:?} to {:?}\n  line {line}, said {said_line:?}\n  {}",
                mistake.from,
                mistake.to,
                said.join("\n  ")
            ));
        }
        let any_error = found.iter().any(|d| d.severity == Severity::Error);
        assert_eq!(project.is_none(), any_error, "{:?}", mistake.to);
        for label in found.iter().flat_map(|d| &d.labels) {
            assert!(text.get(label.span.clone()).is_some(), "span {:?} of {:?}", label.span, mistake.to);
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(mistakes().count() >= 100);
}

#[test]
fn many_mistakes_are_all_told_in_one_run() {
    let changes = [
        ("headroom_mm = 2250", "headrom_mm = 2250"),
        ("lift_kg = 40", "lift_kg = \"40\""),
        ("floor_mm = 5233", "floor_mm = 5.233"),
        ("ceiling_mm = 4232\n", ""),
        ("wall = \"C-D\"\ngap_mm", "wall = \"A-D\"\ngap_mm"),
        ("kind = \"cold-flat\"", "kind = \"cold\""),
        ("name = \"J2\"", "name = \"J1\""),
        ("from_mm = 5086", "from_mm = 5486"),
        ("material = \"osb-18\"", "material = \"osb-81\""),
        ("material = \"brick-102\"", "material = \"brick\""),
        ("width_mm = 1180", "width_mm = 4180"),
        ("kind = \"door\"", "kind = \"gate\""),
        ("hole_mm = 12\n", ""),
        ("kind = \"drum-kit\"", "kind = \"drumkit\""),
        ("distance_m = 6\n", "distance_m = 0\n"),
        ("walls = [\"B-C\", \"C-D\"]", "walls = [\"B-C\", \"X\"]"),
        ("people = 3", "people = 2.5"),
        ("temperature_c = [4.2, 4.4,", "temperature_c = [4.2,"),
        ("kerf_mm = 3", "kerf_mm = -3"),
        ("price = 6.40", "price = -6.40"),
    ];
    let mut text = ROOM.to_owned();
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replacen(from, to, 1);
    }
    let (project, found) = plan::read(&text, "room.toml");
    assert!(project.is_none());
    let said: Vec<String> = found.iter().map(ToString::to_string).collect();
    assert_eq!(found.len(), changes.len(), "{}", said.join("\n"));
    assert!(found.is_sorted_by_key(|d| d.line));
}
