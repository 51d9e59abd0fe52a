//! Every edit a page can ask for, each by its own address.

use std::sync::Arc;

use plan::{edit, tried};

use super::{
    choosing::{Chooser, Choosing},
    desk::{Desk, Reading, Refusal},
    fields::{self, Kept, Sort, may_group, number_of},
    manner::{Manner, is_length},
    sheet, words,
};
use crate::commands::proof::with_fault;

/// Where prices of what has no entry in the stock are sent; each field is called by the name the order gives it, after this mark.
pub(crate) const PRICE: &str = "/price";
/// Begins the name of such a field.
pub(crate) const PRICE_OF: &str = "p:";

/// Addresses that change something, or ask the desk to.
pub(crate) const ADDRESSES: [&str; 15] = [
    "/set",
    PRICE,
    "/layer",
    "/corner",
    "/fixed",
    "/text",
    "/undo",
    "/redo",
    "/end-search",
    "/read",
    "/forget",
    "/keep-fault",
    "/begin-choosing",
    "/stop-choosing",
    "/adopt",
];

/// The value of a field of a form.
pub(crate) fn of<'p>(pairs: &'p [(String, String)], name: &str) -> Option<&'p str> {
    pairs.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str())
}

/// Makes an edit; gives the address to show next where that is another.
///
/// # Errors
/// What was typed, where it belongs, and the sentence.
pub(crate) fn make(
    desk: &Arc<Desk>,
    address: &str,
    pairs: &[(String, String)],
    manner: Manner,
) -> Result<Option<String>, Kept> {
    let manner = manner.in_room(desk.spread().reading.plan.as_deref());
    let version = of(pairs, "version").and_then(|typed| typed.parse::<u64>().ok()).unwrap_or(0);
    match address {
        "/undo" | "/redo" => desk.turn(version, address == "/undo")?,
        "/end-search" => desk.end_search(),
        "/read" => desk.put_notice_away(),
        "/text" => {
            let text = of(pairs, "text").unwrap_or_default();
            whole_text(desk, version, text)?;
        }
        "/begin-choosing" => {
            let spread = desk.spread();
            let project = spread.reading.project.ok_or_else(|| Refusal::new(words::FILE_HAS_ERRORS))?;
            Chooser::begin(desk, &spread.text, project);
            desk.draw_again();
        }
        "/stop-choosing" => {
            desk.chooser().stop();
            desk.draw_again();
        }
        "/adopt" => adopt(desk, version, of(pairs, "which").unwrap_or_default())?,
        "/forget" => desk.change(version, |text, _| {
            let entry = of(pairs, "entry")
                .filter(|entry| entry.starts_with("measurement[") || entry.starts_with("as_proved.fault["));
            let entry = entry.ok_or_else(|| Refusal::new(words::NO_SUCH_ENTRY))?;
            edit::remove(text, entry).map_err(|error| Refusal::new(error.to_string()))
        })?,
        "/keep-fault" => desk.change(version, keep_fault)?,
        "/layer" => desk.change(version, |text, _| layer(text, pairs))?,
        PRICE => prices(desk, version, pairs, manner)?,
        "/fixed" => {
            desk.change(version, |text, reading| fixed(text, reading, pairs))?;
            return Ok(Some("/ceiling".to_owned()));
        }
        _ => {
            let typed = fields::of_form(pairs);
            set(desk, version, &typed, manner)?;
            // A corner's tapes are rewritten by the program itself.
            if let Some(told) = bare_length(&typed, manner).filter(|_| address == "/set") {
                desk.tell(told);
            }
            if address == "/corner" {
                return Ok(Some("/room".to_owned()));
            }
        }
    }
    Ok(None)
}

/// What to tell where a length was typed without a mark on a page in feet and inches.
fn bare_length(typed: &[(Sort, String, String)], manner: Manner) -> Option<String> {
    if !manner.lengths.in_feet() {
        return None;
    }
    let bare = |(sort, path, typed): &&(Sort, String, String)| {
        *sort == Sort::Number
            && is_length(path)
            && fields::number_of(typed).is_some()
            && !typed.contains(['\'', '"'])
    };
    let (_, _, typed) = typed.iter().find(bare)?;
    let shown = manner.length(fields::number_of(typed)?, 0);
    Some(words::taken_as_mm(typed, &shown))
}

