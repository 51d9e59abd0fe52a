//! The parts of the page, one shown at a time: marks, clips, boards, lists, steps, what is kept.

use std::fmt::Write as _;

use paper::svg;
use plan::{Plan, outcome::HoldPoint};
use quantities::format::{number, with_unit};
use setout::{Layer, Layout, Piece, Support};

use super::{escaped, facts::support_name};
use crate::ceiling_words::{self, joist_name};
use crate::drawings::screen;

pub(super) fn header(page: &mut String, plan: &Plan) {
    let revision =
        plan.title.revision.as_ref().map_or_else(String::new, |words| format!(", revision {words}"));
    let stamp = plan.ceiling.stamp.as_ref().map_or_else(
        || "no ceiling is set out".to_owned(),
        |stamp| format!("layout <b>{}</b>", escaped(stamp)),
    );
    let mended = plan
        .ceiling
        .mended_stamp
        .as_ref()
        .map_or_else(String::new, |mended| format!(", mended <b>{}</b>", escaped(mended)));
    let _ = writeln!(
        page,
        "<header><h1>{}</h1><p>{stamp}{mended}{}</p></header>\n\
         <div id=\"alarm\" role=\"alert\" hidden><p id=\"alarm-words\"></p></div>\n<a id=\"notice\" href=\"#/kept\" hidden></a>\n<nav aria-label=\"Parts of this page\">",
        escaped(&plan.title.name),
        escaped(&revision)
    );
    for part in ["marks", "clips", "boards", "lists", "steps", "kept"] {
        let _ = write!(page, "<a href=\"#/{part}\">{part}</a>");
    }
    page.push_str("</nav>\n<noscript><p class=\"red\">This page keeps readings by a script, and this browser runs none.</p></noscript>\n");
}

pub(super) fn marks(page: &mut String) {
    page.push_str(
        "<section id=\"marks\" aria-label=\"Marks\">\n<p><select id=\"wall\" aria-label=\"Wall\"></select></p>\n\
         <svg id=\"tape\" viewBox=\"0 0 100 14\" role=\"img\" aria-label=\"The wall with its marks\"></svg>\n\
         <p id=\"figure\" aria-live=\"polite\"></p>\n<p id=\"what\"></p>\n<p id=\"gap\"></p>\n\
         <div class=\"two\"><button type=\"button\" id=\"back\">back</button><button type=\"button\" id=\"next\">next mark</button></div>\n\
         <div id=\"bar\"><button type=\"button\" id=\"on-mark\">fixed on its mark</button>\
         <button type=\"button\" id=\"type\">type where it was fixed</button>\
         <button type=\"button\" id=\"again\">second tape of the same place</button>\
         <button type=\"button\" id=\"other\"></button></div>\n<p id=\"said\" role=\"status\"></p>\n</section>\n",
    );
}

pub(super) fn clips(page: &mut String, plan: &Plan) {
    page.push_str("<section id=\"clips\" aria-label=\"Clips\">\n");
    let Some(layout) = plan.ceiling.layout.as_ref().filter(|layout| !layout.clips.is_empty()) else {
        page.push_str("<p>No clips are set out in this plan.</p>\n</section>\n");
        return;
    };
    let rank = |on: Support| match on {
        Support::Joist(index) => (0, index),
        Support::Noggin(index) => (1, index),
    };
    let mut order: Vec<_> = layout.clips.iter().collect();
    order.sort_by_key(|clip| (rank(clip.on), clip.bar));
    let mut groups: Vec<(String, Vec<&setout::Clip>)> = Vec::new();
    for clip in order {
        let name = match clip.on {
            Support::Joist(index) => joist_name(plan, index),
            Support::Noggin(_) => "noggins".to_owned(),
        };
        match groups.last_mut() {
            Some((known, clips)) if *known == name => clips.push(clip),
            _ => groups.push((name, vec![clip])),
        }
    }
    page.push_str("<p class=\"pick\"><select id=\"joist\" aria-label=\"Joist\">");
    for (at, (name, clips)) in groups.iter().enumerate() {
        let _ = write!(page, "<option value=\"{at}\">{}, {} clips</option>", escaped(name), clips.len());
    }
    page.push_str("</select></p>\n<p id=\"clips-left\" class=\"how\"></p>\n");
    for (at, (name, clips)) in groups.iter().enumerate() {
        let _ = writeln!(
            page,
            "<div class=\"group\" data-joist=\"{at}\"><h2>{}</h2><ul class=\"rows\">",
            escaped(name)
        );
        for clip in clips {
            clip_row(page, plan, layout, clip);
        }
        page.push_str("</ul></div>\n");
    }
    page.push_str(
        "<div class=\"two\"><button type=\"button\" id=\"joist-back\">back</button><button type=\"button\" id=\"joist-next\">next joist</button></div>\n\
         </section>\n",
    );
}

