//! The program starts, says where it is, lets people in by their links and stops when told.

use super::database::{BOTH, Kind};
use super::program::{Program, visitor};

#[tokio::test]
async fn the_program_starts_on_either_database_and_shows_the_sign_in_page() {
    for kind in BOTH {
        let program = Program::serve(kind).await;
        let page = visitor().get(format!("{}/sign-in", program.base)).send().await.unwrap();
        assert_eq!(page.status(), 200, "{kind:?}: {}", program.log());
        let policy = page.headers()["content-security-policy"].to_str().unwrap();
        assert!(policy.starts_with("default-src 'none'"), "{policy}");
        assert!(program.stop(), "{kind:?}: asked to stop, it ends well");
    }
}

#[tokio::test]
async fn the_demo_prints_a_sign_in_link_for_each_role() {
    let program = Program::demo(Kind::Sqlite).await;
    for role in ["store keeper", "equipment engineer", "board chair", "administrator"] {
        let line = program.line_with(role);
        let link = line.split_whitespace().find(|word| word.starts_with("http://")).unwrap();
        assert!(link.starts_with(&program.base), "{link}");
        let page = visitor().get(link).send().await.unwrap();
        assert_eq!(page.status(), 200, "{role}: {}", program.log());
    }
}
