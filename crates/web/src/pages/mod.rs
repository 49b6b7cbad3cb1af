//! Pages: one file a noun with its handlers and views.
//!
//! To add a page:
//! 1. `templates/pages/<noun>/<page>.hbs`: `{{> layout/desk/top shell}} ... {{> layout/desk/end shell}}` (or `layout/field` for
//!    a phone in the field: no menu, no web font). Two halves, for a partial around a block copies all that the page holds. Partials stand in `templates/partials/`, their views in `crate::view`.
//! 2. `pages/<noun>.rs`: a `#[derive(Serialize)]` struct with a field `shell: Shell`, and `impl Page` for it
//!    (template path, samples that reach every branch). Numbers and dates go in as text made by `crate::format`.
//! 3. A handler: `async fn show(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError>`;
//!    it asks `signed_in.may(&Act::..)?` first and ends in `state.page(&page)`. Posts answer `Redirect::to` (303).
//! 4. `pub fn routes() -> Router<AppState>` in the file, merged in [`routes`]; what the field may send without
//!    signing in goes through `limits::paced`. Larger bodies: `DefaultBodyLimit::max(..)` on that route.
//! 5. One line in [`for_each_page`], so that the template test fills it. `pages/desk.rs` is the pattern.

pub mod actions;
pub mod api_keys;
pub mod cases;
pub mod catalogue;
pub mod changes;
pub mod desk;
pub mod digest;
pub mod disclosures;
pub mod discrepancies;
pub mod error;
pub mod exhibits;
pub mod follow;
pub mod hand_over;
pub mod health;
pub mod instructions;
pub(crate) mod interim;
pub mod journal;
pub mod lots;
pub mod mailed;
pub mod on_call;
pub mod packs;
pub mod password;
pub mod people;
pub mod preferences;
pub mod published;
pub mod records;
pub mod recurrences;
pub mod replies;
pub mod report;
pub mod reports;
pub mod sign_in;
pub mod sorting;
pub mod status;
pub mod stop;
pub mod units;
pub mod uploads;
pub mod variances;

use axum::Router;

use crate::security::limits;
use crate::state::AppState;
use crate::templates::Page;

/// All pages.
pub fn routes(state: &AppState) -> Router<AppState> {
    let all = [
        cases::routes(),
        catalogue::routes(),
        changes::routes(state),
        actions::routes(),
        api_keys::routes(),
        desk::routes(),
        digest::routes(),
        exhibits::routes(),
        limits::paced(follow::routes(), limits::INTAKE, state),
        hand_over::routes(),
        health::routes(),
        instructions::routes(),
        journal::routes(),
        lots::routes(),
        mailed::routes(),
        on_call::routes(),
        packs::routes(),
        limits::paced(sign_in::routes(), limits::SIGN_IN, state),
        limits::paced(password::routes(), limits::SIGN_IN, state),
        people::routes(),
        preferences::routes(),
        published::routes(),
        recurrences::routes(),
        limits::paced(replies::routes(), limits::INTAKE, state),
        reports::routes(),
        sorting::routes(),
        status::routes(),
        disclosures::routes(),
        discrepancies::routes(),
        limits::paced(stop::routes(), limits::INTAKE, state),
        limits::paced(units::routes(), limits::INTAKE, state),
        limits::paced(uploads::routes(), limits::INTAKE, state),
        variances::routes(),
        limits::paced(report::send::routes(state), limits::INTAKE, state),
    ];
    all.into_iter().fold(Router::new(), Router::merge)
}

/// Is shown every kind of page.
pub trait PageVisitor {
    /// Is shown one.
    fn visit<P: Page>(&mut self);
}

/// Shows a visitor every kind of page, one line a template.
pub fn for_each_page(visitor: &mut impl PageVisitor) {
    visitor.visit::<catalogue::AddModePage>();
    visitor.visit::<catalogue::CataloguePage>();
    visitor.visit::<changes::CampaignPage>();
    visitor.visit::<changes::ChangePage>();
    visitor.visit::<changes::ChangesPage>();
    visitor.visit::<changes::CutInPage>();
    visitor.visit::<changes::DecidePage>();
    visitor.visit::<changes::DocketPage>();
    visitor.visit::<changes::DocketsPage>();
    visitor.visit::<changes::EditPage>();
    visitor.visit::<changes::EvidencePage>();
    visitor.visit::<changes::NewChangePage>();
    visitor.visit::<changes::RevisionsPage>();
    visitor.visit::<changes::WeighPage>();
    visitor.visit::<api_keys::ApiPage>();
    visitor.visit::<api_keys::NewKeyPage>();
    visitor.visit::<desk::DeskPage>();
    visitor.visit::<digest::DigestPage>();
    visitor.visit::<error::ErrorPage>();
    visitor.visit::<discrepancies::DiscrepanciesPage>();
    visitor.visit::<exhibits::TagPage>();
    visitor.visit::<follow::FollowPage>();
    visitor.visit::<report::form::ReportForm>();
    visitor.visit::<hand_over::HandOverPage>();
    visitor.visit::<hand_over::HandedPage>();
    visitor.visit::<journal::JournalPage>();
    visitor.visit::<lots::HoldersPage>();
    visitor.visit::<lots::LineagePage>();
    visitor.visit::<lots::LabelsPage>();
    visitor.visit::<lots::LotPage>();
    visitor.visit::<lots::LotsPage>();
    visitor.visit::<lots::NoticePage>();
    visitor.visit::<mailed::MailedPage>();
    visitor.visit::<packs::PackPage>();
    visitor.visit::<packs::PacksPage>();
    visitor.visit::<password::PasswordPage>();
    visitor.visit::<people::NewLinkPage>();
    visitor.visit::<people::PeoplePage>();
    visitor.visit::<published::PublishedPage>();
    visitor.visit::<records::FormPage>();
    visitor.visit::<records::ListPage>();
    visitor.visit::<records::RecordSheet>();
    visitor.visit::<recurrences::RecurrencePage>();
    visitor.visit::<recurrences::RecurrencesPage>();
    visitor.visit::<recurrences::SettlePage>();
    visitor.visit::<recurrences::WordsPage>();
    visitor.visit::<replies::RepliesPage>();
    visitor.visit::<replies::ReplyPage>();
    visitor.visit::<reports::ReportPage>();
    visitor.visit::<sorting::QueuePage>();
    visitor.visit::<sorting::SortPage>();
    visitor.visit::<sorting::UnnamedPage>();
    visitor.visit::<status::ReachPage>();
    visitor.visit::<status::StatusPage>();
    visitor.visit::<sign_in::SignInPage>();
    visitor.visit::<sign_in::LinkPage>();
    visitor.visit::<disclosures::DisclosureSheet>();
    visitor.visit::<disclosures::DisclosuresPage>();
    visitor.visit::<units::CodesPage>();
    visitor.visit::<stop::StopPage>();
    visitor.visit::<units::OwnPage>();
    visitor.visit::<units::PosterPage>();
    visitor.visit::<units::RevokePage>();
    visitor.visit::<units::UnitSheet>();
    visitor.visit::<units::UnitsPage>();
    visitor.visit::<uploads::UploadsPage>();
    visitor.visit::<uploads::UploadMatchPage>();
    visitor.visit::<uploads::UploadSheet>();
}
