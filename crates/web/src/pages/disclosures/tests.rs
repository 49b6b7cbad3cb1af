//! A disclosure from the draft to the file, with the second pair of eyes.

use axum::http::StatusCode;
use domain::handling::Sorting;
use domain::permission::{Actor, Role};

use crate::testing::{cookie, get, person, post, service, small_books, state, text};

/// The digest that a sheet's form sends.
fn of(sheet: &str) -> String {
    let (_, of) = sheet.split_once("name=\"of\" value=\"").expect("a form");
    of.split('"').next().unwrap_or_default().to_owned()
}

fn sorting() -> Sorting {
    Sorting {
        part_no: "RC-131".into(),
        mode: "ZIP-1".into(),
        lot_no: None,
        relevant: true,
        relevant_reason: None,
        chargeable: true,
        chargeable_reason: None,
        cause: None,
    }
}

#[tokio::test]
async fn nothing_leaves_but_what_was_shown_and_the_sheet_keeps_showing_it() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    let mut sids = Vec::new();
    for (name, role) in [("fell", Role::Engineer), ("skerry", Role::Board), ("holm", Role::Administrator)] {
        person(&state, name, role, "seven dry karabiners").await;
        let form = format!("name={name}&password=seven+dry+karabiners");
        sids.push(cookie(&post(&service, "/sign-in", "", &form).await));
    }
    let [fell, skerry, holm] = [0, 1, 2].map(|at: usize| sids[at].as_str());
    let form = "part_no=RC-131&mode=ZIP-1&to=a+committee&threshold=3&removals=names+in+narratives\
         &why-names-in-narratives=persons";
    let page = post(&service, "/disclosures/new", fell, form).await.headers()["location"].clone();
    let page = page.to_str().unwrap().to_owned();
    let sheet = async |sid| text(get(&service, &page, sid).await).await;
    let review = async |of: &str| {
        let form = format!("verdict=release&words=read+every+word&of={of}");
        post(&service, &format!("{page}/review"), skerry, &form).await
    };
    assert_eq!(get(&service, &page, holm).await.status(), StatusCode::FORBIDDEN, "it has not left");
    let read = of(&sheet(skerry).await);
    small_books::send_again(&state, "R-2").await;
    state.store().sort_report(&Actor::Program, state.now(), ("N-R-2", None), &sorting()).await.unwrap();
    let changed = review(&read).await;
    assert_eq!(changed.status(), StatusCode::CONFLICT);
    let again = text(changed).await;
    assert!(
        again.contains("Reports came or were sorted since you read this")
            && again.contains("read every word")
    );
    let stale = text(get(&service, &format!("{page}?page=0&of={read}"), skerry).await).await;
    assert!(stale.contains("since you began to read"), "{stale}");
    assert_eq!(review(&of(&again)).await.status(), StatusCode::SEE_OTHER);
    assert_eq!(review(&of(&again)).await.status(), StatusCode::CONFLICT, "it was reviewed");

    small_books::send_again(&state, "R-3").await;
    state.store().sort_report(&Actor::Program, state.now(), ("N-R-3", None), &sorting()).await.unwrap();
    let left = sheet(holm).await;
    assert!(left.contains("What left") && left.contains("4 items were reported in all"), "{left}");
    assert_eq!(left.matches("zip burst").count(), 1, "what came since is not in it: {left}");
}

