//! What must be made or come, and when, so that what is planned can be built.

mod sub_kits;

pub use sub_kits::inside_what_is_made;
