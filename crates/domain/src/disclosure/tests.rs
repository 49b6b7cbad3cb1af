//! What leaves tells nobody's name and no small count.

use proptest::prelude::*;

use super::*;

fn disclosure(removals: &[Removal]) -> Disclosure {
    Disclosure {
        part_no: "ZIP-9".into(),
        mode: "ZIP-1".into(),
        to: "the standards committee".into(),
        removals: removals.iter().map(|removal| (*removal, "not theirs to know".to_owned())).collect(),
        struck: vec!["Gannet Stack".into()],
        threshold: 5,
    }
}

fn report(quantity: u32, month: u32, unit: &str, narrative: &str) -> Report {
    let day = chrono::NaiveDate::from_ymd_opt(2026, month, 4).expect("a day");
    Report {
        size: Some("M".into()),
        lot_text: Some("0135".into()),
        part_no: Some("ZIP-9".into()),
        mode: Some("ZIP-1".into()),
        narrative: Some(narrative.into()),
        quantity,
        ..Report::bare(format!("R-{month}-{unit}"), day, unit, "RC-100")
    }
}

fn struck(text: &str, names: &[&str]) -> (String, u64) {
    strike(text, &Names::of(names.iter().copied()))
}

#[test]
fn names_places_and_numbers_are_struck_and_the_rest_is_kept() {
    let (text, times) = struck(
        "Oda Fell (Cove 2) fell off gannet stack; call 0555 123456 or oda@rescue.example.\nZip split at 12 mm, lot 0135.",
        &["COVE-2", "Oda Fell", "Gannet Stack"],
    );
    assert_eq!(
        text,
        "[removed] ([removed]) fell off [removed]; call [removed] or [removed].\nZip split at 12 mm, lot 0135."
    );
    assert_eq!(times, 5);
}

#[test]
fn a_name_is_struck_however_it_is_joined_to_other_words() {
    let names = [
        "COVE-2",
        "RIDGE-1",
        "Fell",
        "Skerry",
        "The Third Party of the Upper Gannet Stack Hut",
        "Stra\u{df}e 9",
    ];
    for (told, left) in [
        ("COVE-2/RIDGE-1 had it", "[removed]/[removed] had it"),
        ("by Fell/Skerry", "by [removed]/[removed]"),
        ("Fell's and Skerry\u{2019}s zip", "[removed]'s and [removed]\u{2019}s zip"),
        ("COVE-2's zip, cove2 and Cove2zip", "[removed]'s zip, [removed] and [removed]zip"),
        ("lent by the third party of the upper Gannet Stack hut, wet", "lent by [removed], wet"),
        ("at STRASSE 9", "at [removed]"),
        ("seen at Cove\n2 today", "seen at [removed] today"),
        ("COVE-21, the covering, fells", "COVE-21, the covering, fells"),
    ] {
        assert_eq!(struck(told, &names).0, left);
    }
    // Names that overlap are one.
    assert_eq!(struck("Oda Fell", &["Oda", "Oda Fell", "Fell"]), ("[removed]".to_owned(), 1));
}

#[test]
fn numbers_in_groups_are_struck_and_dates_and_measures_are_kept() {
    for (told, left) in [
        ("call 555 123 456.", "call [removed]."),
        ("call (0555) 123-456, or +41 55.512.34", "call ([removed], or +[removed]"),
        ("service number 12345", "service number [removed]"),
        ("at N46\u{b0}55'12.3\", there", "at [removed]\", there"),
        ("on 2026-11-20 14 of lot 0135 2 pieces", "on 2026-11-20 14 of lot 0135 2 pieces"),
        ("20.11.2026, 11/20/2026, since 05/2024", "20.11.2026, 11/20/2026, since 05/2024"),
        ("order 2026-11-20-14, or 31/31/2026", "order [removed], or [removed]"),
        ("12 mm, 3.25 kN, 1 200 g", "12 mm, 3.25 kN, 1 200 g"),
    ] {
        assert_eq!(struck(told, &[]).0, left);
    }
}

#[test]
fn a_part_of_a_word_is_no_name() {
    assert_eq!(struck("the covering tore", &["cove"]), ("the covering tore".to_owned(), 0));
}

#[test]
fn a_single_small_count_takes_the_next_with_it() {
    // By hand: 3 is small; alone it is total less the others, so 6 goes too.
    assert_eq!(withhold(&[20, 3, 6, 0], 5), Some(vec![Some(20), None, None, Some(0)]));
    // 1 and 1 come to 2, which leaves no choice; 20 goes too.
    assert_eq!(withhold(&[20, 1, 1, 30], 5), Some(vec![None, None, None, Some(30)]));
    assert_eq!(withhold(&[20, 30], 5), Some(vec![Some(20), Some(30)]));
    assert_eq!(withhold(&[3], 5), Some(vec![None]));
    // Three that are withheld and come to three are one each: another goes with them, or none of the table.
    assert_eq!(withhold(&[1, 1, 20, 1], 3), Some(vec![None; 4]));
    assert_eq!(withhold(&[1, 1, 1], 3), None);
}

