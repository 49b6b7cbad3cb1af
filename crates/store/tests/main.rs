//! What the store promises, each promise held on SQLite and on PostgreSQL, on the schema the migrations make.

#[path = "store/after_approval.rs"]
mod after_approval;
#[path = "store/argued.rs"]
mod argued;
#[path = "store/change_list.rs"]
mod change_list;
#[path = "store/change_samples.rs"]
mod change_samples;
#[path = "store/changes.rs"]
mod changes;
#[path = "store/confirmed.rs"]
mod confirmed;
#[path = "store/connect.rs"]
mod connect;
#[path = "store/contact.rs"]
mod contact;
#[path = "store/cut_in.rs"]
mod cut_in;
#[path = "store/danger.rs"]
mod danger;
#[path = "store/database.rs"]
mod database;
#[path = "store/docket.rs"]
mod docket;
#[path = "store/everything.rs"]
mod everything;
#[path = "store/evidence.rs"]
mod evidence;
#[path = "store/exhibits.rs"]
mod exhibits;
#[path = "store/field.rs"]
mod field;
#[path = "store/following.rs"]
mod following;
#[path = "store/handover.rs"]
mod handover;
#[path = "store/imports.rs"]
mod imports;
#[path = "store/interim.rs"]
mod interim;
#[path = "store/journal.rs"]
mod journal;
#[path = "store/mailed.rs"]
mod mailed;
#[path = "store/migrations.rs"]
mod migrations;
#[path = "store/outbox.rs"]
mod outbox;
#[path = "store/pack.rs"]
mod pack;
#[path = "store/people.rs"]
mod people;
#[path = "store/promises.rs"]
mod promises;
#[path = "store/published.rs"]
mod published;
#[path = "store/recurrences.rs"]
mod recurrences;
#[path = "store/replies.rs"]
mod replies;
#[path = "store/reports.rs"]
mod reports;
#[path = "store/samples.rs"]
mod samples;
#[path = "store/shown.rs"]
mod shown;
#[path = "store/signals.rs"]
mod signals;
#[path = "store/sorting.rs"]
mod sorting;
#[path = "store/units.rs"]
mod units;
#[path = "store/uploads.rs"]
mod uploads;
#[path = "store/waiting.rs"]
mod waiting;
