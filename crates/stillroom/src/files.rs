//! Reading and writing files: whole or not at all.

use std::{
    ffi::OsString,
    fs,
    io::Write,
    path::{Path, PathBuf},
};

use anyhow::{Context, Result, bail};

/// Larger files than this are no room files.
const LARGEST_TEXT: u64 = 16 * 1024 * 1024;

/// Reads a text file; the error says which file and what to do.
pub(crate) fn read_text(path: &Path) -> Result<String> {
    let shown = path.display();
    let about = fs::metadata(path).with_context(|| {
        format!("There is no file `{shown}` that can be read. Check the name and the folder.")
    })?;
    if about.is_dir() {
        bail!("`{shown}` is a folder. Name the file in it, such as `{}`.", path.join("room.toml").display());
    }
    if about.len() > LARGEST_TEXT {
        bail!("`{shown}` is larger than 16 MB: that is no room, element or level file.");
    }
    let bytes = fs::read(path).with_context(|| format!("`{shown}` cannot be read."))?;
    String::from_utf8(bytes).map_err(|_| {
        anyhow::anyhow!("`{shown}` is not UTF-8 text. Save it as plain text with UTF-8 encoding.")
    })
}

/// Opens a file of sound for reading; the error says which file and what to do.
pub(crate) fn open_sound(path: &Path) -> Result<std::io::BufReader<fs::File>> {
    let shown = path.display();
    let file = fs::File::open(path).with_context(|| {
        format!("There is no file `{shown}` that can be read. Check the name and the folder.")
    })?;
    if file.metadata().is_ok_and(|about| about.is_dir()) {
        bail!("`{shown}` is a folder. Name the recording in it.");
    }
    Ok(std::io::BufReader::with_capacity(1 << 18, file))
}

/// Writes a file so that a reader finds either the old or the new one, whole.
pub(crate) fn write_whole(path: &Path, bytes: &[u8]) -> Result<()> {
    let shown = path.display();
    if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        fs::create_dir_all(folder)
            .with_context(|| format!("The folder `{}` cannot be made.", folder.display()))?;
    }
    let beside = beside(path);
    let written = fs::File::create(&beside).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()
    });
    if let Err(error) = written.and_then(|()| fs::rename(&beside, path)) {
        // The half-written file is of no use to anyone; that it cannot be removed changes nothing.
        let _ = fs::remove_file(&beside);
        return Err(error).with_context(|| {
            format!("`{shown}` cannot be written. Is the folder write-protected or the disk full?")
        });
    }
    Ok(())
}

fn beside(path: &Path) -> PathBuf {
    let mut name: OsString = path.file_name().unwrap_or_default().to_owned();
    name.push(format!(".{}.part", std::process::id()));
    path.with_file_name(name)
}

/// A file name as it is shown and stored: without the folders before it.
pub(crate) fn short_name(path: &Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned())
}
