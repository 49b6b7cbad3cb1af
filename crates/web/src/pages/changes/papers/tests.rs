//! Documents of the samples, and what publishing does through the whole service.

use std::sync::Arc;

use axum::http::{StatusCode, header};
use chrono::TimeDelta;
use documents::Document;
use domain::language::Language;
use domain::published::DocumentKind as K;

use super::*;
use crate::config::Config;
use crate::pages::changes::sample;
use crate::pages::changes::tests::world::World;
use crate::picture::Picture;
use crate::testing::{get, post, text};

const OF_A_CHANGE: [K; 3] = [K::ChangeRecord, K::BoardSummary, K::FieldingNotice];

fn framed(loaded: &Loaded, kind: K) -> Document {
    let config = Config::read(&|_| None).unwrap();
    paper::framed(&config.documents, drafted((loaded, &Stops::default()), kind, Tongue::ENGLISH, None))
}

fn sheets(file: &[u8]) -> usize {
    String::from_utf8_lossy(file).matches("/Type/Page/").count()
}

#[test]
fn units_get_the_notice_in_their_language() {
    let config = Config::read(&|_| None).unwrap();
    for loaded in sample::loaded() {
        let german = Tongue::of(Language::German);
        let german = drafted((&loaded, &Stops::default()), K::FieldingNotice, german, None);
        let german = paper::framed(&config.documents, german);
        assert_eq!((german.language.as_str(), german.frame.what.as_str()), ("de", "Mitteilung an Einheiten"));
        let words = format!("{:?}", german.body);
        assert!(words.contains("Melden Sie") && !words.contains("What to do"), "{words}");
        assert!(words.contains("\"Vorsicht\"") && !words.contains("\"Caution\""), "{words}");
        assert!(sheets(&documents::pdf(&german).unwrap()) > 0);
    }
}

#[test]
fn every_record_can_be_written_and_the_boards_sheet_is_always_one() {
    for mut loaded in sample::loaded() {
        for kind in [K::ChangeRecord, K::FieldingNotice] {
            assert!(sheets(&documents::pdf(&framed(&loaded, kind)).unwrap()) > 0);
        }
        if let Some(body) = loaded.record.body.as_mut() {
            body.problem = "Salt wears the slider. ".repeat(200);
            body.description = "unbroken".repeat(300);
            body.cost_note = Some("as much as last year, ".repeat(50));
        }
        let file = documents::pdf(&framed(&loaded, K::BoardSummary)).unwrap();
        assert_eq!(sheets(&file), 1);
    }
}

#[test]
fn the_same_books_read_again_on_one_day_give_the_same_file() {
    let read = |later: i64| {
        let mut loaded = sample::loaded().remove(5);
        let Picture { field, analysis, books_of, .. } =
            Arc::into_inner(loaded.picture).expect("the only one");
        let analysis = Arc::into_inner(analysis).expect("the only one");
        loaded.picture = Arc::new(Picture::of(field, analysis, books_of + TimeDelta::minutes(later)));
        documents::pdf(&framed(&loaded, K::ChangeRecord)).unwrap()
    };
    assert_eq!(read(0), read(7));
}

#[test]
fn every_change_document_carries_every_caution() {
    for loaded in sample::loaded() {
        for kind in OF_A_CHANGE {
            let said = serde_json::to_string(&framed(&loaded, kind)).unwrap();
            for caution in domain::caution::Caution::ALL {
                assert!(said.contains(caution.words()), "{kind}: {}", caution.words());
            }
        }
    }
}

#[test]
fn a_notice_tells_from_which_lot_and_what_becomes_of_stock() {
    let mut approved = sample::loaded().remove(5);
    approved.record.effectivity.retain(|line| line.stage != domain::effectivity::Stage::Accomplished);
    let said = serde_json::to_string(&framed(&approved, K::FieldingNotice)).unwrap();
    for words in ["up to lot TB-0430", "when they would come back anyway", "At the next wash.", "chain split"]
    {
        assert!(said.contains(words), "{words}: {said}");
    }
    assert!(!said.contains("on the ladder"), "the problem's quotes stay in the house: {said}");
}

