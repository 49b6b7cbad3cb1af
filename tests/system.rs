//! Tests of the program as it is started: the binary itself, a fresh folder and database each, a real port.

mod database;
mod doors;
mod place;
mod program;
