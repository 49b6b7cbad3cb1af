//! Every shared part rendered on its own, with and without what is optional.

use domain::distribution::Marking;
use serde::Serialize;

use super::*;
use crate::charts::{Scale, whisker};
use crate::templates::Templates;

fn rendered(partial: &str, view: &impl Serialize) -> String {
    Templates::load(&Marking::default())
        .unwrap()
        .partial(partial, view)
        .unwrap_or_else(|error| panic!("{partial}: {error}"))
}

#[test]
fn a_field_points_at_its_hint_and_its_problem() {
    let plain = rendered("ask", &Ask::text("lot", "Lot", "TB-0418").code().problem(None::<&str>));
    assert!(plain.contains(r#"<label for="lot">Lot</label>"#) && plain.contains(r#"value="TB-0418""#));
    assert!(!plain.contains("aria-") && !plain.contains("problem"), "{plain}");
    let wrong = Ask::text("lot", "Lot", "").hint("Under the collar").required().problem(Some("Write it"));
    let wrong = rendered("ask", &wrong);
    assert!(
        wrong.contains(r#"aria-invalid="true" aria-describedby="lot-hint lot-problem" required"#),
        "{wrong}"
    );
    assert!(wrong.contains(r#"id="lot-problem">Write it"#), "{wrong}");
}

#[test]
fn several_lines_come_back_as_they_were_written() {
    let html = rendered("ask", &Ask::lines("what", "What happened?", "first\n\n<b>third"));
    assert!(html.contains(">\nfirst\n\n&lt;b&gt;third</textarea>"), "{html}");
}

#[test]
fn a_list_keeps_what_was_chosen() {
    let options =
        vec![Choice::new("a", "Tube", false).hint("guides the cable"), Choice::new("b", "Slide", true)];
    let html = rendered("choices", &Choices::one("part", "Which part?", options).problem(Some("Choose one")));
    assert!(html.contains(r#"<input type="radio" name="part" value="b" checked>"#), "{html}");
    // A link to what is wrong takes the focus there.
    assert!(html.contains(r#"tabindex="-1" aria-describedby="part-problem""#), "{html}");
    assert_eq!(html.matches("checked").count(), 1);
}

#[test]
fn the_thread_marks_where_the_reader_is() {
    let html = rendered("thread", &Thread::sample());
    assert_eq!(html.matches(r#"aria-current="step""#).count(), 1);
    assert_eq!(html.matches("not reached").count(), 5);
    assert!(html.contains("14 Nov 2025"));
}

#[test]
fn a_figure_is_whole_whether_it_opens_or_not() {
    let ends = stats::Interval { low: 1.1, high: 4.2 };
    let figure = Figure::rate(2.3, ends, 9, 3914.0);
    let line = "<b>2.3</b> per 1,000 item-years (1.1 to 4.2), 9 reports, 3,914 item-years";
    assert!(rendered("figure", &figure).contains(line));
    let input = |address| Input { name: "Reports".into(), value: "9".into(), address };
    let inputs = vec![input(None), input(Some("/x".into()))];
    let how = How { method: "Exact Poisson limits".into(), source: "a book".into(), inputs };
    let opened = rendered("figure", &figure.made_by(how).sure(Sureness::TooEarly));
    assert!(opened.contains("<details") && opened.contains(line) && opened.contains("too early"), "{opened}");
}

#[test]
fn a_chart_has_its_table_and_a_sheet_its_title_block_and_revisions() {
    let ends = stats::Interval { low: 0.5, high: 2.0 };
    let drawing = whisker("w", "1.0 (0.5 to 2.0)", Scale::of_ratios([2.0]), 1.0, ends, Some(1.0));
    let table =
        Twin { heads: vec!["Week".into(), "Reports".into()], rows: vec![vec!["2 Mar".into(), "1".into()]] };
    let html = rendered("chart", &ChartView { caption: "Reports by week".into(), drawing, table });
    assert!(html.contains("<svg") && html.contains(r#"<th scope="row">2 Mar</th><td>1</td>"#), "{html}");

    let block = rendered("title_block", &TitleBlock::sample());
    assert!(
        block.contains("2026-014") && block.contains("<dt>Opened</dt><dd class=\"date\">3 Mar 2026</dd>")
    );
    let what = "Cause recorded".to_owned();
    let row = Revision { mark: "C".into(), what, by: "Oda Fell".into(), date: "12 Nov 2026".into() };
    assert!(rendered("revisions", &vec![row]).contains("Cause recorded</td>"));
}

#[test]
fn cautions_of_harm_are_told_from_notes_by_a_word() {
    let html = rendered("cautions", &Caution::list(domain::caution::Caution::ALL));
    assert_eq!((html.matches("<b>Caution</b>").count(), html.matches("<b>Note</b>").count()), (4, 2));
}

#[test]
fn an_empty_place_says_what_to_do_first() {
    assert!(
        rendered("empty", &Empty::first("None yet.", "Load a pack", "/packs")).contains(r#"href="/packs""#)
    );
    assert!(!rendered("empty", &Empty::rest("None yet.")).contains("href"));
}