fn clip_row(page: &mut String, plan: &Plan, layout: &Layout, clip: &setout::Clip) {
    let both = ceiling_words::packer(plan, clip).filter(|words| words.contains('–'));
    let packer = match clip.packer_mm.map(|packer| plan.lengths().rounded(packer)) {
        Some(_) if both.is_some() => {
            format!("{}<small> packer, low and high edge</small>", both.unwrap_or_default())
        }
        None => "<small>no level was read</small>".to_owned(),
        Some(mm) if mm < 0.5 => "0<small> no packer</small>".to_owned(),
        Some(mm) if plan.lengths().in_feet() => {
            format!("{}<small> packer</small>", plan.lengths().figure(mm, 0))
        }
        Some(mm) => format!("{}<small> mm packer</small>", number(mm, 0)),
    };
    let bar = layout.bars.get(clip.bar).map_or(0, |bar| bar.number);
    let on = match clip.on {
        Support::Noggin(_) => format!(" on {}", support_name(plan, layout, clip.on)),
        Support::Joist(_) => String::new(),
    };
    let _ = writeln!(
        page,
        "<li data-clip=\"{0}\"><p class=\"big\">{packer}</p><p class=\"which\"><b>clip {0}, bar {bar}</b>{on}<br>{1} from the bar's left end</p>\
         <p class=\"state\"></p><div class=\"three\"><button type=\"button\" data-do=\"fixed\">fixed</button>\
         <button type=\"button\" data-do=\"moved\">moved</button><button type=\"button\" data-do=\"skipped\">skipped</button></div></li>",
        clip.number,
        escaped(&plan.lengths().with_unit(clip.along_mm, 0)),
    );
}

pub(super) fn boards(page: &mut String, plan: &Plan) {
    page.push_str("<section id=\"boards\" aria-label=\"Boards\">\n");
    let layers = plan.ceiling.layout.as_ref().map_or(&[] as &[Layer], |layout| layout.layers.as_slice());
    if layers.is_empty() {
        page.push_str("<p>No boards are set out in this plan.</p>\n</section>\n");
        return;
    }
    page.push_str("<p><select id=\"layer\" aria-label=\"Layer\">");
    for (at, layer) in layers.iter().enumerate() {
        let _ = write!(
            page,
            "<option value=\"{at}\">layer {}, {} pieces</option>",
            layer.number,
            layer.pieces.len()
        );
    }
    page.push_str("</select></p>\n<p id=\"boards-left\" class=\"how\"></p>\n");
    for (at, layer) in layers.iter().enumerate() {
        let _ = writeln!(
            page,
            "<div class=\"group\" data-layer=\"{at}\"><h2>Layer {}, {}</h2><ul class=\"rows\">",
            layer.number,
            escaped(&layer.material.replace('-', " "))
        );
        for piece in &layer.pieces {
            piece_row(page, plan, layer, piece);
        }
        page.push_str("</ul></div>\n");
    }
    page.push_str("</section>\n");
}

fn piece_row(page: &mut String, plan: &Plan, layer: &Layer, piece: &Piece) {
    let sheet = match layer.sheet_of(piece) {
        Some(from) if from.layer == layer.number => from.sheet.to_string(),
        Some(from) => format!("{} of layer {}", from.sheet, from.layer),
        None => String::new(),
    };
    let size = format!(
        "{} \u{d7} {}",
        plan.lengths().figure(piece.length_mm, 0),
        plan.lengths().figure(piece.width_mm, 0)
    );
    let how = if piece.whole { "a whole sheet".to_owned() } else { format!("cut from sheet {sheet}") };
    let _ = writeln!(
        page,
        "<li data-piece=\"{0}\"><p class=\"big\">{0}</p><p class=\"which\"><b>{size}</b><br>{how}, {1}</p><p class=\"state\"></p>\
         <div class=\"three\"><button type=\"button\" data-do=\"up\">up</button><button type=\"button\" data-do=\"off\">up, but off</button>\
         </div></li>",
        escaped(&piece.name),
        escaped(&with_unit(piece.mass_kg, 0, "kg")),
    );
}

pub(super) fn lists(page: &mut String, plan: &Plan) {
    page.push_str("<section id=\"lists\" aria-label=\"Lists and drawings\">\n");
    if let Some(layout) = &plan.ceiling.layout {
        cutting(page, plan, layout);
        bars_to_cut(page, plan, layout);
        noggins(page, plan, layout);
        packers(page, plan, layout);
    }
    drawings(page, plan);
    page.push_str("</section>\n");
}

