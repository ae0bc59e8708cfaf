//! The program `fitwright`.

use std::process::ExitCode;

fn main() -> ExitCode {
    fitwright::cli::run()
}
