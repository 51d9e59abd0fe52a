//! The reference of the file formats, `docs/room-file.md`, from the same declarations the reader uses.

use std::fmt::Write as _;

use crate::{
    read::{element_table, room_table, wording::plain},
    schema::{Key, Shape, Table, unit_of},
};

/// The text of `docs/room-file.md`.
pub fn room_file_reference() -> String {
    let mut text = String::from(HEAD);
    text.push_str("\n## The room file\n");
    write_table(&mut text, "", &room_table(), None);
    text.push_str("\n## The element file\n\nOne build-up alone, for `stillroom element FILE.toml`. ");
    text.push_str("Its layers and bridges have the same keys as those of a room file.\n");
    let mut element = element_table();
    element.keys.retain(|key| !matches!(key.name, "layer" | "bridge"));
    write_table(&mut text, "", &element, None);
    text
}

const HEAD: &str = "\
# The room file and the element file

<!-- Made from the declarations in crates/plan; `REWRITE=1 cargo test -p plan --test reference` writes it anew. -->

Both files are [TOML](https://toml.io): `key = value` in tables, text in quotes, comments after `#`. The unit of a number
stands at the end of its key: `_mm` millimetres, `_m` metres, `_kg` kilograms, `_dba` decibels (A), `_c` degrees
Celsius. A length in millimetres may also be written in feet, inches and fractions, in quotes: `width_mm = \"8ft 4 3/16in\"`. A table that can stand several times has double brackets, `[[wall]]`.

Walls are named after their two corners in the order of the ring: with the corners A, B, C, D the walls are `A-B`, `B-C`,
`C-D` and `D-A`. Running dimensions start from the first of the two. Layers go from outside to inside.

A value of the kind *catalogue* is the id of an entry of the program's catalogue; a mistyped id is answered with the nearest one.
`measured` spectra are written by third-octave band, `{ \"100\" = 25.0, \"125\" = 27.5 }`, or stand in a file of their own with the
columns `frequency_hz,value_db` that `measured_csv` names.
";

fn write_table(text: &mut String, path: &str, table: &Table, words: Option<&[&str]>) {
    if let Some(words) = words {
        let list: Vec<String> = words.iter().map(|word| format!("`\"{word}\"`")).collect();
        let _ = write!(text, "\n#### kind = {}\n", list.join(", "));
    } else if !path.is_empty() {
        let _ = write!(text, "\n### `{path}`\n");
    }
    let _ = write!(text, "\n{}\n\n", table.about);
    text.push_str(
        "| Key | Value | From – to | Without it | What it says |\n| --- | --- | --- | --- | --- |\n",
    );
    for key in &table.keys {
        let _ = writeln!(
            text,
            "| `{}` | {} | {} | {} | {} |",
            key.name,
            value_words(&key.shape),
            range_words(key),
            absence_words(key),
            key.about
        );
    }
    for key in &table.keys {
        write_inner(text, path, key);
    }
}

fn write_inner(text: &mut String, path: &str, key: &Key) {
    let bare: String = path.trim_matches(['[', ']']).to_owned();
    let full = if bare.is_empty() { key.name.to_owned() } else { format!("{bare}.{}", key.name) };
    match &key.shape {
        Shape::Table(table) => write_table(text, &format!("[{full}]"), table, None),
        Shape::List(of, _) => match &**of {
            Shape::Table(table) => write_table(text, &format!("[[{full}]]"), table, None),
            Shape::Kinds(kinds) => {
                let _ = write!(text, "\n### `[[{full}]]`\n\nIts `kind` decides which other keys it has.\n");
                for (words, table) in kinds {
                    write_table(text, &format!("[[{full}]]"), table, Some(words));
                }
            }
            _ => {}
        },
        _ => {}
    }
}

fn value_words(shape: &Shape) -> String {
    match shape {
        Shape::Number => "number".to_owned(),
        Shape::Whole => "whole number".to_owned(),
        Shape::Text => "text".to_owned(),
        Shape::YesNo => "true or false".to_owned(),
        Shape::Words(words) => {
            let list: Vec<String> = words
                .iter()
                .map(|(word, about)| format!("`\"{word}\"` {}", about.trim_end_matches('.').to_owned()))
                .collect();
            list.join("<br>")
        }
        Shape::Corner => "corner".to_owned(),
        Shape::Wall => "wall".to_owned(),
        Shape::Buildup => "id of a build-up".to_owned(),
        Shape::Element => "`\"ceiling\"`, wall or opening".to_owned(),
        Shape::Catalogue(list) => format!("catalogue: {}", list.word()),
        Shape::Spectrum => "dB by band".to_owned(),
        Shape::List(of, count) => match (&**of, count) {
            (Shape::Table(_) | Shape::Kinds(_), _) => "tables, see below".to_owned(),
            (of, Some(count)) => format!("list of {count}: {}", value_words(of)),
            (of, None) => format!("list: {}", value_words(of)),
        },
        Shape::Table(_) | Shape::Kinds(_) => "table, see below".to_owned(),
    }
}

fn range_words(key: &Key) -> String {
    let unit = unit_of(key.name).map_or_else(String::new, |unit| format!(" {unit}"));
    match key.range {
        Some((least, most)) if least.total_cmp(&most).is_eq() => plain(least),
        Some((least, most)) => format!("{} – {}{unit}", plain(least), plain(most)),
        None => String::new(),
    }
}

fn absence_words(key: &Key) -> String {
    match (&key.default, key.required) {
        (Some(serde_json::Value::String(text)), _) if text.is_empty() => "nothing".to_owned(),
        (Some(serde_json::Value::String(text)), _) => format!("`\"{text}\"`"),
        (Some(serde_json::Value::Number(number)), _) => number.as_f64().map_or_else(String::new, plain),
        (Some(serde_json::Value::Array(list)), _) if list.is_empty() => "none".to_owned(),
        (Some(value), _) => value.to_string(),
        (None, true) => "**needed**".to_owned(),
        (None, false) => String::new(),
    }
}
