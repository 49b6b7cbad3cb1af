//! What somebody sends who means harm, or whose phone is broken: refused in words, nothing kept, nothing run, nothing written
//! where it has no business, and the next unit's report is taken as ever.

use std::path::{Path, PathBuf};

use reqwest::StatusCode;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;

use super::books::count_reports;
use super::database::Kind;
use super::program::{Program, visitor};
use super::unit::{Unit, photograph};

/// A PNG's header that promises so many pixels on each side (ISO/IEC 15948: signature, IHDR with its checksum).
fn pixel_bomb() -> Vec<u8> {
    let mut header = b"IHDR".to_vec();
    header.extend(60_000_u32.to_be_bytes());
    header.extend(60_000_u32.to_be_bytes());
    header.extend([8, 2, 0, 0, 0]);
    let mut png = b"\x89PNG\r\n\x1a\n\0\0\0\x0d".to_vec();
    png.extend(&header);
    png.extend(crc32(&header).to_be_bytes());
    png.extend(b"\0\0\0\0IDAT\x35\xaf\x06\x1e\0\0\0\0IEND\xae\x42\x60\x82");
    png
}

/// The checksum of a PNG chunk (ISO/IEC 15948, annex D).
fn crc32(bytes: &[u8]) -> u32 {
    let step = |c: u32| if c & 1 == 1 { (c >> 1) ^ 0xEDB8_8320 } else { c >> 1 };
    !bytes.iter().fold(!0_u32, |crc, &byte| (0..8).fold(crc ^ u32::from(byte), |c, _| step(c)))
}

#[tokio::test]
async fn what_is_no_photograph_is_refused_whatever_it_calls_itself() {
    let demo = Program::demo(Kind::Sqlite).await;
    let unit = Unit::of_demo(&demo);
    let before = count_reports(demo.place(), "before");
    let svg = b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>".to_vec();
    let zip = b"PK\x03\x04\x14\0\0\0\x08\0".repeat(40);
    let program = b"\x7fELF\x02\x01\x01\0".repeat(40);
    for (name, bytes) in
        [("torn.jpg", svg), ("torn.png", pixel_bomb()), ("torn.webp", zip), ("torn.jpeg", program)]
    {
        let opened = unit.open().await;
        let answer = unit.send_photo(&opened, name, bytes).await.expect("an answer");
        assert_eq!(answer.status(), StatusCode::UNPROCESSABLE_ENTITY, "{name}");
        let page = answer.text().await.expect("a page");
        assert!(page.contains("id=\"photo-problem\""), "{name}: the problem stands beside the field");
        assert!(page.contains("the seam let go"), "{name}: what was typed is kept");
    }
    assert_eq!(count_reports(demo.place(), "after"), before);
}

#[tokio::test]
async fn a_photograph_that_is_a_page_too_is_served_as_a_photograph_alone() {
    let demo = Program::demo(Kind::Sqlite).await;
    let unit = Unit::of_demo(&demo);
    let opened = unit.open().await;
    let polyglot = [photograph(), b"<html><script>alert('polyglot')</script></html>".to_vec()].concat();
    let receipt = unit.send_photo(&opened, "torn.html", polyglot).await.expect("an answer");
    assert_eq!(receipt.status(), StatusCode::OK);
    let page = receipt.text().await.expect("a page");
    let path =
        page.split("href=\"/follow/").nth(1).and_then(|rest| rest.split('"').next()).expect("a photograph");
    let photo = visitor().get(format!("{}/follow/{path}", demo.base)).send().await.expect("an answer");
    let head = |name: &str| photo.headers()[name].to_str().expect("text").to_owned();
    assert_eq!(
        (head("content-type"), head("x-content-type-options")),
        ("image/jpeg".into(), "nosniff".into())
    );
    assert!(head("content-security-policy").contains("default-src"));
    let bytes = photo.bytes().await.expect("a picture");
    assert!(!bytes.windows(8).any(|part| part == b"polyglot"), "nothing of the page is left");
}

/// Every file below a folder.
fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").path());
    entries.flat_map(|path| if path.is_dir() { files(&path) } else { vec![path] }).collect()
}

#[tokio::test]
async fn the_name_of_a_file_leads_nowhere() {
    let demo = Program::demo(Kind::Sqlite).await;
    let unit = Unit::of_demo(&demo);
    let photos = demo.place().file("photos");
    let elsewhere = std::env::temp_dir().join("escaped.png");
    let whole = elsewhere.to_str().expect("a name");
    for name in ["../../../escaped.png", whole, "..\\..\\escaped.png", "%2e%2e%2fescaped.png"] {
        let opened = unit.open().await;
        let answer = unit.send_photo(&opened, name, photograph()).await.expect("an answer");
        assert_eq!(answer.status(), StatusCode::OK, "{name}");
    }
    for file in files(demo.place().path()) {
        let name = file.file_name().and_then(|name| name.to_str()).expect("a name");
        assert!(!name.contains("escaped"), "{}", file.display());
    }
    let named_by_digest = |file: &PathBuf| {
        let name = file.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        name.split('.').next().is_some_and(|digest| digest.len() == 64)
    };
    assert!(files(&photos).iter().all(named_by_digest), "{:?}", files(&photos));
    assert!(!elsewhere.exists());
}

