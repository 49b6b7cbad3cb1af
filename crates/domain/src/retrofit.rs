//! Ways to bring a change to items already issued, side by side: failures avoided, items touched, grams, cost, time.

mod costs;

pub use costs::Costs;
