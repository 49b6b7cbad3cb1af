//! The published texts: DoDI 5230.24 of 23 August 2012, enclosure 4.

use super::*;

const OFFICE: &str = "Equipment Office, Fjord Rescue";

fn read(text: &str) -> Result<Distribution, DistributionError> {
    text.parse()
}

fn with(letter: &str, reason: &str) -> String {
    let reason = if reason.is_empty() { String::new() } else { format!("; reason={reason}") };
    format!("{letter}{reason}; determined=2026-03-03; office={OFFICE}")
}

#[test]
fn public_release_reads_as_published_and_takes_neither_reason_nor_date() {
    let a = read("A").unwrap();
    assert_eq!(
        a.statement(),
        "DISTRIBUTION STATEMENT A. Approved for public release. Distribution is unlimited."
    );
    assert_eq!(a.edition(), "DoDI 5230.24 of 23 Aug 2012");
    for field in ["reason=Test and Evaluation", "determined=2026-03-03", "office=x"] {
        let said = read(&format!("A; {field}")).unwrap_err();
        assert!(matches!(said, DistributionError::NotTaken { letter: Letter::A, .. }), "{said}");
    }
}

#[test]
fn the_audience_of_each_letter_is_the_published_one() {
    for (letter, audience) in [
        ("B", "Distribution authorized to U.S. Government agencies (Export Controlled)"),
        (
            "C",
            "Distribution authorized to U.S. Government agencies and their contractors (Export Controlled)",
        ),
        (
            "D",
            "Distribution authorized to the Department of Defense and U.S. DoD contractors only (Export Controlled)",
        ),
        ("E", "Distribution authorized to DoD Components only (Export Controlled)"),
    ] {
        let whole = format!(
            "DISTRIBUTION STATEMENT {letter}. {audience} (3 March 2026). Other requests for this document shall be \
             referred to {OFFICE}."
        );
        assert_eq!(read(&with(letter, "Export Controlled")).unwrap().statement(), whole);
    }
    assert_eq!(
        read(&with("F", "")).unwrap().statement(),
        format!(
            "DISTRIBUTION STATEMENT F. Further dissemination only as directed by {OFFICE} (3 March 2026) or higher DoD \
             authority."
        )
    );
}

#[test]
fn a_reason_goes_only_with_the_letters_of_its_list() {
    let takes = |letter: &str, reason: &str| read(&with(letter, reason)).is_ok();
    let letters =
        |reason: &str| ["B", "C", "D", "E"].into_iter().filter(|l| takes(l, reason)).collect::<String>();
    for (reason, taken) in [
        ("Direct Military Support", "E"),
        ("Test and Evaluation", "BE"),
        ("Proprietary Information", "BE"),
        ("Premature Dissemination", "BE"),
        ("Critical Technology", "BCDE"),
        ("Software Documentation", "BCDE"),
        ("Because", ""),
    ] {
        assert_eq!(letters(reason), taken, "{reason}");
    }
    assert!(!takes("F", "Critical Technology"));
    assert_eq!(reasons(Letter::E).count(), 13);
    assert_eq!(reasons(Letter::A).count() + reasons(Letter::F).count(), 0);
}

#[test]
fn what_is_missing_or_strange_is_named() {
    for (text, said) in [
        ("", DistributionError::Letter),
        ("X", DistributionError::Letter),
        ("B; office=x; reason=Export Controlled", DistributionError::Wanted("determined")),
        ("F; determined=2026-03-03", DistributionError::Wanted("office")),
        ("A; colour=red", DistributionError::Field("colour".into())),
        ("A; red", DistributionError::Field("red".into())),
        ("F; office=x; office=y", DistributionError::Field("office".into())),
        ("F; office=x; determined=3.3.2026", DistributionError::Day),
    ] {
        assert_eq!(read(text), Err(said), "{text}");
    }
    assert!(matches!(read("B; office=x; determined=2026-03-03"), Err(DistributionError::Reason { .. })));
}

#[test]
fn one_word_marks_both_edges_and_a_bar_tells_them_apart() {
    let marking: Marking = "INTERNAL".parse().unwrap();
    assert_eq!((marking.top.as_deref(), marking.bottom.as_deref()), (Some("INTERNAL"), Some("INTERNAL")));
    let marking: Marking = "INTERNAL |".parse().unwrap();
    assert_eq!((marking.top.as_deref(), marking.bottom), (Some("INTERNAL"), None));
}

/// DoDI 5200.48: a distribution statement or a limited dissemination control, one or the other.
#[test]
fn a_document_has_a_statement_or_a_limit_never_both() {
    let block = "controlled_by=Equipment Office; category=Test results; contact=desk@rescue.example";
    let designation: Designation = block.parse().unwrap();
    assert_eq!(designation.limited, None);
    let limited: Designation = format!("{block}; limited=Own staff only").parse().unwrap();
    let control = |designation| Control::new(Marking::default(), read("A").ok(), Some(designation));
    assert!(control(designation).is_ok());
    assert_eq!(control(limited), Err(DistributionError::Both));
    assert_eq!(
        "category=x; contact=y".parse::<Designation>(),
        Err(DistributionError::Wanted("controlled_by"))
    );
}
