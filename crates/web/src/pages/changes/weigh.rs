//! `/changes/{no}/weigh`: weighed specimens of the revision that a change proposes.

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::permission::{Act, Actor};
use serde::{Deserialize, Serialize};
use store::{NewWeighings, StoreError};

use super::load::Loaded;
use super::sample;
use crate::address;
use crate::error::AppError;
use crate::format;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Ask, Choice, Choices, Place, Select, Shell};

/// Specimens of one sitting.
const MOST: usize = 100;

/// Grams above which a specimen is a slip of the pen: no carrier weighs a tonne.
const HEAVIEST_G: f64 = 1_000_000.0;

/// How many times heavier or lighter than the others a specimen is asked about: a figure too many or a lost point is ten times,
/// and no two specimens of a part and size are three times apart.
const UNLIKE: f64 = 3.0;

/// The form.
#[derive(Serialize)]
pub struct WeighPage {
    shell: Shell,
    about: String,
    back: String,
    action: String,
    weighed: String,
    size: Select,
    grams: Ask,
    /// Whether a specimen was weighed here already, which may be taken back.
    can_take_back: bool,
    /// Asked where a specimen is unlike the others.
    sure: Option<Choices>,
    /// What the journal had when the form was shown, so that two specimens alike can be told from one sent twice.
    shown: i64,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    size: String,
    grams: String,
    sure: String,
    shown: i64,
}

/// Why weighing was refused.
enum Fault {
    Plain(String),
    /// A specimen unlike the others, which may be right all the same.
    Unlike(String),
}

/// Sizes that the items concerned are made in, each once.
fn sizes(loaded: &Loaded) -> Vec<String> {
    let mut sizes: Vec<String> = loaded.view().mass.into_iter().filter_map(|line| line.size).collect();
    let mut seen = std::collections::BTreeSet::new();
    sizes.retain(|size| seen.insert(size.clone()));
    sizes
}

impl WeighPage {
    fn new(actor: &Actor, loaded: &Loaded, typed: &Typed, fault: Option<Fault>) -> Self {
        let is_unlike = matches!(fault, Some(Fault::Unlike(_)));
        let says = fault.map(|(Fault::Plain(says) | Fault::Unlike(says))| says);
        let change = &loaded.record.change;
        let options =
            sizes(loaded).into_iter().map(|size| Choice::new(&size, &size, size == typed.size)).collect();
        Self {
            shell: Shell::inside(format!("Weigh for {}", change.change_no), actor, Place::Changes),
            about: format!("{} {}", change.change_no, change.title),
            back: format!("{}#weighings", address::change(&change.change_no)),
            action: format!("{}/weigh", address::change(&change.change_no)),
            weighed: format!("{} revision {}", change.part_no, change.to_revision),
            size: Select::new("size", "Size", "The same in all sizes", vec![(String::new(), options)]),
            grams: Ask::text("grams", "Grams of each specimen", &typed.grams)
                .hint("One number a specimen, with blanks between: 41.2 40.8 41.5. Two or more show their scatter.")
                .required()
                .problem(says),
            sure: is_unlike.then(|| {
                let right = Choice::new("yes", "The grams are right as written", false);
                Choices::any("sure", "Weighed again?", vec![right])
            }),
            can_take_back: loaded.after.has_weighed_here,
            shown: typed.shown,
        }
    }
}

impl Typed {
    fn read(&self) -> Result<Vec<f64>, String> {
        let words: Vec<&str> = self.grams.split_whitespace().collect();
        if words.is_empty() {
            return Err("Write the grams of at least one specimen.".into());
        }
        if words.len() > MOST {
            return Err(format!("Write up to {MOST} specimens at a time."));
        }
        let read = |word: &&str| match word.parse::<f64>() {
            Ok(grams) if grams > 0.0 && grams <= HEAVIEST_G => Ok(grams),
            _ => Err(format!("\u{201c}{word}\u{201d} is no mass in grams. Write 41.2, with a point.")),
        };
        words.iter().map(read).collect()
    }
}

/// What is said of the first specimen that is several times as heavy or as light as the middle of those on record in its size,
/// else in any size, else of all that were typed.
fn unlike(grams: &[f64], size: Option<&str>, on_record: &[(Option<String>, f64)]) -> Option<String> {
    let in_size: Vec<f64> =
        on_record.iter().filter(|one| one.0.as_deref() == size).map(|one| one.1).collect();
    let (mut all, whose) = if !in_size.is_empty() {
        (in_size, "all specimens of this part and size")
    } else if !on_record.is_empty() {
        (on_record.iter().map(|one| one.1).collect(), "all specimens of this part")
    } else {
        (grams.to_vec(), "the specimens written here")
    };
    all.sort_unstable_by(f64::total_cmp);
    let middle = all.get(all.len() / 2)?;
    let one = grams.iter().find(|one| **one > UNLIKE * middle || **one * UNLIKE < *middle)?;
    Some(format!(
        "{one} g is far from the {middle} g that is the middle of {whose}. Mend it, or say below that it is right."
    ))
}

