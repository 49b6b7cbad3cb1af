//! A folder into which a mail server puts its files, for programs that read them.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// The mails of a folder, the first name first, so many at most; links and folders are no mails.
///
/// # Errors
/// The folder can't be read.
pub(crate) fn mails(folder: &Path, most: usize) -> io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let path = entry.path();
        let is_mail = path.extension().is_some_and(|end| end.eq_ignore_ascii_case("eml"));
        if is_mail && entry.file_type()?.is_file() {
            found.push(path);
        }
    }
    found.sort();
    found.truncate(most);
    Ok(found)
}

/// Moves a file that was read into a folder below its own; a name that is taken there gets a number.
///
/// # Errors
/// The folder can't be made, or the file can't be moved.
pub(crate) fn put_away(file: &Path, to: &str) -> io::Result<()> {
    let to = file.parent().unwrap_or(file).join(to);
    fs::create_dir_all(&to)?;
    let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let free = (0_u32..).map(|n| if n == 0 { to.join(&name) } else { to.join(format!("{n}-{name}")) });
    match free.into_iter().find(|path| !path.exists()) {
        Some(path) => fs::rename(file, path),
        None => Ok(()),
    }
}
