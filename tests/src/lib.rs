//! Shared by the tests that cross crates.
