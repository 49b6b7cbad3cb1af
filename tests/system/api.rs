//! The figures of the API are those of the pages and of the command line, on the same books.

use serde_json::Value;
use stats::Interval;
use web::format;

use super::books::export;
use super::database::{BOTH, Kind};
use super::pack::take_in_a_small_world;
use super::program::{Program, visitor};

/// A running program on simulated books, a signed-in administrator and a key of the board.
async fn with_books(kind: Kind) -> (Program, reqwest::Client, String) {
    let program = Program::serve(kind).await;
    take_in_a_small_world(program.place());
    // The command prints the link with the configured address; the program under test listens elsewhere.
    let link = program.place().run(&["link", "holm", "--new-administrator"]);
    let link = link.trim();
    let path = &link[link.find("/sign-in/").expect("a link")..];
    let reader = visitor();
    reader.post(format!("{}{path}", program.base)).send().await.expect("an answer");
    let form = [("purpose", "system test"), ("role", "board"), ("unit", "")];
    let body = form.map(|(name, value)| format!("{name}={}", value.replace(' ', "+"))).join("&");
    let made = reader
        .post(format!("{}/api-keys", program.base))
        .header("content-type", "application/x-www-form-urlencoded")
        .body(body)
        .send()
        .await
        .expect("an answer");
    let page = made.text().await.expect("a text");
    let key = page.split("id=\"key\">").nth(1).and_then(|rest| rest.split('<').next());
    let key = key.unwrap_or_else(|| panic!("no key on the page: {page}")).to_owned();
    (program, reader, key)
}

async fn ask(program: &Program, key: &str, path: &str) -> Value {
    let address = format!("{}/api/v1/{path}", program.base);
    let answer = visitor().get(address).bearer_auth(key).send().await.expect("an answer");
    assert_eq!(answer.status(), 200, "{path}: {}", program.log());
    serde_json::from_str(&answer.text().await.expect("a text")).expect("JSON")
}

#[tokio::test]
async fn page_api_and_command_line_give_the_same_figures() {
    for kind in BOTH {
        let (program, reader, key) = with_books(kind).await;
        let analysis = ask(&program, &key, "analysis").await;
        let as_of = analysis["as_of"].as_str().unwrap();

        let pack = export(program.place(), "pack");
        let pack = pack.to_str().unwrap();
        let printed = program.place().run(&["analyse", pack, "--as-of", as_of, "--json"]);
        let printed: Value = serde_json::from_str(&printed).unwrap();
        for (key, of_pack) in printed.as_object().unwrap() {
            assert!(analysis[key] == *of_pack, "{kind:?}: {key} differs:\n{}\n{of_pack}", analysis[key]);
        }
        assert_eq!(analysis, printed);

        let listed = ask(&program, &key, "recurrences?limit=200").await;
        let all = analysis["recurrences"].as_array().unwrap();
        let in_list: Vec<&Value> =
            listed["recurrences"].as_array().unwrap().iter().map(|one| &one["figures"]).collect();
        assert_eq!(in_list, all.iter().collect::<Vec<_>>());
        let changes = ask(&program, &key, "changes").await;
        let change_figures: Vec<&Value> =
            changes["changes"].as_array().unwrap().iter().map(|one| &one["figures"]).collect();
        assert_eq!(change_figures, analysis["changes"].as_array().unwrap().iter().collect::<Vec<_>>());
        assert!(!change_figures.is_empty(), "the simulated service has a change");

        let mut pages = 0;
        for one in all.iter().filter(|one| !one["rate"].is_null()).take(3) {
            let (part, mode) = (one["part_no"].as_str().unwrap(), one["mode"].as_str().unwrap());
            let alone = ask(&program, &key, &format!("recurrences/{part}/{mode}")).await;
            assert_eq!(alone["figures"], *one);
            let page =
                reader.get(format!("{}/recurrences/{part}/{mode}", program.base)).send().await.unwrap();
            let page = page.text().await.unwrap();
            let number = |of: &Value| of.as_f64().unwrap();
            let rate = &one["rate"];
            let ends = Interval { low: number(&rate["low"]), high: number(&rate["high"]) };
            let said = format!(
                "<b>{}</b> per 1,000 item-years ({}), {}",
                format::significant(number(&rate["estimate"]), 2),
                format::interval(ends),
                format::counted(rate["occasions"].as_u64().unwrap(), "report", "reports"),
            );
            assert!(page.contains(&said), "{part} {mode}: `{said}` isn't on the page");
            let exposure = format!("{} item-years", format::decimals(number(&one["item_years"]), 0));
            assert!(page.contains(&exposure), "{part} {mode}: `{exposure}` isn't on the page");
            pages += 1;
        }
        assert!(pages > 0, "the simulated service has a recurrence with a rate");
    }
}