/// Writes fields; one that is refused keeps what was typed.
fn set(desk: &Arc<Desk>, version: u64, typed: &[(Sort, String, String)], manner: Manner) -> Result<(), Kept> {
    let mut kept = None;
    let done = desk.change(version, |text, _| {
        fields::write(text, typed, manner).map_err(|(field, refusal)| {
            kept = Some(field);
            refusal
        })
    });
    done.map_err(|refusal| {
        kept.unwrap_or_else(|| {
            // The reader refused it: it belongs to the only field there was, or to the key it names.
            let named = |key: &str| refusal.found.iter().any(|one| one.key.as_deref() == Some(key));
            let field = match typed {
                [only] => Some(only),
                several => several.iter().find(|(_, path, _)| named(path)),
            };
            let (path, typed) =
                field.map(|(_, path, typed)| (path.clone(), typed.clone())).unwrap_or_default();
            let range = refusal.found.iter().find(|one| one.key.as_deref() == Some(path.as_str()));
            let range = range.and_then(|one| one.range.clone()).map(Box::new);
            Kept { path, typed, range, ..Kept::from(refusal) }
        })
    })
}

/// A whole text from the raw file. A form sends ends of lines its own way: the file keeps those it has.
fn whole_text(desk: &Arc<Desk>, version: u64, typed: &str) -> Result<(), Kept> {
    let done = desk.change(version, |text, _| {
        let plain = typed.replace("\r\n", "\n");
        let mark =
            if text.starts_with('\u{feff}') && !plain.starts_with('\u{feff}') { "\u{feff}" } else { "" };
        let lines = if text.contains("\r\n") { plain.replace('\n', "\r\n") } else { plain };
        Ok(format!("{mark}{lines}"))
    });
    done.map_err(|refusal| Kept { path: "text".to_owned(), typed: typed.to_owned(), ..Kept::from(refusal) })
}

/// Moves, adds or takes away a layer of a build-up.
#[allow(clippy::case_sensitive_file_extension_comparisons, reason = "a path of keys, not of files")]
fn layer(text: &str, pairs: &[(String, String)]) -> Result<String, Refusal> {
    let whole = |name: &str| of(pairs, name).and_then(|typed| typed.parse::<usize>().ok());
    let list = of(pairs, "list").filter(|list| list.ends_with(".layer")).unwrap_or_default();
    let at = whole("layer").ok_or_else(|| Refusal::new(words::NO_SUCH_LAYER))?;
    let refused = |error: edit::EditError| Refusal::new(error.to_string());
    match of(pairs, "do") {
        Some("up") => match at.checked_sub(1) {
            Some(to) => edit::move_entry(text, list, at, to).map_err(refused),
            None => Ok(text.to_owned()),
        },
        Some("down") => edit::move_entry(text, list, at, at + 1).map_err(refused),
        Some("to") => match whole("to") {
            Some(to) => edit::move_entry(text, list, at, to).map_err(refused),
            None => Ok(text.to_owned()),
        },
        Some("remove") => edit::remove(text, &format!("{list}[{at}]")).map_err(refused),
        Some("add-board") => {
            let keys = [("kind", "board".into()), ("material", "plasterboard-12.5".into())];
            edit::insert_entry(text, list, at, &keys).map_err(refused)
        }
        Some("add-cavity") => {
            // A cavity lies between two leaves: it is put before the innermost.
            let keys = [("kind", "cavity".into()), ("depth_mm", 50.0.into())];
            edit::insert_entry(text, list, at.saturating_sub(1), &keys).map_err(refused)
        }
        _ => Err(Refusal::new(words::NO_SUCH_LAYER)),
    }
}

/// Writes prices of what has no entry in the stock, each under the name the order gives it.
fn prices(desk: &Arc<Desk>, version: u64, pairs: &[(String, String)], manner: Manner) -> Result<(), Kept> {
    let mut refused = Kept::default();
    let done = desk.change(version, |text, reading| {
        let mut now = text.to_owned();
        for (field, typed) in pairs.iter().filter(|(_, typed)| !typed.trim().is_empty()) {
            let Some(what) = field.strip_prefix(PRICE_OF) else { continue };
            let known = |plan: &plan::Plan| plan.order.lines.iter().any(|line| line.what == what);
            if !reading.plan.as_deref().is_some_and(known) {
                // It has no field any more, so it is told above the sheet.
                refused = Kept::default();
                return Err(Refusal::new(words::order::NO_SUCH_LINE));
            }
            refused = Kept { path: field.clone(), typed: typed.clone(), ..Kept::default() };
            let price = number_of(typed).filter(|_| !may_group(typed, manner.comma));
            let price = price.ok_or_else(|| Refusal::new(words::no_number(typed, manner.comma)))?;
            let refusal = |error: edit::EditError| Refusal::new(error.to_string());
            let contents = edit::Contents::open(&now).map_err(refusal)?;
            let named =
                |at: &usize| contents.typed(&format!("stock.price[{at}].of")).as_deref() == Some(what);
            now = match (0..contents.count("stock.price")).find(named) {
                Some(at) => edit::set(&now, &format!("stock.price[{at}].price"), price),
                None => {
                    edit::append_entry(&now, "stock.price", &[("of", what.into()), ("price", price.into())])
                }
            }
            .map_err(refusal)?;
        }
        Ok(now)
    });
    done.map_err(|refusal| {
        let range = refusal.found.iter().find_map(|one| one.range.clone()).map(Box::new);
        Kept { path: refused.path, typed: refused.typed, range, ..Kept::from(refusal) }
    })
}

