//! The program `kitwright`: reads the command line, calls the library, sets the exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    kitwright::cli::run()
}
