//! One point of a front put into the room file.

use crate::{
    choosing::{Changes, as_planned, field::pattern, offers::offers, prices::Prices},
    outcome::Plan,
    project::Project,
};

/// The text of a room file with a choice in it, read again and held against what was chosen. `changes` are written as a front has them,
/// `element: candidate`; what stays as it is needs none.
///
/// # Errors
/// Where a change is not on offer (any more), or the file cannot be changed; a sentence.
pub fn adopt(project: &Project, plan: &Plan, text: &str, changes: &[String]) -> Result<String, String> {
    let lined = as_planned(project);
    let offered = offers(&lined, plan, pattern(plan), &Prices::new(&lined), &mut Vec::new());
    let mut each = Vec::new();
    for change in changes {
        let found = offered.iter().find_map(|element| {
            let own = change.strip_prefix(element.name.as_str())?.strip_prefix(": ")?;
            let offer = element.proposals.iter().find(|offer| offer.proposal.name == own)?;
            Some((element.slot, offer.proposal.change.clone()))
        });
        each.push(found.ok_or_else(|| {
            format!("\u{201c}{change}\u{201d} is not on offer for the room as it stands now. Choose again.")
        })?);
    }
    Changes { each }.written(text, project).map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at what it did not expect")]

    use super::*;

    const DEMO: &str = include_str!("../../../../examples/percussion-room/room.toml");

    #[test]
    fn what_is_on_offer_can_be_adopted_and_nothing_else() {
        let (project, found) = crate::read(DEMO, "room.toml");
        let project = project.unwrap_or_else(|| panic!("{found:?}"));
        let plan = crate::plan(&project).unwrap();
        let lined = as_planned(&project);
        let offered = offers(&lined, &plan, pattern(&plan), &Prices::new(&lined), &mut Vec::new());
        let mut tried = 0;
        for element in &offered {
            let count = element.proposals.len();
            // A few of each element: the first, the last, and some between.
            for at in [1, 2, count / 3, count / 2, count.saturating_sub(1)] {
                let Some(offer) = element.proposals.get(at).filter(|_| at > 0) else { continue };
                let change = format!("{}: {}", element.name, offer.proposal.name);
                let text = adopt(&project, &plan, DEMO, std::slice::from_ref(&change)).unwrap();
                assert!(text.contains("# "), "comments stay");
                assert_ne!(text, DEMO, "{change}");
                tried += 1;
            }
        }
        assert!(tried > 20, "{tried}");
        let channels = "ceiling: plasterboard 12.5 mm, springy channels".to_owned();
        let text = adopt(&project, &plan, DEMO, std::slice::from_ref(&channels)).unwrap();
        let plan_of = |text: &str| crate::plan(&crate::read(text, "room.toml").0.unwrap()).unwrap();
        // A ceiling that hangs on no clips has none to set out: nothing fails for that.
        let said =
            plan_of(&text).findings.into_iter().find(|one| one.sentence.contains("nothing to set out"));
        assert_eq!(said.unwrap().standing, crate::outcome::Standing::Open);
        let gone = adopt(&project, &plan, DEMO, &["ceiling: of gold".to_owned()]).unwrap_err();
        assert!(gone.contains("not on offer"), "{gone}");
    }

    /// Each of several options of one build-up has a name of its own, and adopting it puts that one into the file.
    #[test]
    fn options_of_one_build_up_are_told_apart() {
        let option = |more: &str| format!("\n[[option]]\nelement = \"door\"\nbuildup = \"door\"\n{more}\n");
        let text = DEMO.to_owned()
            + &option("price = 70\nseal = \"compression-seal\"")
            + &option("price = 90\nseal = \"double-compression-seal\"")
            + &option("price = 95\nseal = \"double-compression-seal\"\nsteps = 2");
        let (project, found) = crate::read(&text, "room.toml");
        let project = project.unwrap_or_else(|| panic!("{found:?}"));
        let plan = crate::plan(&project).unwrap();
        let lined = as_planned(&project);
        let offered = offers(&lined, &plan, pattern(&plan), &Prices::new(&lined), &mut Vec::new());
        for element in &offered {
            let mut names: Vec<&str> =
                element.proposals.iter().map(|offer| offer.proposal.name.as_str()).collect();
            let all = names.len();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), all, "{}", element.name);
        }
        let door = offered.iter().find(|element| element.name == "door").unwrap();
        let own: Vec<_> = door.proposals.iter().rev().take(3).map(|offer| &offer.proposal).collect();
        assert_eq!(own.iter().map(|one| one.cost).collect::<Vec<_>>(), [95.0, 90.0, 70.0]);
        let adopted = |at: usize| {
            let change = format!("door: {}", own.get(at).unwrap().name);
            adopt(&project, &plan, &text, &[change]).unwrap()
        };
        let seal =
            |text: &str| crate::read(text, "room.toml").0.unwrap().openings.get(1).unwrap().seal.clone();
        assert_eq!(seal(&adopted(1)).unwrap().as_str(), "double-compression-seal");
        assert_eq!(seal(&adopted(2)).unwrap().as_str(), "compression-seal");
    }

    /// A ceiling chosen for any of the examples can be written, hangs as low and has boards as heavy as was reckoned.
    #[test]
    fn a_ceiling_hangs_and_weighs_as_it_was_reckoned() {
        let rooms = [
            DEMO,
            include_str!("../../../../examples/voice-booth/room.toml"),
            include_str!("../../../../examples/garage/room.toml"),
        ];
        let (mut tried, mut on_clips) = (0, 0);
        for room in rooms {
            // Money and lifting ask nothing, so that every sort of board is looked at.
            let (project, found) = crate::read(room, "room.toml");
            let project = project.unwrap_or_else(|| panic!("{found:?}"));
            let plan = crate::plan(&project).unwrap();
            let lined = as_planned(&project);
            let offered = offers(&lined, &plan, pattern(&plan), &Prices::new(&lined), &mut Vec::new());
            let ceiling = offered
                .iter()
                .find(|element| {
                    element.slot
                        == crate::choosing::proposal::Slot::Element(crate::project::ElementId::Ceiling)
                })
                .unwrap();
            let count = ceiling.proposals.len();
            for at in [1, count / 5, 2 * count / 5, 3 * count / 5, 4 * count / 5, count - 1] {
                let Some(offer) = ceiling.proposals.get(at).filter(|_| at > 0) else { continue };
                let proposal = &offer.proposal;
                let change = format!("{}: {}", ceiling.name, proposal.name);
                let text = adopt(&project, &plan, room, std::slice::from_ref(&change))
                    .unwrap_or_else(|error| panic!("{change}: {error}"));
                let adopted = crate::plan(&crate::read(&text, "room.toml").0.unwrap()).unwrap();
                tried += 1;
                let Some(given) = adopted.ceiling.given.filter(|_| proposal.on_clips) else { continue };
                let boards_mm: f64 = given.layers.iter().map(|board| board.thickness_mm).sum();
                let heaviest_kg = given
                    .layers
                    .iter()
                    .map(|board| board.length_mm * board.width_mm * 1e-6 * board.mass_kg_m2)
                    .fold(0.0, f64::max);
                let drop_mm = given.clip.drop_mm + boards_mm;
                assert!(
                    (drop_mm - proposal.drop_mm).abs() < 0.01,
                    "{change}: {drop_mm} {}",
                    proposal.drop_mm
                );
                assert!((heaviest_kg - proposal.lift_kg).abs() < 0.01, "{change}: {heaviest_kg}");
                on_clips += 1;
            }
        }
        assert!(tried > 10 && on_clips > 4, "{tried} {on_clips}");
    }
}
