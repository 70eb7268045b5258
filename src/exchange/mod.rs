//! Other people's files to domain values and back.
