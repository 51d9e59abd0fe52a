//! The usual cautions, each said once at the step where it matters. They defer to local codes and licensed
//! practice.

/// The cautions of some matters, in the order asked for; unknown matters give nothing.
pub fn cautions_of(matters: &[&str]) -> Vec<&'static str> {
    matters.iter().filter_map(|matter| caution(matter)).collect()
}

fn caution(matter: &str) -> Option<&'static str> {
    Some(match matter {
        "electrics" => {
            "Electricity: have circuits made dead and altered by someone licensed for it. A light let into the ceiling \
             is a hole in it and a source of heat under fibre: hang lights from the walls."
        }
        "old materials" => {
            "Old boards, flue linings and roof felt may hold asbestos: have a sample tested before breaking any."
        }
        "structure" => {
            "The joist check here is a guide, not a structural design: a structural engineer confirms the timber, its \
             bearings and the new load before anything is hung from it."
        }
        "mineral fibre" => "Mineral fibre: gloves, long sleeves, goggles and a fine-dust mask.",
        "dust" => {
            "Cutting boards and masonry makes fine dust, some of it silica: extract it, wear a P3 mask and goggles."
        }
        "ladders" => {
            "Work from a platform with a guard rail, not from a ladder, wherever both hands are needed."
        }
        "overhead" => "Overhead work: goggles, and change places often.",
        "metal" => {
            "Cut bars have sharp ends and throw swarf: gloves and goggles; no grinder near fibre or membrane."
        }
        "heavy boards" => {
            "Heavy boards overhead: a board lifter and never fewer than two people; nobody stands under a board that is \
             not screwed."
        }
        "heavy boards on a wall" => {
            "Heavy boards: two people carry and stand each one; nobody lets go of a board that is not screwed."
        }
        "makers figures" => {
            "Clips, bars and screws carry only what their makers state: if a figure is missing from the plan it was not \
             checked."
        }
        "escape" => "A door that seals must still open at once from inside, and the way out stay clear.",
        "air" => {
            "A sealed room needs its air path running whenever someone is in it. No flame, no fuel heater; fit a carbon \
             dioxide meter."
        }
        "hearing" => {
            "Hearing: above 80 dB(A) over a day protect it, above 85 dB(A) always. Drums in a small room are far above both."
        }
        "neighbours" => "Tell the neighbours when you test, and keep it short.",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::cautions_of;

    #[test]
    fn known_matters_have_a_caution_and_unknown_ones_none() {
        assert_eq!(cautions_of(&["hearing", "no such matter", "dust"]).len(), 2);
    }
}
