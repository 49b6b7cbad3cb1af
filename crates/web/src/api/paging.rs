//! Long lists in parts: `limit` rows at once, `after` the one the last part ended with.

use serde::Deserialize;
use utoipa::IntoParams;

use super::problem::ApiError;
use crate::error::AppError;

/// Rows at once, where the caller doesn't say.
const USUAL: usize = 20;
/// Most rows at once.
const MOST: usize = 200;

const MOVED_ON: &str =
    "What `after` names isn't in the list, or not any more: the books have moved on. Begin again without it.";

/// Which part of a list is wanted.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(super) struct Paging {
    /// Rows at once; 20 where it is left out.
    #[param(value_type = Option<u32>, minimum = 1, maximum = 200, default = 20, example = 50)]
    limit: Option<String>,
    /// The `next` of the part before; the first part where it is left out.
    after: Option<String>,
}

impl Paging {
    /// The rows of this part and what to ask for next.
    ///
    /// # Errors
    /// A limit out of range, or a row that isn't in the list any more.
    pub(super) fn part<T>(
        &self,
        all: Vec<T>,
        key: impl Fn(&T) -> String,
    ) -> Result<(Vec<T>, Option<String>), ApiError> {
        let limit = match self.limit.as_deref() {
            None => USUAL,
            Some(text) => text
                .parse()
                .ok()
                .filter(|limit| (1..=MOST).contains(limit))
                .ok_or_else(|| ApiError::field("limit", "Write a whole number from 1 to 200."))?,
        };
        let start = match self.after.as_deref() {
            None | Some("") => 0,
            Some(after) => {
                let at = all.iter().position(|row| key(row) == after);
                1 + at.ok_or_else(|| AppError::Overtaken(MOVED_ON.to_owned()))?
            }
        };
        let is_last = start + limit >= all.len();
        let rows: Vec<T> = all.into_iter().skip(start).take(limit).collect();
        let next = rows.last().filter(|_| !is_last).map(key);
        Ok((rows, next))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(limit: Option<&str>, after: Option<&str>) -> Result<(Vec<u32>, Option<String>), ApiError> {
        let paging = Paging { limit: limit.map(Into::into), after: after.map(Into::into) };
        paging.part(vec![1, 2, 3], u32::to_string)
    }

    #[test]
    fn a_list_comes_whole_in_parts() {
        assert_eq!(part(Some("2"), None).unwrap(), (vec![1, 2], Some("2".into())));
        assert_eq!(part(Some("2"), Some("2")).unwrap(), (vec![3], None));
        assert_eq!(part(Some("3"), None).unwrap(), (vec![1, 2, 3], None));
        assert_eq!(part(None, Some("3")).unwrap(), (vec![], None));
    }

    #[test]
    fn a_limit_out_of_range_is_named_and_a_row_that_is_gone_means_to_begin_again() {
        for limit in ["0", "201", "x"] {
            let Err(ApiError::Fields(problems)) = part(Some(limit), None) else { panic!("taken") };
            assert_eq!(problems[0].field, "limit");
        }
        assert!(matches!(part(None, Some("9")), Err(ApiError::Told(AppError::Overtaken(_)))));
        assert_eq!(part(None, Some("")).unwrap().0.len(), 3);
    }
}
