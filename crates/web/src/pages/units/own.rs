//! A unit's own page: what it is asked, what it reported, and what became of it.

use domain::handling::ReportState;
use serde::Serialize;
use store::{Question, ReportLine};

use crate::address;
use crate::pages::interim::Order;
use crate::templates::Page;
use crate::tongue::Tongue;
use crate::view::Shell;

/// The page. It shows what the unit itself wrote and where that stands, nothing of how engineers see it.
#[derive(Serialize)]
pub struct OwnPage {
    shell: Shell,
    unit: String,
    name: Option<String>,
    form: String,
    orders: Vec<Order>,
    questions: Vec<Asked>,
    reports: Vec<Told>,
    more: bool,
}

#[derive(Serialize)]
struct Asked {
    address: String,
    report_ref: String,
    date: String,
    question: String,
}

#[derive(Serialize)]
struct Told {
    address: String,
    report_ref: String,
    date: String,
    state: String,
    story: String,
}

/// What a unit's own page is made from.
pub(super) struct Own<'a> {
    /// How it is spoken to.
    pub(super) tongue: Tongue,
    /// Its code.
    pub(super) unit: &'a str,
    /// Its name.
    pub(super) name: Option<String>,
    /// Where its form is.
    pub(super) form: &'a str,
    /// What its reports' addresses begin with.
    pub(super) base: &'a str,
    /// What it is told to do with what it holds.
    pub(super) orders: Vec<Order>,
    /// Questions that wait for its answer.
    pub(super) questions: &'a [Question],
    /// Its latest reports.
    pub(super) lines: &'a [ReportLine],
}

impl OwnPage {
    /// A unit's own page.
    pub(super) fn new(own: Own<'_>) -> Self {
        let Own { tongue, unit, name, form, base, orders, questions, lines } = own;
        let of = |report_ref: &str| format!("{base}/{}", address::segment(report_ref));
        Self {
            shell: Shell::to_unit(tongue.with("own-title", &[("unit", unit.into())]), tongue),
            unit: unit.to_owned(),
            name,
            form: form.to_owned(),
            orders,
            questions: questions
                .iter()
                .map(|asked| Asked {
                    address: of(&asked.report_ref),
                    report_ref: asked.report_ref.clone(),
                    date: tongue.date(asked.asked_at.date_naive()),
                    question: asked.question.clone(),
                })
                .collect(),
            reports: lines
                .iter()
                .map(|line| Told {
                    address: of(&line.report.report_ref),
                    report_ref: line.report.report_ref.clone(),
                    date: tongue.date(line.report.received_on),
                    state: match line.answer_came {
                        Some(_) => tongue.say("stands-answer-came"),
                        None => tongue.word("stands", line.state),
                    },
                    story: line.report.narrative.clone().unwrap_or_default(),
                })
                .collect(),
            more: lines.len() as u64 == super::door::SHOWN,
        }
    }
}

impl Page for OwnPage {
    const TEMPLATE: &'static str = "pages/units/own";

    fn samples() -> Vec<Self> {
        let page = |full: bool| Self {
            shell: Shell::to_unit("Reports of COVE-2", Tongue::ENGLISH),
            unit: "COVE-2".into(),
            name: full.then(|| "Cove crew 2".into()),
            form: "/report/x".into(),
            orders: if full { Order::samples() } else { Vec::new() },
            questions: if full {
                vec![Asked {
                    address: "/unit/x/K7M4-RT9X".into(),
                    report_ref: "K7M4-RT9X".into(),
                    date: "4 Mar 2026".into(),
                    question: "Can you read the lot label?".into(),
                }]
            } else {
                Vec::new()
            },
            reports: if full {
                let told = |state| Told {
                    address: "/unit/x/K7M4-RT9X".into(),
                    report_ref: "K7M4-RT9X".into(),
                    date: "3 Mar 2026".into(),
                    state: Tongue::ENGLISH.word("stands", state),
                    story: "zip split".into(),
                };
                ReportState::ALL.iter().copied().map(told).collect()
            } else {
                Vec::new()
            },
            more: full,
        };
        vec![page(false), page(true)]
    }
}
