//! A commented room file to start from.

/// The text of a room file for a plain room of four walls: it reads without a complaint, says in one line what each key
/// means, and marks the numbers to replace with `# your own`.
pub fn starter_text() -> &'static str {
    include_str!("starter.toml")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_starter_reads_without_a_complaint() {
        let (project, found) = crate::read(starter_text(), "room.toml");
        let said: Vec<String> = found.iter().map(ToString::to_string).collect();
        assert!(said.is_empty(), "{}", said.join("\n"));
        assert_eq!(project.map(|p| p.walls.len()), Some(4));
    }

    #[test]
    fn the_numbers_to_replace_are_marked() {
        assert!(starter_text().matches("# your own").count() > 50);
        assert!(starter_text().lines().all(|line| line.chars().count() <= 132));
    }
}
