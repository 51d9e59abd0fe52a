//! What to buy, and the prices it is reckoned with.

use maud::{Markup, html};
use quantities::format::{number, with_unit};

use super::On;
use crate::page::{
    edits::{PRICE, PRICE_OF},
    words::order as words,
};

/// The sheet.
pub(crate) fn draw(on: &On<'_>) -> Markup {
    let order = &on.plan.order;
    let money = |price: f64| format!("{}{}", order.currency, number(price, 2));
    html! {
        div.scroll tabindex="0" role="group" aria-label=(words::WHAT) {
            table.order {
                thead { tr {
                    th { (words::WHAT) } th.r { (words::NEEDED) } th.r { (words::BUY) } th.more { (words::SOLD_AS) }
                    th.r.more { (words::MASS) } th.r { (words::PRICE) }
                } }
                tbody {
                    @for line in &order.lines {
                        tr {
                            th scope="row" { (line.what) @if !line.detail.is_empty() { span.how { " " (sheets::lists::order_detail(on.plan, line)) } }
                                @if !line.note.is_empty() { span.how.block { (line.note) } }
                                span.how.less { (line.sold_as) @if line.mass_kg >= 0.5 { ", " (with_unit(line.mass_kg, 0, "kg")) } } }
                            td.r { (number(line.needed, usize::from(line.needed.fract() > 0.0))) "\u{a0}" (line.unit) }
                            td.r { b { (line.buy) } }
                            td.more { (line.sold_as) }
                            td.r.more { (number(line.mass_kg, 0)) }
                            td.r { (line.price.map_or_else(|| "\u{2013}".to_owned(), money)) }
                        }
                    }
                }
                tfoot { tr {
                    th scope="row" colspan="3" { (words::TOTAL) span.how.less { (with_unit(order.mass_kg, 0, "kg")) } }
                    td.more {}
                    td.r.more { (number(order.mass_kg, 0)) }
                    td.r { b { (money(order.price)) } }
                } }
            }
        }
        @if order.lines_without_price > 0 { p.note { (words::without_price(order.lines_without_price)) } }
        @if let Some(left_out) = &order.left_out { p.note { (left_out) } }
        (prices(on))
        (missing(on))
    }
}

fn prices(on: &On<'_>) -> Markup {
    let name = |path: &str, key: &str| on.filling.typed(&format!("{path}.{key}")).replace('-', " ");
    let mut sold: Vec<(String, String)> = Vec::new();
    for one in ["stock.bar", "stock.clip"] {
        if on.filling.contents.as_ref().is_some_and(|contents| contents.has(one)) {
            sold.push((one.to_owned(), name(one, "product")));
        }
    }
    for (list, key) in [("stock.board", "material"), ("stock.item", "what")] {
        for at in 0..on.filling.count(list) {
            let path = format!("{list}[{at}]");
            let called = name(&path, key);
            sold.push((path, called));
        }
    }
    for at in 0..on.filling.count("stock.price") {
        let path = format!("stock.price[{at}]");
        // As the order has it, whatever stands in it.
        let called = on.filling.typed(&format!("{path}.of"));
        sold.push((path, called));
    }
    html! {
        @if !sold.is_empty() {
            section {
                h2 { (words::PRICES) }
                (on.fields(&html! {
                    div.columns.few {
                        @for (path, called) in &sold {
                            p.pair { span { (called) @if let Some(one) = of_one(on, path, called) { ", " (one) } } (on.filling.number(&format!("{path}.price"), &words::price_of(called))) }
                        }
                    }
                }))
            }
        }
    }
}

/// What a price is the price of: the size a board or bar is sold in, what a pack holds, else as the order counts it.
fn of_one(on: &On<'_>, path: &str, called: &str) -> Option<String> {
    let typed =
        |key: &str| Some(on.filling.typed(&format!("{path}.{key}"))).filter(|typed| !typed.is_empty());
    let size = |key: &str| {
        let typed = typed(key)?;
        Some(typed.parse().map_or(typed, |mm: f64| on.plan.lengths().with_unit(mm, 0)))
    };
    if path == "stock.bar" {
        return size("length_mm");
    }
    if path == "stock.clip" {
        return Some(words::EACH.to_owned());
    }
    if path.starts_with("stock.board") {
        return Some(format!("{} × {}", size("length_mm")?, size("width_mm")?));
    }
    if path.starts_with("stock.item") {
        return Some(format!("{} {}", typed("pack_size")?, words::unit(&typed("unit")?)));
    }
    on.plan.order.lines.iter().find(|line| line.what == called).map(|line| line.sold_as.clone())
}

/// Fields for what has neither a price nor a place in the stock where one could stand.
fn missing(on: &On<'_>) -> Markup {
    let mut lines: Vec<(&str, &str)> = Vec::new();
    for line in on.plan.order.lines.iter().filter(|line| line.price.is_none() && !line.priced_in_stock) {
        if lines.iter().all(|(what, _)| *what != line.what) {
            lines.push((&line.what, &line.sold_as));
        }
    }
    html! {
        @if !lines.is_empty() {
            section #missing {
                h2 { (words::MISSING) }
                p.how { (words::MISSING_HOW) }
                form.fields method="post" action=(PRICE) {
                    (on.carried())
                    div.columns.few {
                        @for (at, (what, one)) in lines.iter().enumerate() {
                            @let field = format!("{PRICE_OF}{what}");
                            p.pair {
                                span { (what) ", " (one) }
                                (on.filling.number_sent_as(&field, &field, &format!("f-missing-{at}"), &words::price_of(what)))
                            }
                        }
                    }
                    button.take-over type="submit" { (crate::page::words::TAKE_OVER) }
                }
            }
        }
    }
}
