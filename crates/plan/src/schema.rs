//! What the room file and the element file accept, as data: one list of keys that the reader, its suggestions,
//! the JSON Schema and the reference in `docs/room-file.md` share.

use serde_json::{Map, Value, json};

use crate::read::{catalogue_names::CatalogueList, element_table, room_table};

/// A table of the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// What it says, one sentence.
    pub about: &'static str,
    /// Its keys, in the order the reference lists them.
    pub keys: Vec<Key>,
}

/// One key of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct Key {
    /// The key as it stands in the file.
    pub name: &'static str,
    /// What it says, in sentences.
    pub about: &'static str,
    /// What its value is.
    pub shape: Shape,
    /// Least and greatest value, where it is a number or a list of numbers.
    pub range: Option<(f64, f64)>,
    /// Whether the table is incomplete without it.
    pub required: bool,
    /// What is taken without it.
    pub default: Option<Value>,
}

/// What a value is.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A number, whole or not.
    Number,
    /// A whole number.
    Whole,
    /// Text.
    Text,
    /// `true` or `false`.
    YesNo,
    /// One of some words, each with what it means.
    Words(&'static [(&'static str, &'static str)]),
    /// A corner of the ring.
    Corner,
    /// A wall of the ring: two neighbouring corners.
    Wall,
    /// The id of a build-up of the file.
    Buildup,
    /// `ceiling`, a wall, or the name of an opening.
    Element,
    /// An id of the catalogue.
    Catalogue(CatalogueList),
    /// Decibels by nominal third-octave band.
    Spectrum,
    /// A list, of a fixed length or any.
    List(Box<Shape>, Option<usize>),
    /// A table.
    Table(Box<Table>),
    /// A table whose key `kind` decides which other keys it has.
    Kinds(Vec<(&'static [&'static str], Table)>),
}

/// The JSON Schema (draft 2020-12) of a room file written as JSON.
pub fn room_schema() -> Value {
    document("Room file", &room_table())
}

/// The JSON Schema (draft 2020-12) of an element file written as JSON.
pub fn element_schema() -> Value {
    document("Element file", &element_table())
}

fn document(title: &str, table: &Table) -> Value {
    let mut schema = Map::new();
    schema.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    schema.insert("title".into(), json!(title));
    if let Value::Object(rest) = table_schema(table) {
        schema.extend(rest);
    }
    Value::Object(schema)
}

