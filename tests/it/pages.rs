//! The pages over real HTTP, as a browser without scripts uses them.

mod advices;
mod drafts;
mod entries;
mod records;
mod runway;
