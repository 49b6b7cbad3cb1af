//! Every check of the crate that needs data, draws or the whole of a method, in one program.

mod anytime;
mod bad_input_counts;
mod bad_input_lives;
mod coverage_counts;
mod coverage_lives;
mod coverage_others;
mod coverage_repairs;
mod draws;
mod laws_counts;
mod laws_lives;
mod oracle;
mod published_counts;
mod published_lives;
mod special;
mod whole_domain;
