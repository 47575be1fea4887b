//! The program itself, as a person runs it.

#![allow(dead_code, reason = "each test file uses its part of this")]

pub(crate) mod server;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The examples' folder.
pub(crate) fn examples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples")
}

/// Runs `sabulo` with these arguments.
pub(crate) fn sabulo<S: AsRef<std::ffi::OsStr>>(arguments: impl IntoIterator<Item = S>) -> Output {
    let output = Command::new(env!("CARGO_BIN_EXE_sabulo")).args(arguments).output();
    output.expect("the program was built for this test")
}

/// Its exit code.
pub(crate) fn code(output: &Output) -> i32 {
    output.status.code().expect("no signal ended it")
}

/// What it said on stderr.
pub(crate) fn complaint(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}
