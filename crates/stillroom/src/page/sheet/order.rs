//! What to buy, and the prices it is reckoned with.

use maud::{Markup, html};
use quantities::format::{number, with_unit};

use super::On;
use crate::page::words::order as words;

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
    html! {
        @if !sold.is_empty() {
            section {
                h2 { (words::PRICES) }
                (on.fields(&html! {
                    div.columns.few {
                        @for (path, called) in &sold {
                            p.pair { span { (called) } (on.filling.number(&format!("{path}.price"), &format!("price of one: {called}"))) }
                        }
                    }
                }))
            }
        }
    }
}
