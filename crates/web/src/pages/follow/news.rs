//! What of a report is told by mail, each thing once: the steps of its receipt, questions and answers.

use store::{ChangeRecord, ReportFile};

use super::became::{Known, concerns};
use crate::picture::Picture;
use crate::tongue::Tongue;

/// One thing that is told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct News {
    /// Under which key it is told once.
    pub(crate) key: String,
    /// What is said.
    pub(crate) says: String,
}

impl News {
    /// A question that waits for its answer.
    pub(crate) fn question(tongue: Tongue, question: &store::Question) -> Self {
        let asked = question.question.as_str();
        Self {
            key: format!("question {}", question.id),
            says: tongue.with("mail-question", &[("question", asked.into())]),
        }
    }

    /// Everything that can be told of a report today, first asked, last answered.
    pub(crate) fn of_report(
        tongue: Tongue,
        picture: &Picture,
        changes: &[ChangeRecord],
        file: &ReportFile,
    ) -> Vec<Self> {
        let cures: Vec<ChangeRecord> =
            changes.iter().filter(|record| concerns(file, record)).cloned().collect();
        let (field, catalogue) = (&picture.field, &*picture.catalogue);
        let known = Known { tongue, field, analysis: &picture.analysis, catalogue, file, changes: &cures };
        let open = file.questions.iter().filter(|question| question.answer.is_none());
        let mut news: Vec<Self> = open.map(|question| Self::question(tongue, question)).collect();
        news.extend(
            known.steps().into_iter().filter_map(|step| Some(Self { key: step.news?, says: step.says })),
        );
        news.extend(file.answers.iter().zip(1..).map(|(answer, n)| Self {
            key: format!("answer {n}"),
            says: tongue.with("mail-answer", &[("answer", answer.text.as_str().into())]),
        }));
        news
    }
}
