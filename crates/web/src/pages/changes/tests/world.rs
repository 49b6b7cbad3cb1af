//! A small invented world for the tests of these pages: one carrier, its slide fastener, three reports of it.

use axum::Router;
use axum::http::StatusCode;
use axum::response::Response;
use domain::change_record::{Prediction, PredictionBasis, Retrofit, Verdict};
use domain::class::{Criterion, Justification, Priority};
use domain::effectivity::{Effectivity, Stage};
use domain::permission::{Actor, Role};
use store::{CriterionAnswer, RecordEdit, RequirementAnswer, UserEdit};

use crate::pack::{ImportOptions, Limits, PackSource, import};
use crate::state::AppState;
use crate::testing::{cookie, person, post, service, state};

const REPORT_COLUMNS: &str = "report_ref,found_on,received_on,unit,item_part_no,lot_text,lot_known,part_no,mode,found_when,narrative\n";

const PASSWORD: &str = "seven dry karabiners";

/// 8.5 lb of carrier, all of it in the one part that changes.
const FILES: [(&str, &str); 9] = [
    ("units.csv", "unit,kind\nCOVE-2,wearing\n"),
    (
        "parts.csv",
        "part_no,revision,name,kind,released_on\nRC-100,A,Rescue carrier,ITEM,2025-01-01\n\
         RC-131,A,Front slide fastener,ZIP,2025-01-01\n",
    ),
    (
        "structure.csv",
        "parent_part_no,parent_revision,child_part_no,child_revision,quantity\nRC-100,A,RC-131,A,1\n",
    ),
    ("lots.csv", "lot_no,part_no,revision,size,maker,made_on\nTB-1,RC-100,A,M,Harbour Loft,2025-01-06\n"),
    ("movements.csv", "moved_on,kind,lot_no,unit,quantity\n2025-01-10,issue,TB-1,COVE-2,300\n"),
    ("weighings.csv", "part_no,revision,size,specimen,mass_g\nRC-131,A,,1,3855.535\nRC-131,A,,2,3855.535\n"),
    (
        "requirements.csv",
        "item_part_no,requirement_no,text,measure,limit_kind,limit\n\
         RC-100,3.2,Not more than 4 kg.,mass_g,at_most,4000\nRC-100,3.4,Opens with one hand.,other,,\n",
    ),
    (
        "reports.csv",
        "report_ref,found_on,received_on,unit,item_part_no,lot_text,lot_known,part_no,mode,found_when,narrative\n\
         R-1,2025-05-01,2025-05-04,COVE-2,RC-100,TB-1,read,RC-131,ZIP-1,in_use,split on the ladder\n\
         R-2,2025-07-01,2025-07-04,COVE-2,RC-100,TB-1,read,RC-131,ZIP-1,in_use,\n\
         R-3,2025-09-01,2025-09-04,COVE-2,RC-100,TB-1,read,RC-131,ZIP-1,in_use,\n",
    ),
    (
        "bench_tests.csv",
        "part_no,revision,method,measure,specimen,value,measure_unit,outcome\n\
         RC-131,A,ASTM D2061,crosswise strength,1,400,N,failed\n",
    ),
];

/// The service on these books, with somebody of each role.
pub(in crate::pages::changes) struct World {
    pub state: AppState,
    pub service: Router,
}

impl World {
    pub(in crate::pages::changes) async fn new() -> Self {
        let state = state().await;
        take_in(&state, &FILES).await;
        let people = [
            ("fell", Role::Engineer),
            ("skerry", Role::Board),
            ("holm", Role::Administrator),
            ("tarn", Role::UnitReporter),
        ];
        for (name, role) in people {
            person(&state, name, role, PASSWORD).await;
        }
        Self { service: service(&state), state }
    }

    /// Brings more books in.
    pub(in crate::pages::changes) async fn bring_in(&self, files: &[(&str, &str)]) {
        take_in(&self.state, files).await;
    }

    /// A change from a pack: 60 failures in 300 items before, one in as many and as old after.
    pub(in crate::pages::changes) async fn bring_in_a_change_that_worked(&self) {
        let mut reports = REPORT_COLUMNS.to_owned();
        for (lot, many) in [("TB-1", 60), ("TB-2", 1)] {
            for number in 0..many {
                let day = 1 + number % 28;
                let row = format!(
                    "C-{lot}-{number},2025-08-{day:02},2025-09-01,COVE-2,RC-100,{lot},read,RC-131,ZIP-1,in_use,"
                );
                reports.push_str(&row);
                reports.push('\n');
            }
        }
        self.bring_in(&[
            (
                "parts.csv",
                "part_no,revision,name,kind,replaces_revision\nRC-100,B,Rescue carrier,ITEM,A\n\
                 RC-131,B,Front slide fastener,ZIP,A\n",
            ),
            (
                "structure.csv",
                "parent_part_no,parent_revision,child_part_no,child_revision,quantity\nRC-100,B,RC-131,B,1\n",
            ),
            (
                "lots.csv",
                "lot_no,part_no,revision,size,maker,made_on\nTB-2,RC-100,B,M,Harbour Loft,2025-01-06\n",
            ),
            ("movements.csv", "moved_on,kind,lot_no,unit,quantity\n2025-01-10,issue,TB-2,COVE-2,300\n"),
            (
                "changes.csv",
                "change_no,title,part_no,from_revision,to_revision,modes,state,cut_in_lot,cut_in_on\n\
                 CH-1,Coated slider,RC-131,A,B,ZIP-1,cut in,TB-2,2025-01-06\n",
            ),
            ("reports.csv", &reports),
        ])
        .await;
    }

