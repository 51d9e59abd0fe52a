//! Reading and writing files: whole or not at all.

use std::{
    ffi::OsString,
    fs,
    io::{ErrorKind, Read, Write},
    path::{Component, Path, PathBuf},
    time::Duration,
};

use anyhow::{Context, Result, bail};

/// Larger files than this are no room files.
const LARGEST_TEXT: u64 = 16 * 1024 * 1024;

/// Ends the name of what is not yet whole.
pub(crate) const PART: &str = ".part";
/// What a program wrote beside a file and did not finish for so long, it never will.
const LEFT_BEHIND: Duration = Duration::from_mins(10);

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
    let mut bytes = Vec::new();
    // A device or a pipe tells no length beforehand.
    fs::File::open(path)
        .and_then(|file| file.take(LARGEST_TEXT + 1).read_to_end(&mut bytes))
        .with_context(|| format!("`{shown}` cannot be read."))?;
    if bytes.len() as u64 > LARGEST_TEXT {
        bail!("`{shown}` is larger than 16 MB: that is no room, element or level file.");
    }
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
    let kept = fs::metadata(path).ok().filter(fs::Metadata::is_file).map(|about| about.permissions());
    let written = fs::File::create(&beside).and_then(|mut file| {
        if let Some(permissions) = kept {
            file.set_permissions(permissions)?;
        }
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
    sweep(path);
    Ok(())
}

/// Writes a person's own file: a link stays a link, and what it points at is written.
pub(crate) fn write_own(path: &Path, bytes: &[u8]) -> Result<()> {
    write_whole(&fs::canonicalize(path).unwrap_or_else(|_| path.to_owned()), bytes)
}

/// Takes away what a program that was ended while it wrote this file left beside it long ago.
pub(crate) fn sweep(path: &Path) {
    let (Some(folder), Some(name)) = (path.parent(), path.file_name()) else { return };
    let name = name.to_string_lossy();
    sweep_folder(folder, LEFT_BEHIND, |left| {
        left.strip_prefix(&*name)
            .and_then(|left| left.strip_prefix('.')?.strip_suffix(PART))
            .is_some_and(|number| !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit()))
    });
}

/// Takes away files of a folder that have a name only this program gives and that nobody wrote to for so long.
pub(crate) fn sweep_folder(folder: &Path, unused_for: Duration, ours: impl Fn(&str) -> bool) {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let old = entry.file_name().to_str().is_some_and(&ours)
            && entry
                .metadata()
                .and_then(
                    |about| if about.is_file() { about.modified() } else { Err(ErrorKind::Other.into()) },
                )
                .is_ok_and(|changed| changed.elapsed().is_ok_and(|age| age > unused_for));
        if old {
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// A file that a room file names, which must lie in its folder or below it.
///
/// # Errors
/// Where the name, or a link in its way, leads out of the folder.
pub(crate) fn inside(folder: &Path, name: &str) -> Result<PathBuf> {
    let plain =
        Path::new(name).components().all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
    let path = folder.join(name);
    let base = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    // What is not there leads nowhere; whoever reads it says so.
    let stays = plain
        && fs::canonicalize(&path)
            .map_or(true, |real| fs::canonicalize(base).is_ok_and(|base| real.starts_with(base)));
    if !stays {
        bail!(
            "`{name}` leads out of the folder of the room file. Put that file beside the room file and name it alone."
        );
    }
    Ok(path)
}

fn beside(path: &Path) -> PathBuf {
    let mut name: OsString = path.file_name().unwrap_or_default().to_owned();
    name.push(format!(".{}{PART}", std::process::id()));
    path.with_file_name(name)
}

/// A file name as it is shown and stored: without the folders before it.
pub(crate) fn short_name(path: &Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned())
}

#[cfg(test)]
mod tests;