fn cutting(page: &mut String, plan: &Plan, layout: &Layout) {
    let mut towards = None;
    let cuts = screen::cut_sheets(plan);
    for layer in &layout.layers {
        let whole: Vec<&str> =
            layer.pieces.iter().filter(|piece| piece.whole).map(|piece| piece.name.as_str()).collect();
        let own: Vec<_> = cuts.iter().filter(|cut| cut.layer == layer.number).collect();
        let _ = writeln!(page, "<details><summary>Cutting the boards of layer {}</summary>", layer.number);
        if !whole.is_empty() {
            let _ = writeln!(page, "<p>Uncut: {}.</p>", escaped(&whole.join(", ")));
        }
        for cut in own {
            towards = towards.or(cut.towards.clone());
            let _ = writeln!(
                page,
                "<h3>{}</h3>\n<div class=\"cut\" role=\"img\" aria-label=\"{}\">{}</div>",
                escaped(&cut.title),
                escaped(&cut.title),
                svg::write(&cut.scene).replace(" id=\"", &format!(" id=\"c{}-", layer.number))
            );
        }
        if let Some(wall) = &towards {
            let _ = writeln!(
                page,
                "<p class=\"how\">Figures in mm from the sheet's own edges, its face up as it will hang. An arrow points towards wall {}. \
                 Hatched is left over.</p>",
                escaped(wall)
            );
        }
        page.push_str("</details>\n");
    }
}

fn table(page: &mut String, summary: &str, head: &[&str], rows: &[Vec<String>]) {
    if rows.is_empty() {
        return;
    }
    let _ = write!(page, "<details><summary>{}</summary><table><thead><tr>", escaped(summary));
    for word in head {
        let _ = write!(page, "<th scope=\"col\">{}</th>", escaped(word));
    }
    page.push_str("</tr></thead><tbody>\n");
    for row in rows {
        page.push_str("<tr>");
        for cell in row {
            let _ = write!(page, "<td>{}</td>", escaped(cell));
        }
        page.push_str("</tr>\n");
    }
    page.push_str("</tbody></table></details>\n");
}

fn bars_to_cut(page: &mut String, plan: &Plan, layout: &Layout) {
    let rows: Vec<Vec<String>> = layout
        .bar_cutting
        .iter()
        .map(|stock| {
            let cuts: Vec<String> = stock
                .cuts
                .iter()
                .map(|cut| format!("{} for bar {}", plan.lengths().figure(cut.length_mm, 0), cut.bar))
                .collect();
            vec![stock.number.to_string(), cuts.join("; "), plan.lengths().figure(stock.left_over_mm, 0)]
        })
        .collect();
    table(page, "Cutting the bars", &["length", "cut, mm", "left, mm"], &rows);
}

fn noggins(page: &mut String, plan: &Plan, layout: &Layout) {
    let rows: Vec<Vec<String>> = layout
        .noggins
        .iter()
        .enumerate()
        .map(|(at, noggin)| {
            let words = ceiling_words::noggin(plan, noggin);
            let clips = layout.clips.iter().filter(|clip| clip.on == Support::Noggin(at));
            let carries: Vec<String> = clips
                .map(|clip| {
                    format!(
                        "clip {}, bar {}",
                        clip.number,
                        layout.bars.get(clip.bar).map_or(0, |bar| bar.number)
                    )
                })
                .collect();
            vec![
                format!("N{}", noggin.number),
                plan.lengths().figure(noggin.length_mm, 0),
                words.between,
                words.place,
                carries.join("; "),
            ]
        })
        .collect();
    table(page, "Noggins", &["noggin", "length, mm", "from – to", "its middle, mm", "carries"], &rows);
}

fn packers(page: &mut String, plan: &Plan, layout: &Layout) {
    let rows: Vec<Vec<String>> = ceiling_words::packers(plan, &layout.take_off.packers)
        .into_iter()
        .map(|(thick, count)| vec![thick, count.to_string()])
        .collect();
    table(page, "Packers to carry", &["thick, mm", "how many"], &rows);
}

