//! The command line, word for word. Each file of `cases` is a story: a line
//! that starts with `$ ` is run in the story's own folder, and what follows is
//! what it must print: standard output, then standard error with `! ` before
//! each line, then the exit code. `RECORD=1 cargo test -p app --test
//! command_line` writes the stories anew; read the difference before keeping it.

#![allow(
    clippy::unwrap_used,
    reason = "a helper of a test that cannot go on fails the test"
)]

mod command_line {
    mod amounts;
    mod answers;
    mod cannot_be;
    mod contracts;
    mod desk;
    mod feeding;
    mod refusals;
    mod scenarios;
    mod slips;
    mod stories;
}
