//! Nothing of its own: cargo wants a library beside the test binary, whose modules start at `main.rs`.
