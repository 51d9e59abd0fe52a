//! Entries of a list of tables put in another order, and what stands at a path.

use toml_edit::{DocumentMut, Item, Table, Value};

use super::{Document, EditError, NewValue, Step, add_entry, sort_of, steps, table_at, wrong_sort};

/// Moves an entry of a list of tables to another place in it; the entries between move up. Its comments go with it, the places of
/// the tables in the file stay.
pub fn move_entry(text: &str, list: &str, from: usize, to: usize) -> Result<String, EditError> {
    let mut document = Document::open(text)?;
    let steps = steps(list)?;
    let Some((Step::Key(name), tables)) = steps.split_last() else {
        return Err(EditError::BadPath(list.to_owned()));
    };
    let table = table_at(document.toml.as_table_mut(), tables, list, None)?;
    let item = table.get_mut(name).ok_or_else(|| EditError::Missing(list.to_owned()))?;
    let found = sort_of(item);
    let entries = item.as_array_of_tables_mut().ok_or_else(|| wrong_sort(list, found, "a list of tables"))?;
    let count = entries.len();
    for place in [from, to] {
        if place >= count {
            return Err(EditError::Missing(format!("{list}[{place}]")));
        }
    }
    let positions: Vec<Option<isize>> = entries.iter().map(Table::position).collect();
    let mut order: Vec<Table> = entries.iter().cloned().collect();
    let moved = order.remove(from);
    order.insert(to, moved);
    for ((slot, mut table), position) in entries.iter_mut().zip(order).zip(positions) {
        table.set_position(position);
        *slot = table;
    }
    Ok(document.close())
}

/// Adds an entry to a list of tables before the one at a place; at its end where there is none at that place.
pub fn insert_entry(
    text: &str,
    list: &str,
    at: usize,
    keys: &[(&str, NewValue)],
) -> Result<String, EditError> {
    let added = add_entry(text, list, keys)?;
    let count = Contents::open(&added)?.count(list);
    match count.checked_sub(1) {
        Some(last) if at < last => move_entry(&added, list, last, at),
        _ => Ok(added),
    }
}

/// Writes a new entry of a list of tables at the very end of the file; every byte before it stays, and with it every comment where it stands.
/// [`add_entry`] puts it behind the last entry of its list instead.
///
/// # Errors
/// Where the list is written in a way that no `[[list]]` can follow.
pub fn append_entry(text: &str, list: &str, keys: &[(&str, NewValue)]) -> Result<String, EditError> {
    // Made in a file of its own, where there is nothing whose comments could move.
    let entry = add_entry("", list, keys)?;
    let head = entry.find("[[").ok_or_else(|| EditError::BadPath(list.to_owned()))?;
    let mut added = text.to_owned();
    if !added.is_empty() {
        added.push_str(if added.ends_with('\n') { "\n" } else { "\n\n" });
    }
    added.push_str(entry.get(head..).unwrap_or_default());
    if text.contains("\r\n") {
        added = added.replace("\r\n", "\n").replace('\n', "\r\n");
    }
    let before = Contents::open(text)?.count(list);
    match Contents::open(&added) {
        Ok(contents) if contents.count(list) == before + 1 => Ok(added),
        // A list in square brackets, for one: it cannot be gone on with as tables.
        _ => add_entry(text, list, keys),
    }
}

/// A room file opened to look things up by path, as they are written.
#[derive(Clone, Debug)]
pub struct Contents {
    toml: DocumentMut,
}

impl Contents {
    /// Opens a text.
    ///
    /// # Errors
    /// Where it is no TOML.
    pub fn open(text: &str) -> Result<Self, EditError> {
        Ok(Self { toml: Document::open(text)?.toml })
    }

    /// What stands at a path, as a person types it: a number as written, text without its quotes, a list with commas between.
    /// None where nothing stands there, or something that is no value.
    pub fn typed(&self, path: &str) -> Option<String> {
        self.item(path)?.as_value().map(typed)
    }

    /// How many entries the list at a path has; 0 where there is none.
    pub fn count(&self, path: &str) -> usize {
        match self.item(path) {
            Some(Item::ArrayOfTables(entries)) => entries.len(),
            Some(Item::Value(Value::Array(list))) => list.len(),
            _ => 0,
        }
    }