/// How much memory the program took at most, in KiB, as the system counted it.
fn most_memory(demo: &Program) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{}/status", demo.id())).expect("Linux tells it");
    let line = status.lines().find(|line| line.starts_with("VmHWM:")).expect("the most memory");
    line.split_whitespace().nth(1).and_then(|number| number.parse().ok()).expect("a number")
}

#[tokio::test]
async fn a_body_of_a_gigabyte_is_cut_off_and_never_held() {
    let demo = Program::demo(Kind::Sqlite).await;
    let unit = Unit::of_demo(&demo);
    let before = most_memory(&demo);
    let address = demo.base.strip_prefix("http://").expect("an address").to_owned();
    let path = unit.form.strip_prefix(&demo.base).expect("a path").to_owned();
    let mut line = TcpStream::connect(&address).await.expect("a line");
    let head = format!(
        "POST {path} HTTP/1.1\r\nHost: {address}\r\nContent-Type: multipart/form-data; boundary=x\r\n\
         Transfer-Encoding: chunked\r\n\r\n"
    );
    line.write_all(head.as_bytes()).await.expect("sent");
    let part = b"--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.png\"\r\n\r\n";
    let chunk = |bytes: &[u8]| [format!("{:x}\r\n", bytes.len()).as_bytes(), bytes, b"\r\n"].concat();
    line.write_all(&chunk(part)).await.expect("sent");
    let mebibyte = chunk(&vec![b'x'; 1 << 20]);
    let mut sent = 0;
    // Until the program hangs up or all of it is sent.
    while sent < 1024 && line.write_all(&mebibyte).await.is_ok() {
        sent += 1;
    }
    let mut answer = Vec::new();
    // A line that the program closed may be reset before its answer is read; both are a refusal.
    let _ = line.read_to_end(&mut answer).await;
    let answer = String::from_utf8_lossy(&answer);
    assert!(answer.is_empty() || answer.starts_with("HTTP/1.1 4"), "{answer}");
    assert!(sent < 1024, "a gigabyte was taken");
    let grown = most_memory(&demo).saturating_sub(before);
    assert!(grown < 128 * 1024, "the program grew by {grown} KiB");
    let opened = unit.open().await;
    assert_eq!(unit.send(&opened, "zip split").await.expect("an answer").status(), StatusCode::OK);
}

#[tokio::test]
async fn a_forged_link_opens_nothing_and_tells_nothing() {
    let demo = Program::demo(Kind::Sqlite).await;
    let unit = Unit::of_demo(&demo);
    let secret = unit.form.rsplit('/').next().expect("a secret").to_owned();
    let last = if secret.ends_with('0') { '1' } else { '0' };
    let one_off = format!("{}{last}", &secret[..63]);
    let forged = [
        "0".repeat(64),
        one_off,
        secret.to_uppercase(),
        secret[..63].to_owned(),
        format!("{secret}0"),
        "..%2f..%2fsign-in".to_owned(),
        "%00".to_owned(),
        "x".repeat(8000),
        "'%20OR%201=1--".to_owned(),
    ];
    let mut told = Vec::new();
    for place in ["report", "unit", "follow"] {
        for secret in &forged {
            let address = format!("{}/{place}/{secret}", demo.base);
            let answer = visitor().get(&address).send().await.expect("an answer");
            assert_eq!(answer.status(), StatusCode::NOT_FOUND, "{address}");
            told.push((place, answer.text().await.expect("a page")));
        }
    }
    for place in ["report", "unit", "follow"] {
        let pages: Vec<&String> = told.iter().filter(|(at, _)| *at == place).map(|(_, page)| page).collect();
        assert!(pages.iter().all(|page| *page == pages[0]), "{place}: one forged link is told from another");
    }
    assert!(!demo.log().contains(&secret), "no secret stands in the log");
}

#[tokio::test]
async fn a_request_that_is_replayed_word_for_word_makes_no_second_report() {
    let demo = Program::demo(Kind::Sqlite).await;
    let unit = Unit::of_demo(&demo);
    let opened = unit.open().await;
    let first = unit.send(&opened, "the seam let go").await.expect("an answer");
    let before = count_reports(demo.place(), "before");
    for _ in 0..5 {
        let again = unit.send(&opened, "the seam let go").await.expect("an answer");
        assert_eq!(again.url(), first.url());
    }
    // The key of one report with the words of another makes none either: it comes back to be sent under a key of its own.
    let other = unit.send(&opened, "something else entirely").await.expect("an answer");
    assert_eq!(other.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(other.text().await.expect("a page").contains("something else entirely"));
    assert_eq!(count_reports(demo.place(), "after"), before);
}
