//! Domain values to bytes.
