//! Invented people, units and parts of a mountain and coast rescue service, for all tests.

use chrono::{DateTime, NaiveDate, TimeZone as _, Utc};
use domain::lot::{Lot, LotPurpose};
use domain::part::PartRevision;
use domain::permission::{Actor, Role};
use domain::unit::{Unit, UnitKind};
use store::{NewUser, Store};

/// A moment of one day; `minute` tells moments apart.
pub(crate) fn at(minute: u32) -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2026, 5, 4, 8 + minute / 60, minute % 60, 0).single().expect("a moment")
}

pub(crate) fn day(month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, month, day).expect("a day")
}

pub(crate) fn unit(code: &str) -> Unit {
    Unit {
        unit: code.into(),
        name: Some(format!("Team {code}")),
        kind: UnitKind::Wearing,
        parent_unit: None,
        contact_email: Some(format!("{}@rescue.example", code.to_lowercase())),
    }
}

pub(crate) fn part(part_no: &str, revision: &str, kind: &str) -> PartRevision {
    PartRevision {
        part_no: part_no.into(),
        revision: revision.into(),
        name: format!("Part {part_no}"),
        kind: kind.into(),
        released_on: Some(day(1, 1)),
        replaces_revision: None,
        change_no: None,
        life_years: None,
    }
}

pub(crate) fn lot(lot_no: &str, maker: Option<&str>) -> Lot {
    Lot {
        lot_no: lot_no.into(),
        part_no: "RC-100".into(),
        revision: "A".into(),
        size: Some("M".into()),
        made_on: Some(day(1, 15)),
        quantity: Some(400),
        maker: maker.map(Into::into),
        contract_no: None,
        stock_no: None,
        purpose: LotPurpose::Production,
    }
}

/// Adds somebody of a role and gives them as one who acts.
pub(crate) async fn somebody(store: &Store, name: &str, role: Role) -> Actor {
    let user = NewUser {
        name: name.into(),
        full_name: format!("{name} of the base"),
        role,
        unit: None,
        password_hash: Some("argon2 of something".into()),
    };
    let id = store.add_user(&Actor::Program, at(0), &user).await.expect("added");
    store.find_user(id).await.expect("read").expect("there").actor()
}