/// Puts a choice into the file.
fn adopt(desk: &Arc<Desk>, version: u64, which: &str) -> Result<(), Refusal> {
    let Choosing::Done { text: of, choice, .. } = desk.chooser().now() else {
        return Err(Refusal::new(words::choose::NO_CHOICE));
    };
    let changes = sheet::choose::changes(&choice, which)
        .filter(|changes| !changes.is_empty())
        .ok_or_else(|| Refusal::new(words::choose::NO_CHOICE))?;
    desk.change(version, |text, reading| {
        let (Some(project), Some(plan)) = (&reading.project, &reading.plan) else {
            return Err(Refusal::new(words::FILE_HAS_ERRORS));
        };
        if text != &*of {
            return Err(Refusal::new(words::choose::OLDER));
        }
        let adopted = plan::choosing::adopt(project, plan, text, &changes).map_err(Refusal::new)?;
        desk.chooser().was_adopted(&adopted);
        Ok(adopted)
    })
}

/// Writes the fault that explains best what was measured, so that all plans have it in them.
fn keep_fault(text: &str, reading: &Reading) -> Result<String, Refusal> {
    let diagnosis = reading.plan.as_ref().and_then(|plan| plan.proof.as_ref()?.diagnosis.as_ref());
    let (Some(diagnosis), Some(project)) = (diagnosis, &reading.project) else {
        return Err(Refusal::new(words::proof::NOTHING_YET));
    };
    let first = diagnosis.to_keep().map_err(Refusal::new)?;
    with_fault(text, project, first).map_err(|error| Refusal::new(error.to_string()))
}

/// Writes the readings of a bar that is fixed beside its mark.
fn fixed(text: &str, reading: &Reading, pairs: &[(String, String)]) -> Result<String, Refusal> {
    let number = |name: &str| of(pairs, name).and_then(fields::number_of);
    let (Some(bar), Some(off_mm), Some(plan)) = (number("bar"), number("off"), reading.plan.as_ref()) else {
        return Err(Refusal::new(words::NO_SUCH_BAR));
    };
    let tried = tried::bar(plan, bar as usize, off_mm).map_err(Refusal::new)?;
    tried.readings.iter().try_fold(text.to_owned(), |text, (wall, at_mm)| {
        let keys = [
            ("bar", f64::from(u32::try_from(tried.bar).unwrap_or(u32::MAX)).into()),
            ("wall", wall.as_str().into()),
            ("at_mm", quantities::format::round_to(*at_mm, 1).into()),
        ];
        edit::add_entry(&text, "as_built.bar", &keys).map_err(|error| Refusal::new(error.to_string()))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn layers_come_and_go() {
        let text = "[[buildup]]\nid = \"a\"\n\n[[buildup.layer]]\nkind = \"board\"\n\n[[buildup.layer]]\nkind = \"glass\"\n";
        let pairs = |act: &str, at: &str| {
            [("list", "buildup[0].layer"), ("layer", at), ("do", act)]
                .map(|(name, value)| (name.to_owned(), value.to_owned()))
        };
        let moved = layer(text, &pairs("up", "1")).unwrap();
        assert!(moved.find("glass").unwrap() < moved.find("board").unwrap());
        assert_eq!(layer(&moved, &pairs("down", "0")).unwrap(), text);
        assert!(!layer(text, &pairs("remove", "1")).unwrap().contains("glass"));
        assert!(layer(text, &pairs("add-cavity", "2")).unwrap().contains("depth_mm = 50\n"));
        assert!(layer(text, &pairs("down", "1")).is_err());
        assert!(layer(text, &pairs("burn", "1")).is_err());
    }
}
