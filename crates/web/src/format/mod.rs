//! format
