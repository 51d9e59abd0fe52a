//! A choice put into the room file: its build-ups at the end, and the keys that name them; comments and order stay.

use std::fmt::Write as _;

use serde::Serialize;
use serde_json::{Map, Value};

use crate::{
    choosing::proposal::{Change, SealChange, Slot, other_clip},
    edit::{Contents, EditError, NewValue, remove, set},
    project::{ElementId, ElementSpec, Layer, OpeningId, Project, Vent},
};

/// What a choice changes in the file.
#[derive(Clone, Debug, Default)]
pub struct Changes {
    pub(super) each: Vec<(Slot, Change)>,
}

/// Why a choice could not be put into the file.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WriteError {
    /// The file could not be changed.
    #[error(transparent)]
    Edit(#[from] EditError),
    /// An entry of the file was not found.
    #[error("The file has no entry for {0} that could be changed.")]
    NotFound(String),
    /// With the choice in it the file would have a mistake.
    #[error("With the choice in it the file would have a mistake: {0} Nothing was written.")]
    Mistake(String),
    /// What was written reads otherwise than it was chosen.
    #[error("{0} would read otherwise than it was chosen: nothing was written. Enter the build-up by hand.")]
    NotTheSame(String),
}

impl Changes {
    /// Whether the choice is what stands in the file.
    pub fn is_empty(&self) -> bool {
        self.each.is_empty()
    }

    /// The text of the room file with the choice in it. `project` is what `text` reads as. It is read again and held against the choice.
    ///
    /// # Errors
    /// A sentence where the file has no entry to change, or would read otherwise.
    pub fn written(&self, text: &str, project: &Project) -> Result<String, WriteError> {
        let mut text = text.to_owned();
        for (slot, change) in &self.each {
            text = put(&text, project, *slot, change)?;
        }
        let (read, found) = crate::read(&text, "room.toml");
        let first = found.into_iter().find(|one| one.severity == crate::Severity::Error);
        let read =
            read.ok_or_else(|| WriteError::Mistake(first.map_or_else(String::new, |one| one.message)))?;
        let mut meant = project.clone();
        for (slot, change) in &self.each {
            change.put_into(&mut meant, *slot);
            if !same(&meant, &read, *slot) {
                return Err(WriteError::NotTheSame(slot.name(project)));
            }
        }
        Ok(text)
    }
}

fn same(meant: &Project, read: &Project, slot: Slot) -> bool {
    match slot {
        Slot::Element(id) => {
            let spec = |project: &Project| {
                project
                    .buildup_of(id)
                    .map(|buildup| (buildup.element.layers.clone(), buildup.element.bridges.clone()))
            };
            let seal = |project: &Project| match id {
                ElementId::Opening(OpeningId(at)) => {
                    project.openings.get(at).and_then(|one| one.seal.clone())
                }
                _ => None,
            };
            spec(meant) == spec(read) && seal(meant) == seal(read)
        }
        Slot::Vent(at) => meant.vents.get(at) == read.vents.get(at),
        Slot::Gaps => meant.gaps == read.gaps,
    }
}

fn put(text: &str, project: &Project, slot: Slot, change: &Change) -> Result<String, WriteError> {
    let mut text = text.to_owned();
    let missing = || WriteError::NotFound(slot.name(project));
    if change.close_gaps {
        for at in 0..Contents::open(&text)?.count("gap") {
            text = set(&text, &format!("gap[{at}].filling"), "sealant")?;
        }
    }
    match slot {
        Slot::Gaps => {}
        Slot::Vent(at) => {
            let (Some(was), Some(vent)) = (project.vents.get(at), &change.vent) else { return Ok(text) };
            let at = entry(&text, "vent", "name", &was.name)?.ok_or_else(missing)?;
            for (key, value) in vent_keys(was, vent) {
                text = set(&text, &format!("vent[{at}].{key}"), value)?;
            }
        }
        Slot::Element(id) => {
            let table = match id {
                ElementId::Ceiling => "ceiling".to_owned(),
                ElementId::Wall(wall) => {
                    let name = project.survey.wall_name(wall);
                    while let Some(at) =
                        entry(&text, "lining", "wall", &name)?.filter(|_| change.buildup.is_some())
                    {
                        text = remove(&text, &format!("lining[{at}]"))?;
                    }
                    format!("wall[{}]", entry(&text, "wall", "between", &name)?.ok_or_else(missing)?)
                }
                ElementId::Opening(OpeningId(at)) => {
                    let name = project.openings.get(at).map_or("", |opening| opening.name.as_str());
                    format!("opening[{}]", entry(&text, "opening", "name", name)?.ok_or_else(missing)?)
                }
            };
            if let (ElementId::Ceiling, Some(spec)) = (id, &change.buildup)
                && let Some(clip) = other_clip(project, spec)
            {
                text = set(&text, "stock.clip.product", clip.as_str())?;
                for path in ["stock.clip.rated_load_kg", "stock.clip.price"] {
                    if Contents::open(&text)?.has(path) {
                        text = remove(&text, path)?;
                    }
                }
            }
            if let Some(spec) = &change.buildup {
                let build = free_id(&text, &slot.name(project))?;
                text = set(&text, &format!("{table}.buildup"), build.as_str())?;
                if !text.ends_with('\n') {
                    text.push('\n');
                }
                text.push_str(&buildup_text(&build, spec));
            }
            match &change.seal {
                SealChange::Stays => {}
                SealChange::Other(seal) => text = set(&text, &format!("{table}.seal"), seal.as_str())?,
                SealChange::OfLeaves => {
                    let path = format!("{table}.seal");
                    if Contents::open(&text)?.has(&path) {
                        text = remove(&text, &path)?;
                    }
                }
            }
        }
    }
    Ok(text)
}

