//! The output transformer: as it is stamped, as readings of it tell, and as it loses.
#![forbid(unsafe_code)]

pub mod losses;
pub mod transformer;
pub mod unmarked;
