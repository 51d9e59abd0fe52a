//! What stands on a drawing, out of its groups.

use paper::{Item, Text};

/// All texts among the items, added to `all`.
pub(crate) fn texts<'a>(items: &'a [Item], all: &mut Vec<&'a Text>) {
    for item in items {
        match item {
            Item::Group(group) => texts(&group.items, all),
            Item::Text(text) => all.push(text),
            _ => {}
        }
    }
}
