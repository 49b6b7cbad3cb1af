//! The calculator as a program: lines in, lines out, in order, and an exit status that tells of a bad one.

use std::io::Write;
use std::process::{Command, Output, Stdio};

use serde_json::Value;

use super::program::binary;

fn calc(args: &[&str], input: &str) -> Output {
    let mut child = Command::new(binary())
        .arg("calc")
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    child.stdin.take().expect("a piped input").write_all(input.as_bytes()).expect("it reads");
    child.wait_with_output().expect("it ends")
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).expect("the program prints text")
}

#[test]
fn a_bad_line_among_good_ones_is_told_in_its_place_and_by_the_exit_status() {
    let three = "{\"k\": 3, \"exposure\": 1200, \"conf\": 0.9}\n{\"k\": 3, \"exposure\": -1, \"conf\": 0.9}\n\
                 {\"k\": 0, \"exposure\": 1, \"conf\": 0.5}\n";
    let ended = calc(&["poisson_rate"], three);
    let lines: Vec<Value> =
        text(&ended.stdout).lines().map(|line| serde_json::from_str(line).expect("a line of JSON")).collect();
    assert_eq!(lines.len(), 3, "{lines:?}");
    assert_eq!(lines[0]["rate"], 0.0025);
    assert_eq!(
        lines[1],
        serde_json::json!({"line": 2, "error": "exposure is -1 but must be a finite number above 0"})
    );
    assert_eq!(lines[2]["mtbf"]["mtbf_hat"], "inf");
    assert_eq!(ended.status.code(), Some(1));
    assert!(text(&ended.stderr).contains("1 of 3 lines have no answer"), "{}", text(&ended.stderr));

    let good = calc(&["poisson_rate"], three.lines().next().expect("a line"));
    assert!(good.status.success());
}

#[test]
fn options_are_answered_in_words_or_json_and_a_misspelt_method_finds_its_neighbour() {
    let options = ["poisson_rate", "--k", "3", "--exposure", "1200", "--conf", "0.9"];
    let words = calc(&options, "");
    assert!(words.status.success(), "{}", text(&words.stderr));
    assert!(text(&words.stdout).starts_with("2.50 per 1,000 (0.681 to 6.46"), "{}", text(&words.stdout));
    for json in [[&options[..], &["--json"]].concat(), [&["--json"], &options[..]].concat()] {
        let answer: Value = serde_json::from_slice(&calc(&json, "").stdout).expect("JSON");
        assert_eq!(answer["rate"], 0.0025);
    }
    let list = calc(&["--list"], "");
    assert!(
        list.status.success() && text(&list.stdout).starts_with("poisson_rate\n"),
        "{}",
        text(&list.stdout)
    );

    let wrong = calc(&["poison_rate"], "");
    assert!(!wrong.status.success());
    assert!(text(&wrong.stderr).contains("'poisson_rate'"), "{}", text(&wrong.stderr));
}
