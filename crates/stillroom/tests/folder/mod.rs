//! A folder of its own for each test that works with recordings, and the program run in it.

use std::{
    fs,
    path::PathBuf,
    process::{Command, Output},
};

/// A fresh folder for one test, removed at the end.
pub(crate) struct Folder(pub(crate) PathBuf);

impl Folder {
    pub(crate) fn new(name: &str) -> Self {
        let own = format!("stillroom-{}-{}-{name}", env!("CARGO_CRATE_NAME"), std::process::id());
        let path = std::env::temp_dir().join(own);
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    pub(crate) fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_stillroom")).args(arguments).current_dir(&self.0).output().unwrap()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

pub(crate) fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}
