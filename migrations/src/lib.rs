//! migrations
