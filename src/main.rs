//! The program `kitwright`: reads the command line, calls the library, sets the exit code.

fn main() {}
