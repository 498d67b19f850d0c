//! Shared by the tests that cross crates: the finished page, the browsers that
//! open it, and a trap for any request that it would make.

pub mod amplifiers;
pub mod axe;
pub mod browser;
pub mod circuit;
pub mod engine;
pub mod grid;
pub mod host;
pub mod page;
pub mod process;
pub mod site;
pub mod supplies;
pub mod tools;
pub mod transformers;
pub mod trap;
pub mod trial;
pub mod webdriver;
