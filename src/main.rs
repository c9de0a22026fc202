//! The binary only calls the library's `main`.

use std::process::ExitCode;

fn main() -> ExitCode {
    windrode::cli::main(std::env::args_os())
}
