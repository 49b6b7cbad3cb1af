//! All that a template can reach: its fellow templates, the fonts, and one document's values.

use std::sync::OnceLock;

use rust_embed::{EmbeddedFile, RustEmbed};
use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt as _, World};

/// The name under which a template reads the values.
const VALUES: &str = "values.json";

#[derive(RustEmbed)]
#[folder = "../../templates/documents"]
#[include = "*.typ"]
struct Templates;

#[derive(RustEmbed)]
#[folder = "fonts"]
#[include = "*.ttf"]
struct Fonts;

/// What is the same for every document.
struct House {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
}

fn house() -> &'static House {
    static HOUSE: OnceLock<House> = OnceLock::new();
    HOUSE.get_or_init(|| {
        // In the order of their names, so that every build chooses alike.
        let mut names: Vec<_> = Fonts::iter().collect();
        names.sort();
        let files = names.iter().filter_map(|name| Fonts::get(name));
        let fonts: Vec<Font> = files.flat_map(|file| Font::iter(bytes(file))).collect();
        House {
            library: LazyHash::new(Library::default()),
            book: LazyHash::new(FontBook::from_fonts(&fonts)),
            fonts,
        }
    })
}

/// Whether one of the fonts draws a letter.
pub(crate) fn holds(letter: char) -> bool {
    house().fonts.iter().any(|font| font.info().coverage.contains(u32::from(letter)))
}

fn bytes(file: EmbeddedFile) -> Bytes {
    Bytes::new(file.data.into_owned())
}

/// The world of one document.
pub(crate) struct Desk {
    main: FileId,
    values: Bytes,
}

impl Desk {
    /// Lays out `values` by a template.
    pub(crate) fn new(template: &str, values: Vec<u8>) -> FileResult<Self> {
        let path = VirtualPath::new(template).map_err(|_| FileError::NotFound(template.into()))?;
        let main = RootedPath::new(VirtualRoot::Project, path).intern();
        Ok(Self { main, values: Bytes::new(values) })
    }

    fn read(&self, id: FileId) -> FileResult<Bytes> {
        let path = id.get();
        let name = path.vpath().get_without_slash();
        // A package would have to be fetched from somewhere.
        let is_ours = matches!(path.root(), VirtualRoot::Project);
        match name {
            _ if !is_ours => Err(FileError::AccessDenied),
            VALUES => Ok(self.values.clone()),
            _ => Templates::get(name).map(bytes).ok_or(FileError::AccessDenied),
        }
    }
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        &house().library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &house().book
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let text = String::from_utf8(self.read(id)?.to_vec()).map_err(|_| FileError::InvalidUtf8)?;
        Ok(Source::new(id, text))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        self.read(id)
    }

    fn font(&self, index: usize) -> Option<Font> {
        house().fonts.get(index).cloned()
    }

    /// A document knows no day but those among its values.
    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id(path: &str) -> FileId {
        RootedPath::new(VirtualRoot::Project, VirtualPath::new(path).unwrap()).intern()
    }

    #[test]
    fn a_template_reaches_its_values_and_its_fellows_and_nothing_else() {
        let desk = Desk::new("record.typ", b"{}".to_vec()).unwrap();
        assert_eq!(desk.file(id("values.json")).unwrap().as_slice(), b"{}");
        assert!(desk.source(id("frame.typ")).is_ok());
        for other in ["/etc/hostname", "Cargo.toml", "chart.css"] {
            assert!(matches!(desk.file(id(other)), Err(FileError::AccessDenied)), "{other}");
        }
    }

    #[test]
    fn the_fonts_draw_what_figures_and_names_are_written_with() {
        for letter in "AZaz09ÄÖÜäöüßéñłşŁØåαβμχ≤≥±×−–→\u{a0}□".chars() {
            assert!(holds(letter), "{letter:?}");
        }
        assert!(!holds('\u{1f9d7}'));
    }
}