/// Place of the entry of a list whose key says this.
fn entry(text: &str, list: &str, key: &str, says: &str) -> Result<Option<usize>, EditError> {
    let contents = Contents::open(text)?;
    Ok((0..contents.count(list)).find(|at| {
        contents
            .typed(&format!("{list}[{at}].{key}"))
            .is_some_and(|typed| typed.trim().trim_matches(['"', '\'']) == says)
    }))
}

/// An id that no build-up has yet.
fn free_id(text: &str, name: &str) -> Result<String, EditError> {
    let plain: String = name
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() || c == '-' { c.to_ascii_lowercase() } else { '-' })
        .collect();
    let mut id = format!("chosen-{plain}");
    let mut number = 1;
    while entry(text, "buildup", "id", &id)?.is_some() {
        number += 1;
        id = format!("chosen-{plain}-{number}");
    }
    Ok(id)
}

fn vent_keys(was: &Vent, vent: &Vent) -> Vec<(&'static str, NewValue)> {
    let mut keys: Vec<(&'static str, NewValue)> = Vec::new();
    let mut number = |key, was: Option<f64>, now: Option<f64>| {
        if let Some(now) = now.filter(|_| was != now) {
            keys.push((key, NewValue::Number(now)));
        }
    };
    number("lined_length_mm", Some(was.lined_length_mm), Some(vent.lined_length_mm));
    number("lining_mm", Some(was.lining_mm), Some(vent.lining_mm));
    number("box_length_mm", was.box_length_mm, vent.box_length_mm);
    number("box_width_mm", was.box_width_mm, vent.box_width_mm);
    if let Some(lining) = vent.lining.as_ref().filter(|_| was.lining != vent.lining) {
        keys.push(("lining", lining.as_str().into()));
    }
    keys
}

/// A build-up as it stands in the file.
pub(super) fn buildup_text(id: &str, spec: &ElementSpec) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "\n[[buildup]]\nid = {}\nname = {}", quoted(id), quoted(&spec.name));
    for layer in &spec.layers {
        text.push_str("\n[[buildup.layer]]\n");
        match layer {
            Layer::Leaf(leaf) => keys(&mut text, &fields(leaf), |_, value| Some(value.clone())),
            Layer::Cavity(cavity) => {
                text.push_str("kind = \"cavity\"\n");
                keys(&mut text, &fields(cavity), |_, value| Some(value.clone()));
            }
        }
    }
    for bridge in &spec.bridges {
        text.push_str("\n[[buildup.bridge]]\n");
        // Counted from 1 in the file.
        keys(&mut text, &fields(bridge), |key, value| {
            if key == "cavity" { Some(Value::from(value.as_u64()? + 1)) } else { Some(value.clone()) }
        });
    }
    text
}

fn fields(of: &impl Serialize) -> Map<String, Value> {
    match serde_json::to_value(of) {
        Ok(Value::Object(map)) => map,
        _ => Map::new(),
    }
}

/// Writes what is not nothing; what the file calls otherwise under its name there.
fn keys(
    text: &mut String,
    map: &Map<String, Value>,
    value_of: impl Fn(&str, &Value) -> Option<Value> + Copy,
) {
    for (key, value) in map {
        let key = if key == "timbers" { "bridge" } else { key.as_str() };
        let Some(value) = value_of(key, value) else { continue };
        match &value {
            Value::Object(own) => keys(text, own, value_of),
            Value::String(word) => {
                let _ = writeln!(text, "{key} = {}", quoted(word));
            }
            Value::Bool(true) => {
                let _ = writeln!(text, "{key} = true");
            }
            Value::Number(number) if number.as_f64() != Some(0.0) => {
                let _ = writeln!(text, "{key} = {number}");
            }
            _ => {}
        }
    }
}

fn quoted(text: &str) -> String {
    toml_edit::Value::from(text).to_string()
}