#[test]
fn what_leaves_has_no_table_of_what_is_removed_and_says_what_is_withheld() {
    let reports = [
        report(9, 1, "COVE-2", "zip split near Gannet Stack"),
        report(6, 2, "COVE-2", "chain open"),
        report(2, 5, "RIDGE-1", "again, Ridge-1"),
        report(7, 8, "RIDGE-1", "a tooth is gone"),
    ];
    let known = ["COVE-2".to_owned(), "RIDGE-1".to_owned()];
    let what = disclosure(&[Removal::Units, Removal::Lots, Removal::NamesInNarratives]);
    let out = disclose(&what, &reports, &known).expect("it may leave");
    assert_eq!(out.total, 24);
    assert_eq!(out.counts.iter().map(|table| table.by).collect::<Vec<_>>(), ["quarter", "size", "harm"]);
    let quarters = &out.counts[0].rows;
    // The second quarter has 2, so the third, the smallest of the others, is withheld with it.
    assert_eq!(quarters.iter().map(|(_, told)| *told).collect::<Vec<_>>(), [Some(15), None, None]);
    assert_eq!((out.withheld, out.struck), (2, 2));
    assert_eq!(
        out.narratives,
        ["a tooth is gone", "again, [removed]", "chain open", "zip split near [removed]"]
    );
    assert!(out.left_out.is_empty());
    // One of each size: that table is left out, and its rows are no counts that are withheld.
    let sizes =
        ["S", "M", "L"].map(|size| Report { size: Some(size.into()), ..report(1, 1, "COVE-2", "split") });
    let out = disclose(&Disclosure { threshold: 3, ..what.clone() }, &sizes, &known).expect("it may leave");
    assert_eq!((out.left_out, out.withheld), (vec!["size"], 0));
    let all = disclosure(&[Removal::Narratives]);
    let out = disclose(&all, &reports, &known).expect("it may leave");
    assert!(out.narratives.is_empty());
    assert_eq!(out.counts.last().expect("a table").by, "unit");
}

#[test]
fn nothing_leaves_of_few_reports_or_without_reasons() {
    let few = [report(4, 1, "COVE-2", "zip split")];
    assert_eq!(
        disclose(&disclosure(&[Removal::Narratives]), &few, &[]).expect_err("too few").field,
        "threshold"
    );
    assert_eq!(disclosure(&[Removal::Units]).check().expect_err("words unread").field, "removals");
    let unreasoned = Disclosure { removals: vec![(Removal::Narratives, " ".into())], ..disclosure(&[]) };
    assert_eq!(unreasoned.check().expect_err("no reason").field, "removals");
    let bare = Disclosure { threshold: 2, ..disclosure(&[Removal::Narratives]) };
    assert_eq!(bare.check().expect_err("hides nothing").field, "threshold");
}

proptest! {
    /// Whoever knows the total and every count that is told can't work out any that is withheld: each could be another.
    #[test]
    fn no_withheld_count_follows_from_the_rest(counts in prop::collection::vec(0_u64..40, 1..12), threshold in 3_u64..12) {
        prop_assume!(counts.iter().sum::<u64>() >= threshold);
        let Some(told) = withhold(&counts, threshold) else {
            prop_assert!(counts.iter().all(|&count| count <= 1), "a table is left out that could hide its counts");
            return Ok(());
        };
        let hidden: Vec<usize> = (0..counts.len()).filter(|&at| told[at].is_none()).collect();
        for (at, count) in counts.iter().enumerate() {
            prop_assert!(told[at].is_none_or(|told| told == *count && (told == 0 || told >= threshold)));
        }
        if counts.iter().filter(|&&count| count > 0).count() > 1 && !hidden.is_empty() {
            prop_assert!(hidden.len() >= 2);
            // With two hidden or more, one item could always have been counted in another of them.
            let sum: u64 = hidden.iter().map(|&at| counts[at]).sum();
            prop_assert!(sum > hidden.len() as u64, "all hidden counts must be one");
        }
    }

    /// Whatever case a name is written in, and whatever stands between its words and around it, no word of it stays.
    #[test]
    fn no_name_stays(
        name in prop::collection::vec("q[a-z]{2,8}", 1..9),
        between in "[ ,;/.\\-_]{1,2}",
        around in "[ (/,.'\"]",
        shouted: bool,
        possessive: bool,
    ) {
        let written = name.join(&between);
        let written = if shouted { written.to_uppercase() } else { written };
        let told = format!("zip{around}{written}{}{around}split", if possessive { "'s" } else { "" });
        let known = name.join(" ");
        let (left, times) = struck(&told, &[known.as_str()]);
        prop_assert_eq!(times, 1);
        prop_assert!(!left.to_lowercase().contains('q'), "{}", left);
        prop_assert!(left.starts_with("zip") && left.ends_with("split"), "{}", left);
        prop_assert_eq!(struck(&left, &[known.as_str()]), (left, 0));
    }

    /// However a telephone number is grouped, no digit of it stays.
    #[test]
    fn no_telephone_number_stays(groups in prop::collection::vec("[0-9]{2,3}", 3..6), between in "[ ./\\-]") {
        let left = struck(&format!("call {} now", groups.join(&between)), &[]);
        prop_assert_eq!(left, ("call [removed] now".to_owned(), 1));
    }
}
