//! Every check of the crate that needs data, draws or the whole of a method, in one program.

mod anytime;
mod draws;
mod oracle;
mod special;
