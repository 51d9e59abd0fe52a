//! Words of opening the room to a phone on the same network.

pub(crate) const TITLE: &str = "A phone on the same network";
pub(crate) const HOW: &str =
    "Point the phone\u{2019}s camera at this code. It is good once and for ten minutes.";
pub(crate) const PLAIN: &str =
    "What goes to the phone is not encrypted: use this only on a network you trust.";
pub(crate) const NEW_CODE: &str = "another code";
pub(crate) const USED: &str = "The last code was used or has run out. Ask for another to let a phone in.";
pub(crate) const OFF: &str = "The room is open to this machine only. Start it with `stillroom open --lan` to let in a phone on the same network.";
pub(crate) const LINK: &str = "for a phone";
pub(crate) const WRONG_CODE: &str =
    "This code is not good, or not any more. Ask for another on the machine the room is open on.";
pub(crate) const WAIT: &str = "A wrong code was just tried. Wait two seconds, then try again.";
pub(crate) const LOCKED: &str = "Too many wrong codes were tried: nobody is let in until another code is made on the machine the room is open on.";
pub(crate) const NO_CODE: &str = "This room is not open to you. Scan the code that the machine shows.";
pub(crate) const QR: &str = "Code to scan with a phone";
pub(crate) const BACK: &str = "back to the room";

/// No address of this machine on a network.
pub(crate) const NO_NETWORK: &str = "This machine has no address on a network. Connect it, or name the address: `--lan-address 192.168.1.20`.";

/// An address that must not be used.
pub(crate) fn not_private(address: std::net::Ipv4Addr) -> String {
    format!(
        "{address} is no address of a home network. Name the one this machine has there, such as 192.168.1.20."
    )
}

/// What is printed when the room is open to the network.
pub(crate) fn printed(address: &str, code: &str) -> String {
    format!("For a phone on the same network, once, within ten minutes:\n{address}\n\n{code}\n{PLAIN}")
}