#[tokio::test]
async fn a_notice_names_first_what_must_not_be_used_in_each_language() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.submitted(&engineer).await;
    let notice = async |language| {
        let loaded = Loaded::find(&world.state, "2026-001").await.unwrap();
        let picture = &loaded.picture.field;
        let stops = Stops::on(&world.state, picture, "RC-131", loaded.today).await.unwrap();
        let draft = drafted((&loaded, &stops), K::FieldingNotice, Tongue::of(language), None);
        draft.body.iter().map(|block| format!("{block:?}")).collect::<Vec<_>>()
    };
    let before = notice(Language::English).await;
    assert!(!before.concat().contains("Stop using"), "{before:?}");
    let order = "part_no=RC-100&lots=TB-1&from=2026-03-01&words=Hand+it+in.&authority=Chief";
    for kind in ["inspect", "stop+use"] {
        let given =
            post(&world.service, "/instructions/new", &engineer, &format!("kind={kind}&{order}")).await;
        assert_eq!(given.status(), StatusCode::SEE_OTHER);
    }
    let english = notice(Language::English).await;
    let says = "Rescue carrier, RC-100, lot TB-1. See instruction I-2026-002, 1 Mar 2026 until withdrawn.";
    assert!(english[0].contains("Stop using:") && english[0].contains(says), "{english:?}");
    assert!(!english.concat().contains("I-2026-001"), "an inspection stops no use: {english:?}");
    assert!(english.concat().contains("Don't use those named at the top of this notice."), "{english:?}");
    let german = notice(Language::German).await;
    assert!(
        german[0].contains("Nicht mehr benutzen:") && german[0].contains("Los TB-1. Siehe"),
        "{german:?}"
    );
    let french = notice(Language::French).await;
    assert!(french[0].contains("lot TB-1. Voir la consigne I-2026-002"), "{french:?}");
}

#[tokio::test]
async fn a_document_leaves_with_its_figures_and_its_file_can_be_had_again() {
    let world = World::new().await;
    let (engineer, board) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.draft(&engineer).await;
    let (service, address) = (&world.service, "/changes/2026-001/publish");
    let early = post(service, address, &engineer, "document=fielding+notice").await;
    assert_eq!(early.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(early).await.contains("once it is approved"));
    let refused = post(service, address, &board, "document=change+record").await;
    assert_eq!(refused.status(), StatusCode::FORBIDDEN);
    let other = post(service, address, &engineer, "document=maker+notice").await;
    assert_eq!(other.status(), StatusCode::UNPROCESSABLE_ENTITY);
    // A second press publishes nothing twice.
    for _ in 0..2 {
        let left = post(service, address, &engineer, "document=change+record").await;
        assert_eq!(
            (left.status(), left.headers()[header::LOCATION].as_bytes()),
            (StatusCode::SEE_OTHER, &b"/published"[..])
        );
    }
    let register = text(get(service, "/published", &board).await).await;
    assert_eq!(register.matches("The PDF as it left").count(), 1, "{register}");
    let file = get(service, "/published/1/file.pdf", &board).await;
    assert_eq!(file.headers()[header::CONTENT_TYPE], "application/pdf");
    let bytes = axum::body::to_bytes(file.into_body(), 1 << 22).await.unwrap();
    let digest = crate::secrets::digest_hex(&bytes);
    assert!(register.contains(&digest), "{register}");
}

#[test]
fn a_notice_leaves_in_the_language_that_was_asked_for_and_a_record_in_english() {
    let which =
        |document: &str, language: &str| Which { document: document.into(), language: language.into() };
    let german = Tongue::of(Language::German);
    assert_eq!(which("fielding notice", "de").tongue(), german);
    assert_eq!(which("fielding notice", "").tongue(), Tongue::ENGLISH);
    assert_eq!(which("change record", "de").tongue(), Tongue::ENGLISH);
    let loaded = sample::loaded().remove(5);
    let page =
        asking(&crate::pages::recurrences::sample::engineer(), &loaded, &which("fielding notice", "de"));
    let page = serde_json::to_string(&page).unwrap();
    assert!(page.contains("The notice to units in") && page.contains("Deutsch"), "{page}");
    let draft = sample::loaded().remove(2);
    let page = asking(&crate::pages::recurrences::sample::engineer(), &draft, &which("change record", ""));
    assert!(!serde_json::to_string(&page).unwrap().contains("Deutsch"), "no notice leaves yet");
}