#[tokio::test]
async fn what_one_drafted_leaves_when_another_has_looked_through_it() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    for name in ["fell", "skerry"] {
        person(&state, name, Role::Engineer, "seven dry karabiners").await;
    }
    let sign_in = async |name: &str| {
        let form = format!("name={name}&password=seven+dry+karabiners");
        cookie(&post(&service, "/sign-in", "", &form).await)
    };
    let (fell, skerry) = (sign_in("fell").await, sign_in("skerry").await);
    let wrong = post(&service, "/disclosures/new", &fell, "part_no=ZIP-9&mode=ZIP-1&to=x&threshold=5").await;
    assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY, "the words would leave unread");
    let form = |part: &str| {
        format!(
            "part_no={part}&mode=ZIP-1&to=a+committee&threshold=3&removals=names+in+narratives&removals=units\
             &why-names-in-narratives=persons&why-units=%3Dnot+theirs&struck=ladder"
        )
    };
    let draft = async |part: &str| {
        let drafted = post(&service, "/disclosures/new", &fell, &form(part)).await;
        assert_eq!(drafted.status(), StatusCode::SEE_OTHER);
        drafted.headers()["location"].to_str().unwrap().to_owned()
    };
    let page = draft("RC-131").await;
    let own = text(get(&service, &page, &fell).await).await;
    assert!(own.contains("Somebody else reviews what you drafted."), "{own}");
    let review = format!("{page}/review");
    let by_self = post(&service, &review, &fell, "verdict=release&words=fine").await;
    assert_eq!(by_self.status(), StatusCode::FORBIDDEN);
    let file = format!("{page}/file.zip");
    assert_eq!(get(&service, &file, &fell).await.status(), StatusCode::NOT_FOUND, "nothing has left");
    let read = of(&text(get(&service, &page, &skerry).await).await);
    let unsaid = post(&service, &review, &skerry, &format!("verdict=release&words=&of={read}")).await;
    assert_eq!(unsaid.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let unread = post(&service, &review, &skerry, "verdict=release&words=read+it").await;
    assert_eq!(unread.status(), StatusCode::CONFLICT, "nobody says of which file");
    let released =
        post(&service, &review, &skerry, &format!("verdict=release&words=read+it&of={read}")).await;
    assert_eq!(released.status(), StatusCode::SEE_OTHER);
    let sheet = text(get(&service, &page, &skerry).await).await;
    assert!(sheet.contains("What left") && !sheet.contains("What would leave today"), "{sheet}");
    let bytes = axum::body::to_bytes(get(&service, &file, &fell).await.into_body(), 1 << 20).await.unwrap();
    let mut zip = zip::ZipArchive::new(std::io::Cursor::new(bytes)).unwrap();
    let mut read = |name: &str| std::io::read_to_string(zip.by_name(name).unwrap()).unwrap();
    assert_eq!(read("words.txt"), "zip burst\n\nzip open again\n\nzip split <on> the [removed]");
    // Three reports in three quarters: with the total each row would follow, so that the table of quarters is left out.
    assert_eq!(read("counts.csv").matches("withheld").count(), 2, "{}", read("counts.csv"));
    assert!(!read("counts.csv").contains("quarter"), "{}", read("counts.csv"));
    assert!(!read("counts.csv").contains("COVE-2"));
    assert!(read("removed.csv").contains("units,'=not theirs"), "{}", read("removed.csv"));
    let first = read("read-first.txt");
    assert!(first.contains("3 items were reported in all. 2 counts are withheld"), "{first}");
    assert!(first.contains("There is no table by quarter: every count of it would follow"), "{first}");

    let page = draft("RC-100").await;
    let review = format!("{page}/review");
    let few = post(&service, &review, &skerry, "verdict=release&words=read+it").await;
    assert_eq!(few.status(), StatusCode::UNPROCESSABLE_ENTITY, "there is no report of it");
    let refused = post(&service, &review, &skerry, "verdict=refuse&words=too+few").await;
    assert_eq!(refused.status(), StatusCode::SEE_OTHER);
    let list = text(get(&service, "/disclosures", &skerry).await).await;
    assert!(list.contains("refused") && list.contains("released"));
}

/// A misread label is no lot of its own: counts are by the lots that labels lead to.
#[tokio::test]
async fn reports_are_counted_by_the_lots_that_their_labels_lead_to() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let misread = "report_ref,found_on,received_on,unit,item_part_no,lot_text,lot_known,part_no,mode,harm,relevant\n\
        R-4,2025-08-01,2025-08-04,COVE-2,RC-100,T8-0418,read,RC-131,ZIP-1,none,yes\n";
    small_books::take_in(&state, &[("reports.csv", misread)]).await;
    let service = service(&state);
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let fell = cookie(&post(&service, "/sign-in", "", "name=fell&password=seven+dry+karabiners").await);
    let form = "part_no=RC-131&mode=ZIP-1&to=a+committee&threshold=3&removals=names+in+narratives\
         &why-names-in-narratives=persons";
    let page = post(&service, "/disclosures/new", &fell, form).await.headers()["location"].clone();
    let sheet = text(get(&service, page.to_str().unwrap(), &fell).await).await;
    assert!(sheet.contains("TB-0418") && !sheet.contains("T8-0418"), "{sheet}");
}
