//! What leaves tells nobody's name and no small count.

use std::collections::BTreeSet;

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

/// Reports on a lot of a maker in a size.
fn of_lot(lot: &str, maker: &str, size: &str, quantity: u32) -> Report {
    let (lot_text, maker, size) = (Some(lot.into()), Some(maker.into()), Some(size.into()));
    Report { size, lot_text, maker, ..report(quantity, 1, "COVE-2", "split") }
}

fn rows<'a>(out: &'a Disclosed, by: &str) -> Option<Vec<(&'a str, Told)>> {
    let table = out.counts.iter().find(|table| table.by == by)?;
    Some(table.rows.iter().map(|(row, told)| (row.as_str(), *told)).collect())
}

#[test]
fn makers_and_sizes_leave_beside_lots_only_where_nothing_is_withheld() {
    let told =
        |reports: &[Report]| disclose(&disclosure(&[Removal::Narratives]), reports, &[]).expect("told");
    // By hand: A2 is 3, so that B1, the smallest of the others, is withheld with it; but A = 43 less A1 = 40 is 3.
    let out = told(&[of_lot("A1", "A", "M", 40), of_lot("A2", "A", "M", 3), of_lot("B1", "B", "L", 10)]);
    assert_eq!(rows(&out, "lot"), Some(vec![("A1", Some(40)), ("A2", None), ("B1", None)]));
    assert_eq!((rows(&out, "maker"), rows(&out, "size")), (None, None));
    assert_eq!((out.left_out, out.withheld), (vec!["size", "maker"], 2));
    // One lot number of two makers: by lot all is told, but X1 = 43 less B = 40 is A.
    let out = told(&[of_lot("X1", "A", "M", 3), of_lot("X1", "B", "M", 40), of_lot("Y1", "C", "M", 10)]);
    assert_eq!(rows(&out, "lot"), Some(vec![("X1", Some(43)), ("Y1", Some(10))]));
    assert_eq!((rows(&out, "maker"), rows(&out, "size")), (None, Some(vec![("M", Some(53))])));
    assert_eq!((out.left_out, out.withheld), (vec!["maker"], 0));
    let out = told(&[of_lot("A1", "A", "M", 40), of_lot("B1", "B", "L", 10)]);
    assert_eq!(rows(&out, "maker"), Some(vec![("A", Some(40)), ("B", Some(10))]));
    assert!(out.left_out.is_empty());
    // Without lots there is nothing to add up.
    let reports = [of_lot("A1", "A", "M", 40), of_lot("A2", "A", "S", 3), of_lot("B1", "B", "L", 10)];
    let what = disclosure(&[Removal::Narratives, Removal::Lots]);
    let out = disclose(&what, &reports, &[]).expect("told");
    assert_eq!(rows(&out, "size"), Some(vec![("L", None), ("M", Some(40)), ("S", None)]));
}

/// Every way to share the items of the total out among lots, of each of which the count is told or not.
fn ways(lots: &[Told], total: u64) -> Vec<Vec<u64>> {
    match lots {
        [] => Vec::new(),
        [last] => last.is_none_or(|count| count == total).then(|| vec![total]).into_iter().collect(),
        [first, rest @ ..] => {
            let with = |count: u64| {
                ways(rest, total - count).into_iter().map(move |others| [vec![count], others].concat())
            };
            let counts = first.unwrap_or(0)..=first.unwrap_or(total);
            counts.filter(|&count| count <= total).flat_map(with).collect()
        }
    }
}

/// Whether a row counts a report.
fn counts_in(row: &str, report: &Report) -> bool {
    [&report.lot_text, &report.maker, &report.size].into_iter().any(|of| of.as_deref() == Some(row))
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

    /// Whoever knows which lots each maker made, and of which size, can't work out any count that is withheld, whatever
    /// tables leave together: every way to share the items out is tried that agrees with all that is told.
    #[test]
    fn no_withheld_count_follows_from_a_table_beside_it(
        lots in prop::collection::vec((0_u32..3, 0_u32..2, 1_u32..10), 1..5),
        threshold in 3_u32..7,
    ) {
        let counts: Vec<u64> = lots.iter().map(|&(_, _, count)| u64::from(count)).collect();
        let total: u64 = counts.iter().sum();
        prop_assume!(total >= u64::from(threshold));
        let of = |(lot, &(maker, size, count)): (usize, &(u32, u32, u32))| {
            of_lot(&format!("lot {lot}"), &format!("maker {maker}"), &format!("size {size}"), count)
        };
        let reports: Vec<Report> = lots.iter().enumerate().map(of).collect();
        let what = Disclosure { threshold, ..disclosure(&[Removal::Narratives]) };
        let out = disclose(&what, &reports, &[]).expect("it may leave");
        let mut told: Vec<Told> = vec![None; lots.len()];
        let mut rows: Vec<(Vec<usize>, Told)> = Vec::new();
        for table in out.counts.iter().filter(|table| ["lot", "maker", "size"].contains(&table.by)) {
            for (row, count) in &table.rows {
                let within: Vec<usize> = (0..lots.len()).filter(|&at| counts_in(row, &reports[at])).collect();
                if table.by == "lot" {
                    told[within[0]] = *count;
                }
                rows.push((within, *count));
            }
        }
        let sum = |way: &[u64], within: &[usize]| within.iter().map(|&at| way[at]).sum::<u64>();
        // A row that is listed has one item at least.
        let agrees = |way: &Vec<u64>| {
            rows.iter().all(|(within, count)| {
                let sum = sum(way, within);
                count.map_or(sum > 0, |count| sum == count)
            })
        };
        let open: Vec<Vec<u64>> = ways(&told, total).into_iter().filter(agrees).collect();
        prop_assert!(open.contains(&counts));
        for (within, _) in rows.iter().filter(|(_, count)| count.is_none()) {
            let values: BTreeSet<u64> = open.iter().map(|way| sum(way, within)).collect();
            prop_assert!(values.len() > 1, "{:?} must be {:?} by {:?}", within, values, out.counts);
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