#[test]
fn the_frame_of_a_notice_speaks_its_language() {
    let config = Config::read(&|_| None).unwrap();
    let loaded = sample::loaded().remove(5);
    let framed = |language| {
        let draft = drafted((&loaded, &Stops::default()), K::FieldingNotice, Tongue::of(language), None);
        serde_json::to_string(&paper::framed(&config.documents, draft).frame).unwrap()
    };
    let (german, french) = (framed(Language::German), framed(Language::French));
    for words in ["Titel", "Blatt", "gebilligt", "Zahlen vom", "3. M\u{e4}rz 2026"] {
        assert!(german.contains(words), "{words}: {german}");
    }
    for words in ["Titre", "Feuille", "approuv\u{e9}e", "Chiffres du", "3 mars 2026"] {
        assert!(french.contains(words), "{words}: {french}");
    }
    for english in ["Title", "Sheet", "approved", "Figures of", "3 Mar 2026"] {
        assert!(!german.contains(&format!("\"{english}\"")), "{english}: {german}");
    }
}

#[tokio::test]
async fn a_document_is_chosen_and_asked_about_before_it_leaves_for_good() {
    let world = World::new().await;
    let (engineer, board) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.draft(&engineer).await;
    let (service, address) = (&world.service, "/changes/2026-001/publish");
    let sheet = text(get(service, "/changes/2026-001", &engineer).await).await;
    assert!(sheet.contains(&format!("method=\"get\" action=\"{address}\"")), "{sheet}");
    assert!(sheet.contains(r#"name="document"><option value="">"#), "nothing is chosen yet: {sheet}");
    for none in [
        get(service, &format!("{address}?document="), &engineer).await,
        post(service, address, &engineer, "document=").await,
    ] {
        assert_eq!(none.status(), StatusCode::UNPROCESSABLE_ENTITY);
        assert!(text(none).await.contains("Choose one of the documents of this change."));
    }
    let early = get(service, &format!("{address}?document=fielding+notice"), &engineer).await;
    assert_eq!(early.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let asked = format!("{address}?document=change+record");
    assert_eq!(get(service, &asked, &board).await.status(), StatusCode::FORBIDDEN);
    let page = text(get(service, &asked, &engineer).await).await;
    assert!(page.contains("Let this document leave the house?"), "{page}");
    assert!(page.contains(r#"value="change record" checked"#) && !page.contains("fielding notice"), "{page}");
    let register = text(get(service, "/published", &engineer).await).await;
    assert!(register.contains("Nothing has been published yet."), "asking publishes nothing: {register}");
}

#[tokio::test]
async fn a_figure_that_has_moved_since_stands_beside_what_was_published() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.draft(&engineer).await;
    let sent = post(&world.service, "/changes/2026-001/publish", &engineer, "document=board+summary").await;
    assert_eq!(sent.status(), StatusCode::SEE_OTHER);
    let before = text(get(&world.service, "/published", &engineer).await).await;
    assert!(before.contains("3 reports") && !before.contains("<b>moved</b>"), "{before}");
    let row = "R-4,2025-10-01,2025-10-04,COVE-2,RC-100,TB-1,read,RC-131,ZIP-1,in_use,\n";
    let columns = "report_ref,found_on,received_on,unit,item_part_no,lot_text,lot_known,part_no,mode,found_when,narrative\n";
    world.bring_in(&[("reports.csv", &format!("{columns}{row}"))]).await;
    let after = text(get(&world.service, "/published", &engineer).await).await;
    assert!(after.contains("3 reports") && after.contains("4 reports"), "{after}");
    assert!(after.contains("<b>moved</b>"), "{after}");
}

#[tokio::test]
async fn documents_are_for_those_who_may_read_changes() {
    let world = World::new().await;
    let (engineer, unit) = (world.sign_in("fell").await, world.sign_in("tarn").await);
    world.draft(&engineer).await;
    for part in ["record", "summary", "notice"] {
        let address = format!("/changes/2026-001/{part}.pdf");
        let file = get(&world.service, &address, &engineer).await;
        assert_eq!(file.status(), StatusCode::OK, "{address}");
        assert!(file.headers()[header::CONTENT_DISPOSITION].to_str().unwrap().contains("2026-001-"));
        assert_eq!(get(&world.service, &address, &unit).await.status(), StatusCode::FORBIDDEN);
    }
    assert_eq!(
        get(&world.service, "/changes/2099-1/record.pdf", &engineer).await.status(),
        StatusCode::NOT_FOUND
    );
    assert_eq!(get(&world.service, "/published", &unit).await.status(), StatusCode::FORBIDDEN);
}
