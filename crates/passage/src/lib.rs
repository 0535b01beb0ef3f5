//! The passage water plan: where and when to make water, and whether it lasts.

pub mod decision;
pub mod timeline;
