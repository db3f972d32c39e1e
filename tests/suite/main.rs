//! The one test binary of the project and its contents page.

mod follow;
