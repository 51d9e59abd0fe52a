//! A phone let in from the network: the code it scans, shown on this machine's own page and in the terminal.

use std::{
    net::{IpAddr, Ipv4Addr, UdpSocket},
    time::Instant,
};

use anyhow::{Context, Result, bail};
use axum::{
    extract::State,
    http::StatusCode,
    response::{Html, IntoResponse, Response},
};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use qrcode::{
    QrCode,
    render::{svg, unicode},
};

use super::{Shared, guard::Guard, sentence, words, words::lan};

/// An address to scan, with the code in it.
pub(crate) struct Invited {
    address: String,
    code: QrCode,
}

/// A new code for a guard of the network; none for another guard.
///
/// # Errors
/// Where the machine gives no random numbers.
pub(crate) fn invite(guard: &Guard) -> Result<Option<Invited>> {
    let Some(door) = guard.one_time() else { return Ok(None) };
    let address = format!("http://{}/?code={}", guard.host(), door.new_code(Instant::now())?);
    let code = QrCode::new(address.as_bytes()).context("The code for the phone could not be drawn.")?;
    Ok(Some(Invited { address, code }))
}

impl Invited {
    /// For the terminal.
    pub(crate) fn printed(&self) -> String {
        lan::printed(&self.address, &self.code.render::<unicode::Dense1x2>().build())
    }

    fn drawn(&self) -> Markup {
        let drawing = self.code.render::<svg::Color<'_>>().min_dimensions(300, 300).build();
        // Only the drawing itself: what stands before it belongs to a file of its own.
        let start = drawing.find("<svg").unwrap_or(0);
        html! { (PreEscaped(drawing.get(start..).unwrap_or_default())) }
    }
}

/// This machine's address on the network its way out leads through. Nothing is sent.
///
/// # Errors
/// Where it has none, or one that is not of a home network.
pub(crate) fn own_address(named: Option<Ipv4Addr>) -> Result<Ipv4Addr> {
    let address = named.map_or_else(way_out, Ok)?;
    let home = address.is_private() || address.is_link_local() || address.is_loopback();
    if !home {
        bail!(lan::not_private(address));
    }
    Ok(address)
}

fn way_out() -> Result<Ipv4Addr> {
    let asked = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).and_then(|socket| {
        // An address that is kept for examples: connecting a datagram only looks up the way.
        socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9))?;
        socket.local_addr()
    });
    match asked.map(|address| address.ip()) {
        Ok(IpAddr::V4(address)) if !address.is_loopback() && !address.is_unspecified() => Ok(address),
        _ => bail!(lan::NO_NETWORK),
    }
}

/// The page with the code; a code is made only when asked for, so that reading it again uses none up.
pub(crate) async fn show(State(shared): State<Shared>) -> Response {
    match shared.phone.as_deref().and_then(Guard::one_time) {
        None => sentence(StatusCode::NOT_FOUND, lan::OFF),
        Some(door) => {
            let waits = door.waits(Instant::now());
            Html(page(&html! { @if !waits { p { (lan::USED) } } }).into_string()).into_response()
        }
    }
}

/// Makes another code and shows it.
pub(crate) async fn another(State(shared): State<Shared>) -> Response {
    match shared.phone.as_deref().map(invite) {
        Some(Ok(Some(invited))) => {
            let shown = html! {
                p { (lan::HOW) }
                div.scan role="img" aria-label=(lan::QR) { (invited.drawn()) }
                p.how { (invited.address) }
            };
            Html(page(&shown).into_string()).into_response()
        }
        Some(Err(error)) => sentence(StatusCode::INTERNAL_SERVER_ERROR, &error.to_string()),
        _ => sentence(StatusCode::NOT_FOUND, lan::OFF),
    }
}

fn page(inside: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (lan::TITLE) }
                link rel="stylesheet" href="/assets/page.css";
            }
            body.alone {
                main {
                    p { strong { (words::PROGRAM) } }
                    h1 { (lan::TITLE) }
                    (inside)
                    form method="post" action="/phone" { button type="submit" { (lan::NEW_CODE) } }
                    p.how { (lan::PLAIN) }
                    p { a href="/room" { (lan::BACK) } }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::own_address;

    #[test]
    fn only_an_address_of_a_home_network_is_taken() {
        for good in ["192.168.1.20", "10.0.0.3", "172.16.4.4", "169.254.9.9", "127.0.0.1"] {
            assert!(own_address(Some(good.parse().unwrap())).is_ok(), "{good}");
        }
        for bad in ["0.0.0.0", "8.8.8.8", "255.255.255.255", "172.32.0.1", "224.0.0.1"] {
            let sentence = own_address(Some(bad.parse().unwrap())).unwrap_err().to_string();
            assert!(sentence.contains("no address of a home network"), "{sentence}");
        }
    }
}
