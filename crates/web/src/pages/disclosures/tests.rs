//! A disclosure from the draft to the file, with the second pair of eyes.

use axum::http::StatusCode;
use domain::permission::Role;

use crate::testing::{cookie, get, person, post, service, small_books, state, text};

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
    let unread = post(&service, &review, &skerry, "verdict=release&words=").await;
    assert_eq!(unread.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let released = post(&service, &review, &skerry, "verdict=release&words=read+it").await;
    assert_eq!(released.status(), StatusCode::SEE_OTHER);
    let bytes = axum::body::to_bytes(get(&service, &file, &fell).await.into_body(), 1 << 20).await.unwrap();
    let mut zip = zip::ZipArchive::new(std::io::Cursor::new(bytes)).unwrap();
    let mut read = |name: &str| std::io::read_to_string(zip.by_name(name).unwrap()).unwrap();
    assert_eq!(read("words.txt"), "zip burst\n\nzip open again\n\nzip split <on> the [removed]");
    // Three reports in three quarters: with the total each row would follow, so that the table of quarters is left out.
    assert_eq!(read("counts.csv").matches("withheld").count(), 2, "{}", read("counts.csv"));
    assert!(!read("counts.csv").contains("quarter"), "{}", read("counts.csv"));
    assert!(!read("counts.csv").contains("COVE-2"));
    assert!(read("removed.csv").contains("units,'=not theirs"), "{}", read("removed.csv"));
    assert!(read("read-first.txt").contains("3 items were reported in all. 5 counts are withheld"));

    let page = draft("RC-100").await;
    let review = format!("{page}/review");
    let few = post(&service, &review, &skerry, "verdict=release&words=read+it").await;
    assert_eq!(few.status(), StatusCode::UNPROCESSABLE_ENTITY, "there is no report of it");
    let refused = post(&service, &review, &skerry, "verdict=refuse&words=too+few").await;
    assert_eq!(refused.status(), StatusCode::SEE_OTHER);
    let list = text(get(&service, "/disclosures", &skerry).await).await;
    assert!(list.contains("refused") && list.contains("released"));
}
