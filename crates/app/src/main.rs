//! Bedwright.

use mimalloc::MiMalloc;
use std::process::ExitCode;

/// Members are many small things, which it hands out in half the time.
#[global_allocator]
static MEMORY: MiMalloc = MiMalloc;

fn main() -> ExitCode {
    app::run()
}
