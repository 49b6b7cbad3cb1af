//! Frozen evidence, verified by the program alone: as it was frozen, forged, and behind the back of the program.

use serde_json::Value;

use super::database::{BOTH, Kind};
use super::program::{Program, visitor};

/// The demo's change that the board has approved.
const DECIDED: &str = "2026-003";

#[tokio::test]
async fn frozen_figures_are_worked_out_again_on_either_database() {
    for kind in BOTH {
        let demo = Program::demo(kind).await;
        demo.line_with("administrator");
        let told = demo.place().run(&["evidence", "verify", DECIDED]);
        let agreeing = told.lines().filter(|line| line.starts_with("agrees ")).count();
        assert!(agreeing > 20 && !told.contains("DIFFERS"), "{kind:?}: {told}");
        let unknown = demo.place().command(&["evidence", "verify", "2020-001"]).output().expect("it starts");
        assert!(!unknown.status.success());
        assert!(
            String::from_utf8_lossy(&unknown.stderr)
                .contains("no evidence is frozen for a change `2020-001`")
        );
    }
}

#[tokio::test]
async fn a_forged_file_is_told_by_its_digest_and_by_its_figures() {
    let demo = Program::demo(Kind::Sqlite).await;
    let line = demo.line_with("equipment engineer");
    let link = line.split_whitespace().find(|word| word.starts_with("http://")).expect("a link");
    let engineer = visitor();
    let signed_in = engineer.post(link).send().await.expect("an answer");
    assert!(signed_in.status().is_success(), "{}", demo.log());
    let page =
        engineer.get(format!("{}/changes/{DECIDED}/evidence", demo.base)).send().await.expect("an answer");
    let page = page.text().await.expect("a page");
    let start = format!("/changes/{DECIDED}/evidence/");
    let id: String =
        page.split(&start).nth(1).expect("a file").chars().take_while(char::is_ascii_digit).collect();
    let address = format!("{}{start}{id}/json", demo.base);
    let document = engineer.get(address).send().await.expect("an answer").text().await.expect("a document");

    let verify = |name: &str, document: &str, more: &[&str]| {
        let file = demo.place().file(name);
        std::fs::write(&file, document).expect("written");
        let mut args = vec!["evidence", "verify", "--file", file.to_str().expect("a plain path")];
        args.extend(more);
        let ended = demo.place().command(&args).output().expect("the program starts");
        (ended.status.success(), String::from_utf8(ended.stdout).expect("text"))
    };
    let (agrees, told) = verify("whole.json", &document, &[]);
    assert!(agrees, "{told}");
    let digest =
        told.lines().next().and_then(|line| line.strip_prefix("digest   ")).expect("the digest").to_owned();
    assert!(page.contains(&digest));

    // The count of failures in one age band, one more.
    let forged = forge(&document);
    let (agrees, told) = verify("forged.json", &forged, &["--digest", &digest]);
    assert!(!agrees);
    assert!(told.contains("DIFFERS  digest: ") && told.matches("DIFFERS").count() > 1, "{told}");
    let (agrees, told) = verify("other.json", "{\"version\":", &[]);
    assert!(!agrees && told.contains("DIFFERS  the inputs"), "{told}");
}

fn forge(document: &str) -> String {
    let mut forged: Value = serde_json::from_str(document).expect("JSON");
    let count = find(&mut forged).expect("a band with failures");
    *count = (count.as_u64().expect("a count") + 1).into();
    forged.to_string()
}

/// The first count of failures before that is not nought.
fn find(value: &mut Value) -> Option<&mut Value> {
    match value {
        Value::Object(fields) => fields.iter_mut().find_map(|(name, field)| {
            if name == "before_count" && field.as_u64().is_some_and(|count| count > 0) {
                Some(field)
            } else {
                find(field)
            }
        }),
        Value::Array(items) => items.iter_mut().find_map(find),
        _ => None,
    }
}