    pub(in crate::pages::changes) async fn sign_in(&self, name: &str) -> String {
        let form = format!("name={name}&password={}", PASSWORD.replace(' ', "+"));
        cookie(&post(&self.service, "/sign-in", "", &form).await)
    }

    /// Gives somebody another role.
    pub(in crate::pages::changes) async fn make(&self, name: &str, role: Role) {
        let user = self.state.store().find_user_named(name).await.expect("read").expect("there");
        let edit = UserEdit { full_name: user.full_name, role, unit: None };
        self.state
            .store()
            .edit_user(&Actor::Program, self.state.now(), user.id, &edit)
            .await
            .expect("edited");
    }

    /// Drafts 2026-001.
    pub(in crate::pages::changes) async fn draft(&self, engineer: &str) {
        let sent = post(&self.service, "/changes/new", engineer, super::DRAFT).await;
        assert_eq!(sent.status(), StatusCode::SEE_OTHER);
    }

    /// Drafts 2026-001, fills it and puts it before the board.
    pub(in crate::pages::changes) async fn submitted(&self, engineer: &str) {
        self.draft(engineer).await;
        let form = format!("version={}", fill_whole(self, "2026-001").await);
        let sent = post(&self.service, "/changes/2026-001/submit", engineer, &form).await;
        assert_eq!(sent.status(), StatusCode::SEE_OTHER);
    }

    /// What a form of a decision on 2026-001 carries besides what is typed: which record it was shown with.
    pub(in crate::pages::changes) async fn shown(&self) -> String {
        let store = self.state.store();
        let record = store.find_change_record("2026-001").await.expect("read").expect("there");
        let version = record.body.expect("a record").version;
        let seal = store.evidence_seals("2026-001").await.expect("read").pop();
        format!("&version={version}&evidence={}", seal.map(|seal| seal.digest).unwrap_or_default())
    }

    /// Signs a decision on 2026-001 as it stands.
    pub(in crate::pages::changes) async fn decide(&self, chair: &str, typed: &str) -> Response {
        let form = format!("{typed}{}", self.shown().await);
        post(&self.service, "/changes/2026-001/decide", chair, &form).await
    }

    pub(in crate::pages::changes) async fn state_of(&self, no: &str) -> &'static str {
        let change = self.state.store().find_change(no).await.expect("read").expect("there");
        change.state.expect("a state").word()
    }
}

async fn take_in(state: &AppState, files: &[(&str, &str)]) {
    let files = files.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec()));
    let pack = PackSource::from_files(files.collect(), Limits::UPLOAD).expect("a pack");
    let options =
        ImportOptions { by: Actor::Program, now: state.now(), refused_to: None, strict: false, keep: 10 };
    import(state.store(), pack, options, |_| {}).await.expect("imported");
}

/// Writes every section of a fresh draft and gives the version it has then.
pub(in crate::pages::changes) async fn fill_whole(world: &World, no: &str) -> i64 {
    let criteria = Criterion::ALL.iter().map(|&criterion| CriterionAnswer {
        criterion,
        touched: false,
        reason: Some("not touched".into()),
    });
    let line = Effectivity {
        change_no: no.to_owned(),
        stage: Stage::Proposed,
        maker: None,
        from_lot: Some("TB-9".into()),
        to_lot: None,
        share_new: 1.0,
        from_date: None,
    };
    let edits = [
        RecordEdit::Words {
            title: "Coated slider".into(),
            problem: "It splits.".into(),
            description: "A coated slider.".into(),
        },
        RecordEdit::Prediction(Prediction {
            basis: PredictionBasis::Judged,
            ratio_low: 0.2,
            ratio_best: 0.4,
            ratio_high: 0.8,
            source: "judged by the responsible engineer".into(),
        }),
        RecordEdit::Criteria(criteria.collect()),
        RecordEdit::Requirements(vec![RequirementAnswer {
            requirement_no: "3.4".into(),
            verdict: Verdict::NotAffected,
            note: None,
        }]),
        RecordEdit::Effectivity { proposed: vec![line], retrofit: Some(Retrofit::RunOut), note: None },
        RecordEdit::Handling {
            priority: Priority::Routine,
            justification: Justification::Deficiency,
            cost_note: None,
            edition: None,
        },
    ];
    let user = world.state.store().find_user_named("fell").await.expect("read").expect("there");
    let mut version = 1;
    for edit in edits {
        let (by, now) = (user.actor(), world.state.now());
        world.state.store().edit_record(&by, now, no, version, &edit).await.expect("edited");
        version += 1;
    }
    version
}
