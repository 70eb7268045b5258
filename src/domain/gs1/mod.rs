//! GS1 numbers.