    /// Whether anything stands at a path.
    pub fn has(&self, path: &str) -> bool {
        self.item(path).is_some()
    }

    fn item(&self, path: &str) -> Option<&Item> {
        let steps = steps(path).ok()?;
        let mut item: &Item = self.toml.as_item();
        for step in &steps {
            item = match step {
                Step::Key(key) => item.get(key.as_str())?,
                Step::Entry(key, index) => item.get(key.as_str())?.get(*index)?,
            };
        }
        (!item.is_none()).then_some(item)
    }
}

fn typed(value: &Value) -> String {
    match value {
        Value::String(text) => text.value().clone(),
        Value::Array(list) => list.iter().map(typed).collect::<Vec<_>>().join(", "),
        other => {
            let mut plain = other.clone();
            plain.decor_mut().clear();
            plain.to_string()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LAYERS: &str = "[[a]]\nid = 1\n\n# outer\n[[a.layer]]\nkind = \"x\" # felt\n\n[[a.layer]]\nkind = \"y\"\n\n\
                          # inner\n[[a.layer]]\nkind = \"z\"\n\n[b]\nc = [1, 2.50]\n";

    #[test]
    fn an_entry_moves_with_its_comments() {
        let moved = move_entry(LAYERS, "a[0].layer", 0, 2).unwrap();
        let expected = "[[a]]\nid = 1\n\n[[a.layer]]\nkind = \"y\"\n\n# inner\n[[a.layer]]\nkind = \"z\"\n\n# outer\n\
                        [[a.layer]]\nkind = \"x\" # felt\n\n[b]\nc = [1, 2.50]\n";
        assert_eq!(moved, expected);
        assert_eq!(move_entry(&moved, "a[0].layer", 2, 0).unwrap(), LAYERS);
        assert!(matches!(move_entry(LAYERS, "a[0].layer", 0, 3), Err(EditError::Missing(_))));
        assert!(matches!(move_entry(LAYERS, "b", 0, 0), Err(EditError::WrongSort { .. })));
    }

    #[test]
    fn an_appended_entry_moves_no_comment() {
        let keys = [("kind", "gap".into()), ("area_mm2", 300.0.into())];
        for text in [
            "[a]\nb = 1\n\n[as_proved]\n# found by ear in March",
            "[as_proved]\n# the person's own words\n\n[[as_proved.fault]]\nkind = \"gap\" # north\n# behind it\n\n# next\n[z]\nc = 2\n# end\n",
            "a = 1\r\n# last\r\n",
            "",
        ] {
            let added = append_entry(text, "as_proved.fault", &keys).unwrap();
            assert!(added.starts_with(text), "{added}");
            assert!(added.trim_end().ends_with("area_mm2 = 300"), "{added}");
            assert_eq!(added.contains('\r'), text.contains('\r'));
        }
        let inline = append_entry("as_proved = { fault = [] }\n", "as_proved.fault", &keys);
        assert!(inline.is_err(), "{inline:?}");
    }

    #[test]
    fn an_entry_is_put_between_others() {
        let put = insert_entry(LAYERS, "a[0].layer", 1, &[("kind", "new".into())]).unwrap();
        let contents = Contents::open(&put).unwrap();
        let kinds: Vec<_> =
            (0..4).filter_map(|at| contents.typed(&format!("a[0].layer[{at}].kind"))).collect();
        assert_eq!(kinds, ["x", "new", "y", "z"]);
        assert_eq!(contents.count("a[0].layer"), 4);
        let end = insert_entry(LAYERS, "a[0].layer", 99, &[("kind", "new".into())]).unwrap();
        assert_eq!(Contents::open(&end).unwrap().typed("a[0].layer[3].kind").as_deref(), Some("new"));
    }

    #[test]
    fn values_are_shown_as_they_are_written() {
        let contents = Contents::open(LAYERS).unwrap();
        assert_eq!(contents.typed("b.c").as_deref(), Some("1, 2.50"));
        assert_eq!(contents.typed("b.c[1]").as_deref(), Some("2.50"));
        assert_eq!(contents.typed("a[0].layer[0].kind").as_deref(), Some("x"));
        assert!(contents.typed("b").is_none() && contents.typed("nothing.at.all").is_none());
        assert!(contents.has("b") && !contents.has("d") && !contents.has("a..b"));
    }
}
