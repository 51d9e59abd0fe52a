//! The file of readings from the phone, brought to the page: taken in as `stillroom take-in` does.

use std::sync::Arc;

use axum::extract::Multipart;
use plan::take_in::{self, Today};
use quantities::reader::Reader;

use super::{
    desk::{Desk, Refusal},
    fields::Kept,
    words::{self, steps},
};

/// Largest file of readings that is taken, bytes: some twenty thousand readings.
const LARGEST: usize = 2 * 1024 * 1024;
/// The longest other field, bytes.
const LONGEST_FIELD: usize = 200;

/// A form as it came.
#[derive(Debug, Default)]
pub(crate) struct Brought {
    /// The text the page was drawn from.
    version: u64,
    readings: String,
    anyway: bool,
    /// What was wrong with it on the way.
    wrong: Option<String>,
}

/// Takes the form in.
pub(crate) async fn take(mut form: Multipart) -> Brought {
    let mut brought = Brought::default();
    loop {
        let mut field = match form.next_field().await {
            Ok(Some(field)) => field,
            Ok(None) => return brought,
            Err(_) => {
                brought.wrong.get_or_insert_with(|| words::proof::BROKEN_OFF.to_owned());
                return brought;
            }
        };
        let name = field.name().unwrap_or_default().to_owned();
        let most = if name == "readings" { LARGEST } else { LONGEST_FIELD };
        let called: String = field
            .file_name()
            .unwrap_or_default()
            .chars()
            .filter(|letter| !letter.is_control())
            .take(60)
            .collect();
        let mut bytes = Vec::new();
        loop {
            match field.chunk().await {
                Ok(Some(chunk)) if bytes.len() + chunk.len() <= most => bytes.extend_from_slice(&chunk),
                Ok(Some(_)) => {
                    brought.wrong.get_or_insert_with(|| steps::too_large(&called));
                    return brought;
                }
                Ok(None) => break,
                Err(_) => {
                    brought.wrong.get_or_insert_with(|| words::proof::BROKEN_OFF.to_owned());
                    return brought;
                }
            }
        }
        let Ok(text) = String::from_utf8(bytes) else {
            brought.wrong.get_or_insert_with(|| steps::NO_TEXT.to_owned());
            continue;
        };
        match name.as_str() {
            "version" => brought.version = text.parse().unwrap_or(0),
            "anyway" => brought.anyway = true,
            "readings" => brought.readings = text,
            _ => {}
        }
    }
}

/// Adds the readings to the room file; what came of it is told above the sheet.
///
/// # Errors
/// The sentence, for the form; the file is as it was.
pub(crate) fn make(desk: &Arc<Desk>, brought: &Brought) -> Result<(), Kept> {
    let kept = |sentence: String| Kept { path: steps::FORM.to_owned(), sentence, ..Kept::default() };
    if let Some(wrong) = &brought.wrong {
        return Err(kept(wrong.clone()));
    }
    if brought.readings.trim().is_empty() {
        return Err(kept(steps::NO_FILE.to_owned()));
    }
    let plan = desk.settled().map_err(&kept)?;
    take_in::figures_where_asked(&brought.readings, &plan).map_err(|error| kept(error.told(Reader::Page)))?;
    let today = Today { room: plan.title.name.clone(), stamp: plan.ceiling.stamp.clone() };
    let mut told = String::new();
    desk.change(brought.version, |text, _| {
        let taken = take_in::take_in_of(text, &brought.readings, &today, brought.anyway)
            .map_err(|error| Refusal::new(error.told(Reader::Page)))?;
        told = steps::taken(taken.added, taken.known, &taken.notes);
        Ok(taken.text)
    })
    .map_err(|refusal| kept(refusal.sentence))?;
    desk.tell(told);
    Ok(())
}
