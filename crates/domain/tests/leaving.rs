//! How fast items leave service, by hand.

use chrono::Days;

use crate::common::{date, movement, report, small, unit};
use domain::analysis::analyse;
use domain::field::{Field, FieldBuilder};
use domain::movement::{Movement, MovementKind as K};
use domain::report::Report;
use domain::unit::UnitKind;

/// Thirty reports, one in twenty days.
fn add_reports(b: &mut FieldBuilder) {
    for n in 0..30 {
        let on = (date("2023-03-01") + Days::new(20 * n)).to_string();
        b.report(&Report {
            part_no: Some("ZIPPER".into()),
            mode: Some("ZIP-1".into()),
            ..report(&format!("R-{n}"), &on, "A", "PACK", Some("L"))
        })
        .expect("known names");
    }
}

fn leaving_per_year(field: &Field) -> f64 {
    let analysis = analyse(field, date("2025-01-01"));
    analysis.recurrences[0].forecast.as_ref().expect("30 failures").leaving_per_year
}

/// 1,000 items, of which 300 went to a store after half a year and 300 after one and a half, by transfer. 100 more went to be
/// mended, and 50 to another crew. By hand: 600 left in 1,000 x 181 + 700 x 366 + 300 x 184 = 492,400 item-days, 1,348.1
/// item-years.
#[test]
fn items_that_go_to_a_store_by_transfer_leave_service_too() {
    let mut b = small(&["L"]);
    b.unit(&unit("MEND", UnitKind::Repair)).expect("new unit");
    b.movement(&movement("2023-01-01", K::Issue, "L", "A", 1000)).expect("known names");
    for (on, to, quantity) in [
        ("2023-07-01", "STORE", 300),
        ("2024-07-01", "STORE", 300),
        ("2024-07-01", "MEND", 100),
        ("2024-08-01", "B", 50),
    ] {
        let to_unit = Some(to.into());
        b.movement(&Movement { to_unit, ..movement(on, K::Transfer, "L", "A", quantity) })
            .expect("known names");
    }
    add_reports(&mut b);
    let leaving = leaving_per_year(&b.build());
    assert!((leaving - 600.0 / 1348.1).abs() < 1e-3, "{leaving}");
}

/// 1,000 items issued by lot, of which 300 came back after half a year and 300 after one and a half, with no lot named. By
/// hand: 600 left in 1,000 x 181 + 700 x 366 + 400 x 184 = 510,800 item-days, 1,398.5 item-years.
#[test]
fn items_that_come_back_without_their_lot_leave_service_too() {
    let mut b = small(&["L"]);
    b.movement(&movement("2023-01-01", K::Issue, "L", "A", 1000)).expect("known names");
    for day in ["2023-07-01", "2024-07-01"] {
        let back = Movement {
            lot_no: None,
            part_no: Some("PACK".into()),
            ..movement(day, K::Return, "L", "A", 300)
        };
        b.movement(&back).expect("known names");
    }
    add_reports(&mut b);
    let leaving = leaving_per_year(&b.build());
    assert!((leaving - 600.0 / 1398.5).abs() < 1e-3, "{leaving}");
}
