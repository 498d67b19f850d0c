//! `cargo xtask`.
fn main() {}
