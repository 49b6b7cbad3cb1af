//! The tests of the whole house: how it is built (`architecture`) and what the started program does (`system`).

mod architecture;
mod system;
