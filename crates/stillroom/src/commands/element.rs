//! `stillroom element`: one build-up alone.

use std::{fmt::Write as _, path::Path, process::ExitCode};

use anyhow::Result;
use plan::ElementReport;
use quantities::format::{number, with_unit};

use crate::{
    commands::{attached, other_format},
    files, report,
};

/// Predicts the build-up in an element file. Exit code 1 if the file has errors.
pub(crate) fn run(file: &Path, json: bool) -> Result<ExitCode> {
    let text = files::read_text(file)?;
    let name = files::short_name(file);
    if let Some(sentence) = other_format(&text, &name, true) {
        anyhow::bail!(sentence);
    }
    let (element, found) = plan::read_element(&text, &name, &attached(&text, file));
    if !found.is_empty() {
        report::warn(&report::diagnostics(&name, &text, &found));
    }
    let Some(element) = element else { return Ok(ExitCode::from(1)) };
    let predicted = plan::plan_element(&element).map_err(|sentence| anyhow::anyhow!("{name}: {sentence}"))?;
    if json {
        report::say(&serde_json::to_string_pretty(&predicted)?)?;
    } else {
        report::say_figures(&in_words(&predicted), None)?;
    }
    Ok(ExitCode::SUCCESS)
}

fn in_words(report: &ElementReport) -> String {
    let prediction = &report.prediction;
    let mut text = format!(
        "{}, {} × {}, {} deep, {}\n\n",
        report.name,
        with_unit(report.width_m, 2, "m"),
        with_unit(report.height_m, 2, "m"),
        with_unit(prediction.depth_mm, 0, "mm"),
        with_unit(prediction.mass_kg_m2, 1, "kg/m²")
    );
    let signed =
        |value: Option<i32>| value.map_or_else(|| "–".to_owned(), |value| number(f64::from(value), 0));
    let ratings = &report.ratings;
    let _ = writeln!(
        text,
        "  Rw (C; Ctr) {}   C50-5000 {}   Ctr,50-5000 {}   STC {}",
        ratings.rw_c_ctr(),
        signed(ratings.c50_5000_db),
        signed(ratings.ctr50_5000_db),
        signed(ratings.stc_db)
    );
    for resonance in &prediction.resonances {
        let _ = writeln!(
            text,
            "  f0 of cavity {}: {}",
            resonance.cavity + 1,
            with_unit(resonance.frequency_hz, 0, "Hz")
        );
    }
    for critical in &prediction.critical_frequencies {
        let _ = writeln!(text, "  fc of {}: {}", critical.leaf, with_unit(critical.fc_hz, 0, "Hz"));
    }
    let _ = writeln!(text, "\n  {:>8}  {:>6}  {:>13}  limited by", "Hz", "R dB", "10 to 90 %");
    for (band, r) in prediction.r_db.iter() {
        let limit = prediction.limits.iter().find(|limit| limit.band == band);
        let word = limit.map_or(String::new(), |limit| {
            let word = format!("{:?}", limit.what).to_lowercase();
            if limit.outside_validated_range { format!("{word} (outside the validated range)") } else { word }
        });
        let _ = writeln!(
            text,
            "  {:>8}  {:>6}  {:>5} to {:>4}  {word}",
            band.nominal(),
            number(r, 1),
            number(prediction.lower_db.get(band), 1),
            number(prediction.upper_db.get(band), 1)
        );
    }
    if !prediction.advice.is_empty() {
        text.push('\n');
        for sentence in &prediction.advice {
            let _ = writeln!(text, "  {sentence}");
        }
    }
    text.push('\n');
    for sentence in &prediction.method {
        let _ = writeln!(text, "  {sentence}");
    }
    text
}
