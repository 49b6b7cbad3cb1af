//! The folder of photographs, each under the SHA-256 of its content.

use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use super::Photo;
use crate::secrets::digest_hex;

/// A folder of photographs.
#[derive(Clone, Debug)]
pub struct Album {
    folder: PathBuf,
}

impl Album {
    /// The album in a data folder; made when the first photograph is kept.
    pub fn new(data_folder: &Path) -> Self {
        Self { folder: data_folder.join("photos") }
    }

    /// Keeps a photograph durably and says its name. Keeping the same one twice keeps it once.
    ///
    /// # Errors
    /// What the file system says, a full disk among it; nothing half-written stays under a final name.
    pub fn keep(&self, photo: &Photo) -> io::Result<String> {
        let name = digest_hex(&photo.jpeg);
        self.write(&self.path(&name, "jpg"), &photo.jpeg)?;
        self.write(&self.path(&name, "small.jpg"), &photo.thumbnail_jpeg)?;
        Ok(name)
    }

    /// The picture of a name, if there is one.
    ///
    /// # Errors
    /// What the file system says.
    pub fn find(&self, name: &str, small: bool) -> io::Result<Option<Vec<u8>>> {
        // A name is 64 hexadecimal digits and nothing else, so it can't lead out of the folder.
        if name.len() != 64 || !name.bytes().all(|b| b.is_ascii_hexdigit()) {
            return Ok(None);
        }
        match std::fs::read(self.path(name, if small { "small.jpg" } else { "jpg" })) {
            Ok(bytes) => Ok(Some(bytes)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error),
        }
    }

    fn path(&self, name: &str, ending: &str) -> PathBuf {
        self.folder.join(&name[..2]).join(format!("{name}.{ending}"))
    }

    /// Writes beside, syncs, then renames: a reader sees the whole file or none.
    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        if path.exists() {
            return Ok(());
        }
        let folder = path.parent().unwrap_or(&self.folder);
        std::fs::create_dir_all(folder)?;
        let mut file = tempfile::NamedTempFile::new_in(folder)?;
        file.write_all(bytes)?;
        file.as_file().sync_all()?;
        file.persist(path)?;
        std::fs::File::open(folder)?.sync_all()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn photo() -> Photo {
        Photo { jpeg: vec![1, 2, 3], thumbnail_jpeg: vec![4], width: 1, height: 1 }
    }

    #[test]
    fn a_photograph_is_found_under_its_content_and_kept_once() {
        let folder = tempfile::tempdir().expect("a folder");
        let album = Album::new(folder.path());
        let name = album.keep(&photo()).expect("kept");
        assert_eq!(album.keep(&photo()).expect("kept"), name);
        assert_eq!(album.find(&name, false).expect("readable"), Some(vec![1, 2, 3]));
        assert_eq!(album.find(&name, true).expect("readable"), Some(vec![4]));
    }

    #[test]
    fn a_name_with_a_path_in_it_finds_nothing() {
        let folder = tempfile::tempdir().expect("a folder");
        let album = Album::new(folder.path());
        assert_eq!(album.find("../../etc/passwd", false).expect("no error"), None);
        assert_eq!(album.find(&"0".repeat(64), false).expect("no error"), None);
    }
}
