//! The `weighhouse` program.

use std::process::ExitCode;

fn main() -> ExitCode {
    weighhouse::command::run()
}
