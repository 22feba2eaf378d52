//! Bedwright.

use std::process::ExitCode;

fn main() -> ExitCode {
    app::run()
}
