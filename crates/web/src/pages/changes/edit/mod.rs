//! The edit forms, one a section.
