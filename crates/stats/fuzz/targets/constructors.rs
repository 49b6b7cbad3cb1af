//! Tries the checked values and lists on numbers of any bits.
#![no_main]

#[path = "../../tests/whole_domain/constructors.rs"]
mod constructors;

use libfuzzer_sys::fuzz_target;

fuzz_target!(|input: (Vec<f64>, Vec<u64>)| {
    let (numbers, counts) = input;
    for pair in numbers.windows(2) {
        constructors::values(pair[0], pair[1]);
    }
    constructors::lists(&numbers, &counts);
});
