//! The digest of each file of a pack, by which the journal tells what was imported.

use std::io::{self, Read};

use sha2::{Digest, Sha256};

use super::check::CheckError;
use super::source::PackSource;
use crate::secrets::hex;

/// SHA-256 of each file, by name, in hexadecimal.
pub(crate) fn digests(source: &PackSource) -> Result<Vec<(String, String)>, CheckError> {
    let mut all = Vec::new();
    for table in source.tables() {
        let read = source.read(table, digest).and_then(Option::transpose);
        if let Some(digest) = read.map_err(|error| CheckError::new(table, error))? {
            all.push((table.file(), digest));
        }
    }
    Ok(all)
}

fn digest(input: &mut dyn Read) -> io::Result<String> {
    let mut sha = Sha256::new();
    let mut buffer = vec![0; 1 << 16];
    loop {
        match input.read(&mut buffer)? {
            0 => break,
            read => sha.update(&buffer[..read]),
        }
    }
    Ok(hex(&sha.finalize()))
}