/// Why nothing may be weighed for a record any more: it is before the board or was approved on what was weighed then.
fn frozen(loaded: &Loaded) -> Option<String> {
    let state = loaded.state();
    (loaded.record.body.is_some() && !state.is_open()).then(|| {
        format!(
            "This change is {state}: what it rests on is frozen, so nothing is weighed into it. Masses of later \
             specimens come with books, and its evidence says what has changed since."
        )
    })
}

/// A change that specimens may still be weighed for.
pub(super) async fn weighable(state: &AppState, signed_in: &SignedIn, no: &str) -> Result<Loaded, AppError> {
    signed_in.may(&Act::DraftChange)?;
    let loaded = Loaded::find(state, no).await?;
    match frozen(&loaded) {
        Some(says) => Err(AppError::Unusable(says)),
        None => Ok(loaded),
    }
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
) -> Result<Response, AppError> {
    let loaded = weighable(&state, &signed_in, &no).await?;
    let typed = Typed { shown: state.store().journal_number().await?, ..Typed::default() };
    state.page(&WeighPage::new(&signed_in.0, &loaded, &typed, None))
}

pub(super) async fn keep(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Form(typed): Form<Typed>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::DraftChange)?;
    let loaded = Loaded::find(&state, &no).await?;
    if let Some(says) = frozen(&loaded) {
        return match loaded.refuse(&state, &signed_in, "weigh", AppError::Unusable(says)).await {
            AppError::Unusable(says) => {
                state.refused(&WeighPage::new(&signed_in.0, &loaded, &typed, Some(Fault::Plain(says))))
            }
            error => Err(error),
        };
    }
    let change = &loaded.record.change;
    let size = Some(typed.size.trim().to_owned()).filter(|size| !size.is_empty());
    let known = size.as_ref().is_none_or(|size| sizes(&loaded).contains(size));
    let read = typed.read();
    if let Ok(grams) = &read
        && typed.sure.is_empty()
        && let on_record = state.store().weighed(&change.part_no).await?
        && let Some(says) = unlike(grams, size.as_deref(), &on_record)
    {
        return state.refused(&WeighPage::new(&signed_in.0, &loaded, &typed, Some(Fault::Unlike(says))));
    }
    let fault = match read {
        Err(says) => says,
        Ok(_) if !known => "Choose one of the sizes.".to_owned(),
        Ok(grams) => {
            let (part_no, revision) = (change.part_no.clone(), change.to_revision.clone());
            let new =
                NewWeighings { change_no: no.clone(), part_no, revision, size, grams, shown: typed.shown };
            match state.store().add_weighings(&signed_in.0, state.now(), &new).await {
                Ok(()) => {
                    let back = format!("{}#weighings", address::change(&no));
                    return Ok(Redirect::to(&back).into_response());
                }
                Err(StoreError::Refused(problem)) => format::sentence(&problem.why),
                // Somebody put it before the board meanwhile.
                Err(StoreError::NotAllowed(why)) => format::sentence(&why.to_string()),
                Err(error) => return Err(error.into()),
            }
        }
    };
    state.refused(&WeighPage::new(&signed_in.0, &loaded, &typed, Some(Fault::Plain(fault))))
}

impl Page for WeighPage {
    const TEMPLATE: &'static str = "pages/changes/weigh";

    fn samples() -> Vec<Self> {
        let engineer = crate::pages::recurrences::sample::engineer();
        let (loaded, typed) = (sample::loaded(), Typed::default());
        let of = |loaded, fault| Self::new(&engineer, loaded, &typed, fault);
        let faults = || [None, typed.read().err().map(Fault::Plain), Some(Fault::Unlike("Far off.".into()))];
        loaded.iter().take(1).flat_map(|loaded| faults().map(|fault| of(loaded, fault))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::{Typed, unlike};

    #[test]
    fn grams_are_numbers_above_nought_with_blanks_between() {
        let read = |grams: &str| Typed { grams: grams.into(), ..Typed::default() }.read();
        assert_eq!(read(" 41.2  40.8\n41 "), Ok(vec![41.2, 40.8, 41.0]));
        for wrong in ["", "41,2", "0", "-4", "NaN", "inf", "1e9", "41.2 g"] {
            assert!(read(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_specimen_ten_times_as_heavy_as_the_others_is_asked_about_and_one_half_as_heavy_is_not() {
        let known: Vec<(Option<String>, f64)> =
            [40.8, 41.0].map(|grams| (Some("M".to_owned()), grams)).into();
        assert_eq!(unlike(&[41.2, 22.0], Some("M"), &known), None);
        assert_eq!(unlike(&[41.2], None, &[]), None, "nothing to be unlike");
        let says = |grams: &[f64], known: &[_]| unlike(grams, None, known).expect("asked about");
        assert!(says(&[41.2, 41.0, 99_999.0], &[]).starts_with("99999 g is far from the 41.2 g"));
        // Of no size and of another: the norm is what is on record, also against several that are wrong alike.
        for wrong in [412.0, 4.12] {
            let said = says(&[wrong, wrong, 41.2], &known);
            assert!(said.starts_with(&format!("{wrong} g is far from the 41 g")), "{said}");
            assert!(said.contains("all specimens of this part."), "{said}");
        }
    }
}
