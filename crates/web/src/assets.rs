//! Style, type and drawings that ship with the program, under addresses that change with their content.

use std::borrow::Cow;
use std::sync::LazyLock;

use axum::extract::Path;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::RustEmbed;
use sha2::{Digest as _, Sha256};

use crate::secrets::hex;

#[derive(RustEmbed)]
#[folder = "static"]
struct Files;

/// Style sheets sent as one file, so that a phone asks once.
const BUNDLES: [(&str, &[&str]); 2] = [
    // For a phone in the field: no web font.
    ("field.css", &["css/ground.css", "css/parts.css", "css/form.css", "css/print.css"]),
    (
        "desk.css",
        &[
            "css/ground.css",
            "css/type.css",
            "css/parts.css",
            "css/form.css",
            "css/table.css",
            "css/thread.css",
            "css/sheet.css",
            "css/change.css",
            "css/chart.css",
            "css/poster.css",
            "css/sorting.css",
            "css/print.css",
        ],
    ),
];

/// Twelve digits that change when any shipped file changes: one address for the set, so that files may name each
/// other by relative paths.
static SET: LazyLock<String> = LazyLock::new(|| {
    let mut names: Vec<_> = Files::iter().collect();
    names.sort();
    let mut hasher = Sha256::new();
    for name in names {
        hasher.update(name.as_bytes());
        if let Some(file) = Files::get(&name) {
            hasher.update(&file.data);
        }
    }
    hex(&hasher.finalize()[..6])
});

/// The lasting address of a shipped file.
pub fn url(name: &str) -> Option<String> {
    find(name).map(|_| format!("/static/{}/{name}", *SET))
}

fn find(name: &str) -> Option<Cow<'static, [u8]>> {
    if let Some((_, parts)) = BUNDLES.iter().find(|(bundle, _)| *bundle == name) {
        let mut whole = Vec::new();
        for part in *parts {
            whole.extend_from_slice(&Files::get(part)?.data);
            whole.push(b'\n');
        }
        return Some(Cow::Owned(whole));
    }
    Files::get(name).map(|file| file.data)
}

/// A shipped file as text.
pub fn text(name: &str) -> Option<String> {
    String::from_utf8(find(name)?.into_owned()).ok()
}

fn media_type(name: &str) -> &'static str {
    match name.rsplit_once('.').map(|(_, ending)| ending) {
        Some("css") => "text/css; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("woff2") => "font/woff2",
        Some("wasm") => "application/wasm",
        Some("webmanifest") => "application/manifest+json",
        _ => "text/plain; charset=utf-8",
    }
}

/// `GET /static/{set}/{name}`.
pub async fn serve(Path((set, name)): Path<(String, String)>) -> Response {
    let Some(data) = find(&name) else { return StatusCode::NOT_FOUND.into_response() };
    // An address of an older set still answers, but isn't to be kept; so neither is one while developing.
    let lasting = set == *SET && !cfg!(debug_assertions);
    let cache = if lasting { "public, max-age=31536000, immutable" } else { "no-cache" };
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(media_type(&name))),
        (header::CACHE_CONTROL, HeaderValue::from_static(cache)),
    ];
    (headers, data.into_owned()).into_response()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_bundle_is_whole() {
        for (name, _) in BUNDLES {
            assert!(url(name).is_some(), "{name} misses a part");
        }
    }

    #[test]
    fn the_field_style_asks_for_no_font() {
        let css = find("field.css").unwrap();
        assert!(!std::str::from_utf8(&css).unwrap().contains("@font-face"));
    }

    #[test]
    fn every_file_a_style_names_is_shipped() {
        for (name, _) in BUNDLES {
            let css = String::from_utf8(find(name).unwrap().into_owned()).unwrap();
            for named in css.split("url(").skip(1).filter_map(|rest| rest.split(')').next()) {
                assert!(find(named).is_some(), "{name} names {named}, relative to its own address");
            }
        }
    }

    #[test]
    fn an_unknown_file_has_no_address() {
        assert_eq!(url("face.css.map"), None);
    }
}
