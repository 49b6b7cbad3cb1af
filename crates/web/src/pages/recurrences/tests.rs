//! Who may see and decide what about recurrences, and what comes back when a form is wrong.

use axum::http::StatusCode;
use domain::distribution::Marking;
use domain::permission::Role;
use domain::recurrence::RecurrenceState;
use store::{JournalFilter, Page};

use super::sheet::RecurrencePage;
use crate::format::percent;
use crate::signals;
use crate::templates::{Page as _, Templates};
use crate::testing::{cookie, get, person, post, service, small_books, state, text};

#[tokio::test]
async fn roles_read_and_decide_as_they_may() {
    let state = state().await;
    for (name, role) in [("fell", Role::Engineer), ("skerry", Role::Board), ("tarn", Role::UnitReporter)] {
        person(&state, name, role, "seven dry karabiners").await;
    }
    let service = service(&state);
    for (name, list, decide) in [
        ("fell", StatusCode::OK, StatusCode::NOT_FOUND),
        ("skerry", StatusCode::OK, StatusCode::FORBIDDEN),
        ("tarn", StatusCode::FORBIDDEN, StatusCode::FORBIDDEN),
    ] {
        let opened =
            post(&service, "/sign-in", "", &format!("name={name}&password=seven+dry+karabiners")).await;
        let sid = cookie(&opened);
        assert_eq!(get(&service, "/recurrences?severity=9&part=%3Cb%3E", &sid).await.status(), list);
        for step in ["take-up", "note", "risk"] {
            let address = format!("/recurrences/RC-131/ZIP-1/{step}");
            assert_eq!(post(&service, &address, &sid, "severity=2&reason=x").await.status(), decide);
        }
    }
    let nobody = get(&service, "/recurrences", "").await;
    assert_eq!(nobody.status(), StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn the_seam_leads_to_the_reports_only_whom_they_are_open_to() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    let reports = "/recurrences/RC-131/ZIP-1/reports";
    for (name, role, opens) in [("fell", Role::Engineer, true), ("holm", Role::Administrator, false)] {
        person(&state, name, role, "seven dry karabiners").await;
        let form = format!("name={name}&password=seven+dry+karabiners");
        let sid = cookie(&post(&service, "/sign-in", "", &form).await);
        assert_eq!(get(&service, reports, &sid).await.status() == StatusCode::OK, opens, "{name}");
        for address in ["/recurrences/RC-131/ZIP-1", "/changes/CH-1"] {
            let page = text(get(&service, address, &sid).await).await;
            assert!(page.contains("first of 3"), "{address}: {page}");
            assert_eq!(page.contains(&format!("href=\"{reports}\"")), opens, "{name} at {address}: {page}");
        }
    }
}

#[tokio::test]
async fn a_note_that_says_nothing_is_not_kept_and_one_that_says_something_can_be_cleared() {
    let state = state().await;
    small_books::bring_in(&state).await;
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let service = service(&state);
    let sid = cookie(&post(&service, "/sign-in", "", "name=fell&password=seven+dry+karabiners").await);
    let address = "/recurrences/RC-131/ZIP-1";
    let note = async |form: &str| {
        let shown = shown(&text(get(&service, address, &sid).await).await);
        post(&service, &format!("{address}/note"), &sid, &format!("{form}&shown={shown}")).await
    };
    let nothing = note("cause=+&next_step=").await;
    assert_eq!(nothing.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(nothing).await.contains("Nothing was kept."));
    assert_eq!(state.store().list_recurrences().await.unwrap(), []);
    assert_eq!(note("cause=salt&next_step=").await.status(), StatusCode::SEE_OTHER);
    assert_eq!(note("cause=&next_step=").await.status(), StatusCode::SEE_OTHER);
    assert_eq!(state.store().list_recurrences().await.unwrap()[0].cause, None);
}

#[tokio::test]
async fn a_signal_is_told_as_it_was_raised_also_where_the_books_have_it_no_more() {
    let state = state().await;
    small_books::bring_in(&state).await;
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let service = service(&state);
    let sid = cookie(&post(&service, "/sign-in", "", "name=fell&password=seven+dry+karabiners").await);
    let shown = async || text(get(&service, "/recurrences/RC-131/ZIP-1", &sid).await).await;
    assert!(!shown().await.contains("As it was raised"));
    let raised = super::sample::signal(state.today());
    state.store().keep_signals(state.now(), &[raised.raised]).await.unwrap();
    let (page, day) = (shown().await, crate::format::date(state.today()));
    let told = format!("{day} all reports: 12 reports in 9 weeks where 3.1 were expected, first for ");
    assert!(page.contains(&told) && page.contains("; still on.</li>"), "{page}");
    assert_eq!(signals::keep(&state).await.unwrap().ended.len(), 1, "three reports are no signal");
    assert!(shown().await.contains(&format!("; ended {day}.</li>")));
    assert!(signals::keep(&state).await.unwrap().is_nothing());
}

#[tokio::test]
async fn an_empty_list_says_what_to_do_first_and_escapes_the_filter() {
    let state = state().await;
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let service = service(&state);
    let sid = cookie(&post(&service, "/sign-in", "", "name=fell&password=seven+dry+karabiners").await);
    let page = text(get(&service, "/recurrences?part=%22%3E%3Cb%3E", &sid).await).await;
    assert!(page.contains(r#"href="/packs""#) && !page.contains("<b>"), "{page}");
}

#[test]
fn a_wrong_form_comes_back_with_its_problems_and_a_reader_gets_no_form() {
    let templates = Templates::load(&Marking::default()).unwrap();
    let pages: Vec<String> =
        RecurrencePage::samples().iter().map(|page| templates.render(page).unwrap()).collect();
    assert!(pages[0].contains("The carrier opened on a ladder.") && pages[0].contains("Slider worn by salt"));
    assert!(pages[1].contains("Choose a severity.") && pages[1].contains(r##"href="#reason""##));
    assert!(!pages[2].contains("<form class=\"form\""), "{}", pages[2]);
}

/// The number that a page's forms carry.
fn shown(page: &str) -> i64 {
    let value = page.split(r#"name="shown" value=""#).nth(1).and_then(|rest| rest.split('"').next());
    value.and_then(|value| value.parse().ok()).expect("a number")
}

#[tokio::test]
async fn what_another_engineer_decided_meanwhile_is_told_and_not_overwritten() {
    let state = state().await;
    small_books::bring_in_proved(&state).await;
    let service = service(&state);
    let mut sids = Vec::new();
    for name in ["fell", "bight"] {
        person(&state, name, Role::Engineer, "seven dry karabiners").await;
        let form = format!("name={name}&password=seven+dry+karabiners");
        sids.push(cookie(&post(&service, "/sign-in", "", &form).await));
    }
    let own = "/recurrences/RC-131/ZIP-1";
    assert_eq!(shown(&text(get(&service, own, &sids[1]).await).await), 0);
    for (step, form) in [
        ("take-up", "shown=0"),
        ("risk", "severity=2&reason=A+fall+was+near&shown=0"),
        ("note", "cause=Salt&next_step=Bench+test&shown=0"),
    ] {
        for _click in 0..2 {
            let kept = post(&service, &format!("{own}/{step}"), &sids[0], form).await;
            assert_eq!(kept.status(), StatusCode::SEE_OTHER, "{step}");
        }
    }
    let record = || async { state.store().find_recurrence("RC-131", "ZIP-1").await.unwrap().unwrap() };
    let before = record().await;
    let mut latest = 0;
    for (step, form, told, stays) in [
        ("take-up", "", "FELL took this recurrence up, 3 Mar 2026, 12:00 UTC.", "owner</dt><dd>FELL"),
        ("risk", "severity=4&reason=Nobody+can+fall", "FELL judged its risk, ", "Nobody can fall"),
        ("risk", "severity=&reason=Nobody+can+fall", "FELL judged its risk, ", "Choose a severity."),
        ("note", "cause=Sand&next_step=", "FELL wrote down its cause and next step, ", ">\nSand</textarea>"),
    ] {
        let late = post(&service, &format!("{own}/{step}"), &sids[1], &format!("{form}&shown=0")).await;
        assert_eq!(late.status(), StatusCode::CONFLICT, "{step}");
        let page = text(late).await;
        for said in [told, stays, "reasons</dt><dd>A fall was near", "cause</dt><dd>Salt"] {
            assert!(page.contains(said), "{step}: {said} in {page}");
        }
        latest = shown(&page);
        assert_eq!(record().await, before, "{step}");
    }
    let form = format!("cause=Sand&next_step=&shown={latest}");
    let again = post(&service, &format!("{own}/note"), &sids[1], &form).await;
    assert_eq!((again.status(), record().await.cause.as_deref()), (StatusCode::SEE_OTHER, Some("Sand")));
}

#[tokio::test]
async fn a_recurrence_is_settled_in_somebodys_name_once_nothing_is_missing() {
    let state = state().await;
    small_books::bring_in_proved(&state).await;
    let service = service(&state);
    let mut sids = Vec::new();
    for (name, role) in [("fell", Role::Engineer), ("skerry", Role::Board)] {
        person(&state, name, role, "seven dry karabiners").await;
        let form = format!("name={name}&password=seven+dry+karabiners");
        sids.push(cookie(&post(&service, "/sign-in", "", &form).await));
    }
    let own = "/recurrences/RC-131/ZIP-1";
    let settle = format!("{own}/settle");
    let whole =
        "stock=The+store+runs+out+by+June&remains=2+a+year+on+old+items&accepted_by=Jon+Skerry%2C+chair";
    for refused in [get(&service, &settle, &sids[1]).await, post(&service, &settle, &sids[1], whole).await] {
        assert_eq!(refused.status(), StatusCode::FORBIDDEN);
    }

    let page = text(get(&service, &settle, &sids[0]).await).await;
    assert!(page.contains("<li>the cause, or why none was found</li>"), "{page}");
    assert!(!page.contains("the proof that the change worked") && !page.contains("<textarea"), "{page}");
    let early = post(&service, &settle, &sids[0], whole).await;
    assert_eq!(early.status(), StatusCode::UNPROCESSABLE_ENTITY);

    // Nothing is shown of it yet, and the two don't overwrite each other.
    for (step, form) in [("take-up", ""), ("note", "cause=Slider+worn+by+salt&next_step=")] {
        let noted = post(&service, &format!("{own}/{step}"), &sids[0], form).await;
        assert_eq!(noted.status(), StatusCode::SEE_OTHER);
    }
    let page = text(get(&service, &settle, &sids[0]).await).await;
    assert!(page.contains("<dd>Slider worn by salt</dd>"), "{page}");
    let reach = format!("100 of 400 items in service have it ({}), 300 are without it", percent(0.25, 0));
    assert!(page.contains(&reach), "{page}");
    let whole = &format!("{whole}&shown={}", shown(&page));

    for (field, sentence) in [
        ("stock", "Say what is decided on it."),
        ("remains", "Say what risk remains, with its figure."),
        ("accepted_by", "Write who accepts it."),
    ] {
        let form = whole.split('&').filter(|pair| !pair.starts_with(field)).collect::<Vec<_>>().join("&");
        let back = post(&service, &settle, &sids[0], &form).await;
        assert_eq!(back.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let page = text(back).await;
        assert!(page.contains(&format!(r#"id="{field}-problem">{sentence}</p>"#)), "{page}");
        assert_eq!(page.matches("aria-invalid").count(), 1, "{page}");
        assert_eq!(page.contains("Jon Skerry, chair"), field != "accepted_by", "what was typed is kept");
    }
    let kept = || async { state.store().find_recurrence("RC-131", "ZIP-1").await.unwrap().unwrap() };
    assert_eq!(kept().await.state, RecurrenceState::TakenUp);

    for _click in 0..2 {
        let settled = post(&service, &settle, &sids[0], whole).await;
        assert_eq!(settled.status(), StatusCode::SEE_OTHER);
        assert_eq!(settled.headers()["location"], "/recurrences/RC-131/ZIP-1#decisions");
    }
    let other = post(&service, &settle, &sids[0], &whole.replace("Jon+Skerry", "Ada+Brook")).await;
    assert_eq!(other.status(), StatusCode::CONFLICT);
    let page = text(other).await;
    assert!(page.contains("FELL settled it, ") && page.contains("Ada Brook, chair"), "{page}");
    let record = kept().await;
    let stated = record.settled.expect("settled");
    assert_eq!((record.state, stated.settlement.change_no.as_str()), (RecurrenceState::Settled, "CH-1"));
    assert_eq!((stated.settlement.with_change, stated.settlement.in_service), (100, 400));
    assert_eq!(stated.settlement.accepted_by, "Jon Skerry, chair");
    assert!(text(get(&service, own, &sids[0]).await).await.contains("Jon Skerry, chair"));
    let noun = JournalFilter { noun: Some("recurrence".into()), ..JournalFilter::default() };
    let entries = state.store().journal(&noun, Page::first(9)).await.unwrap();
    let acts: Vec<_> = entries.iter().map(|entry| (entry.act.as_str(), entry.actor.as_str())).collect();
    assert_eq!(acts, [("settle", "FELL"), ("note", "FELL"), ("take up", "FELL")]);
}
