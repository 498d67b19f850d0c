//! The output stage.