fn drawings(page: &mut String, plan: &Plan) {
    let layers = plan.ceiling.layout.iter().flat_map(|layout| &layout.layers);
    let boards = layers.filter_map(|layer| {
        screen::boards_of_layer(plan, layer.number)
            .map(|drawing| (format!("Drawing: boards of layer {}", layer.number), drawing))
    });
    let bars = screen::bars_and_clips(plan).map(|drawing| ("Drawing: bars and clips".to_owned(), drawing));
    for (number_of, (title, drawing)) in bars.into_iter().chain(boards).enumerate() {
        // Names of parts must be unique on one page of several drawings.
        let text = svg::write(&drawing.scene).replace(" id=\"", &format!(" id=\"d{number_of}-"));
        let title = escaped(&title);
        let _ = writeln!(
            page,
            "<details><summary>{title}</summary><div class=\"drawn\" tabindex=\"0\" role=\"group\" aria-label=\"{title}\">{text}</div></details>"
        );
    }
}

pub(super) fn steps(page: &mut String, plan: &Plan) {
    page.push_str("<section id=\"steps\" aria-label=\"Steps\">\n<ol>\n");
    for step in &plan.steps {
        let title = escaped(&step.title);
        let _ = writeln!(
            page,
            "<li data-step=\"{title}\"><label><input type=\"checkbox\"> <b>{}. {title}</b></label><p class=\"how\">{} {}, {}</p>",
            step.number,
            step.people,
            if step.people == 1 { "person" } else { "people" },
            with_unit(step.hours, 1, "h")
        );
        for line in &step.text {
            let _ = writeln!(page, "<p>{}</p>", escaped(line));
        }
        for caution in &step.cautions {
            let _ = writeln!(page, "<p class=\"red\">{}</p>", escaped(caution));
        }
        if let Some(hold) = &step.hold_point {
            hold_point(page, step.number, hold);
        }
        page.push_str("</li>\n");
    }
    page.push_str("</ol>\n</section>\n");
}

/// A hold point: with a figure it is typed on the keypad and held against what it may be; without one a person writes and says.
fn hold_point(page: &mut String, number: usize, hold: &HoldPoint) {
    let _ = write!(
        page,
        "<div class=\"hold\"><p><b>Hold point:</b> {}, with {}</p><p class=\"within\">{}</p><p>If it is out: {}</p>",
        escaped(&hold.measure),
        escaped(&hold.with),
        escaped(&hold.tolerance),
        escaped(&hold.otherwise),
    );
    if hold.limit.is_some() {
        page.push_str(
            "<div class=\"three\"><button type=\"button\" data-figure>type what was measured</button>\
             <button type=\"button\" data-hold=\"out\">out all the same</button></div>",
        );
    } else {
        let _ = write!(
            page,
            "<label for=\"hold-{number}\">measured</label><input type=\"text\" id=\"hold-{number}\" data-measured autocomplete=\"off\" \
             enterkeyhint=\"done\"><div class=\"three\"><button type=\"button\" data-hold=\"in\">within</button>\
             <button type=\"button\" data-hold=\"out\">out</button></div>"
        );
    }
    page.push_str("<p class=\"state\" role=\"status\"></p></div>\n");
}

pub(super) fn kept(page: &mut String) {
    page.push_str(
        "<section id=\"kept\" aria-label=\"What is kept\">\n<p id=\"how-many\"></p>\n\
         <p><a id=\"file\" class=\"button dark\" download=\"readings.toml\" href=\"#/kept\">save the readings as a file</a></p>\n\
         <p class=\"three\"><button type=\"button\" id=\"copy\">copy them</button><button type=\"button\" id=\"send\" hidden>send them</button></p>\n\
         <p id=\"copied\" role=\"status\"></p>\n\
         <p class=\"how\">At home: on the sheet of steps, “take in the readings of the phone”; or <code>stillroom take-in room.toml readings.toml</code>. Taken in twice, nothing is added twice. This page \
         never clears anything.</p>\n<div id=\"others\"></div>\n<ul id=\"list\" class=\"log\"></ul>\n\
         <details><summary>the file as text</summary><textarea id=\"text\" readonly rows=\"12\" aria-label=\"The file as text\"></textarea></details>\n\
         </section>\n",
    );
}

/// The keypad and the short questions, over everything else.
pub(super) fn asks(page: &mut String) {
    page.push_str(
        "<div id=\"cover\" hidden></div>\n<div id=\"ask\" role=\"dialog\" aria-modal=\"true\" aria-labelledby=\"asked\" hidden>\n\
         <p id=\"asked\" tabindex=\"-1\"></p>\n<div id=\"ways\" class=\"three\"></div>\n<output id=\"typed\" aria-live=\"polite\"></output>\n\
         <p id=\"ask-said\" role=\"status\"></p>\n<div class=\"keys\" id=\"pad\"></div>\n<div id=\"choices\"></div>\n\
         <div class=\"two\"><button type=\"button\" id=\"leave\">leave it</button><button type=\"button\" id=\"keep\">keep it</button></div>\n</div>\n",
    );
}
