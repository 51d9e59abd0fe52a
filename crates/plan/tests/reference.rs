//! `docs/room-file.md` says what the reader reads.

#[test]
fn the_reference_is_up_to_date() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/room-file.md");
    let now = plan::reference::room_file_reference();
    if std::env::var_os("REWRITE").is_some() {
        std::fs::write(path, &now).expect("docs is there");
    }
    let written = std::fs::read_to_string(path).expect("docs/room-file.md is there");
    assert!(
        written.replace("\r\n", "\n") == now,
        "docs/room-file.md is stale; write it anew with REWRITE=1 cargo test -p plan --test reference"
    );
}
