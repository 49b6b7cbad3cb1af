//! Tests of the program as it is started: the binary itself, a fresh folder and database each, a real port.

mod api;
mod books;
mod calc;
mod database;
mod doors;
mod evidence;
mod hostile;
mod intake;
mod pack;
mod place;
mod program;
mod suggest;
mod unit;