fn table_schema(table: &Table) -> Value {
    let properties: Map<String, Value> =
        table.keys.iter().map(|key| (key.name.to_owned(), key_schema(key))).collect();
    let required: Vec<&str> = table.keys.iter().filter(|key| key.required).map(|key| key.name).collect();
    json!({
        "type": "object",
        "description": table.about,
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn key_schema(key: &Key) -> Value {
    let mut schema = shape_schema(&key.shape, key.range);
    if let Value::Object(map) = &mut schema {
        map.insert("description".into(), json!(key.about));
        if let Some(unit) = unit_of(key.name) {
            map.insert("x-unit".into(), json!(unit));
            if unit == "mm" {
                also_in_inches(map);
            }
        }
        if let Some(default) = &key.default {
            map.insert("default".into(), default.clone());
        }
    }
    schema
}

/// A length in millimetres may also be written as text in feet and inches.
fn also_in_inches(map: &mut Map<String, Value>) {
    if map.get("type") == Some(&json!("number")) {
        map.insert("type".into(), json!(["number", "string"]));
        map.insert("pattern".into(), json!(inches_pattern()));
    } else if let Some(Value::Object(items)) = map.get_mut("items") {
        also_in_inches(items);
    }
}

/// What `quantities::feet_inches::parse_mm` reads, as a pattern: feet, inches, or both, each with its mark; no comma that may group thousands.
fn inches_pattern() -> String {
    let fraction = "[\u{bd}\u{bc}\u{be}\u{215b}\u{215c}\u{215d}\u{215e}]";
    let number = r"(?:\d+(?:\.\d*|,(?!\d{3}(?!\d))\d*)?|[.,]\d+)";
    let broken = format!(r"{number}[/\u2044]{number}");
    let feet = r"(?:'(?!')|\u2032(?!\u2032)|\u2019|[Ff][Tt]\.?|[Ff]oot|[Ff]eet)";
    let inch = r#"(?:"|''|\u2033|\u201d|\u2032\u2032|[Ii][Nn]\.?|[Ii]nch(?:es)?)"#;
    let inches = format!("(?:{broken}|{number}(?:[ -]+{broken}|[\\s-]*{fraction})?|{fraction})\\s*{inch}");
    format!("^\\s*[-\u{2212}]?\\s*(?:{number}\\s*{feet}(?:\\s*-?\\s*{inches})?|{inches})\\s*$")
}

fn shape_schema(shape: &Shape, range: Option<(f64, f64)>) -> Value {
    match shape {
        Shape::Number => number_schema("number", range),
        Shape::Whole => number_schema("integer", range),
        Shape::Text | Shape::Corner | Shape::Buildup | Shape::Element => {
            json!({ "type": "string", "minLength": 1 })
        }
        Shape::Wall => json!({ "type": "string", "pattern": "^[^-]+-[^-]+$" }),
        Shape::YesNo => json!({ "type": "boolean" }),
        Shape::Words(words) => json!({ "enum": words.iter().map(|(word, _)| *word).collect::<Vec<_>>() }),
        Shape::Catalogue(list) => json!({ "enum": list.ids() }),
        Shape::Spectrum => {
            let bands: Vec<&str> = bands::Band::all().map(bands::Band::nominal).collect();
            json!({
                "type": "object",
                "propertyNames": { "enum": bands },
                "additionalProperties": number_schema("number", range),
            })
        }
        Shape::List(of, count) => {
            let mut schema = json!({ "type": "array", "items": shape_schema(of, range) });
            if let (Some(count), Value::Object(map)) = (count, &mut schema) {
                map.insert("minItems".into(), json!(count));
                map.insert("maxItems".into(), json!(count));
            }
            schema
        }
        Shape::Table(table) => table_schema(table),
        Shape::Kinds(kinds) => {
            let tables: Vec<Value> = kinds
                .iter()
                .map(|(words, table)| {
                    let mut schema = table_schema(table);
                    if let Some(kind) = schema.pointer_mut("/properties/kind") {
                        *kind = json!({ "enum": words, "description": "What it is." });
                    }
                    schema
                })
                .collect();
            json!({ "oneOf": tables })
        }
    }
}

fn number_schema(kind: &str, range: Option<(f64, f64)>) -> Value {
    match range {
        Some((least, most)) => json!({ "type": kind, "minimum": least, "maximum": most }),
        None => json!({ "type": kind }),
    }
}

/// The JSON Schema (draft 2020-12) of the plan as it is written out: every key with its meaning and unit.
///
/// It is read from the types and their comments by `oracles/plan_schema.py`; a test holds the plan against it.
pub fn plan_schema() -> &'static str {
    include_str!("../schema/plan.schema.json")
}

/// The unit at the end of a key's name as it is printed: `mm` for `width_mm`, `dB(A)` for `level_dba`.
pub fn unit_of(key: &str) -> Option<&'static str> {
    const UNITS: [(&str, &str); 29] = [
        ("_mm_per_m", "mm/m"),
        ("_w_m_k", "W/(m·K)"),
        ("_decay_s", "s"),
        ("_w", "W"),
        ("_kn_m2", "kN/m²"),
        ("_kg_m3", "kg/m³"),
        ("_kg_m2", "kg/m²"),
        ("_pa_s_m2", "Pa·s/m²"),
        ("_mn_m2", "MN/m²"),
        ("_mn_m", "MN/m"),
        ("_m2_n", "m²/N"),
        ("per_m2", "per m²"),
        ("_area_m2", "m²"),
        ("_mm2", "mm²"),
        ("_gpa", "GPa"),
        ("_kg", "kg"),
        ("_mm", "mm"),
        ("_l_s", "l/s"),
        ("_ppm", "ppm"),
        ("_dba", "dB(A)"),
        ("_db", "dB"),
        ("_nr", "NR"),
        ("_deg", "°"),
        ("_c", "°C"),
        ("_percent", "%"),
        ("_hz", "Hz"),
        ("hours", "h"),
        ("_m", "m"),
        ("measured", "dB"),
    ];
    UNITS.iter().find(|(suffix, _)| key.ends_with(suffix)).map(|(_, unit)| *unit)
}

/// JSON Schema of the choice that `stillroom choose --json` writes, read from the types as that of the plan.
pub fn choice_schema() -> &'static str {
    include_str!("../schema/choice.schema.json")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_read_from_the_names_of_keys() {
        assert_eq!(unit_of("floor_mm"), Some("mm"));
        assert_eq!(unit_of("tape_sd_mm_per_m"), Some("mm/m"));
        assert_eq!(unit_of("snow_ground_kn_m2"), Some("kN/m²"));
        assert_eq!(unit_of("per_m2"), Some("per m²"));
        assert_eq!(unit_of("stiffness_mn_m"), Some("MN/m"));
        assert_eq!(unit_of("distance_m"), Some("m"));
        assert_eq!(unit_of("name"), None);
    }
}
