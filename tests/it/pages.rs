//! The pages over real HTTP, as a browser without scripts uses them.

mod drafts;
mod entries;
mod records;
