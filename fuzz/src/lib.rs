//! What all targets share: the time that one input may take.

use cpu_time::ProcessTime;

/// Most that a reader may take for one file.
const SECONDS_MAX: f64 = 2.0;

/// Runs a reader and panics when it takes more than [`SECONDS_MAX`] of processor time: on a busy machine the clock
/// on the wall would tell of others' work. An error must say something.
pub fn within_time<T, E: std::fmt::Display>(read: impl FnOnce() -> Result<T, E>) -> Option<T> {
    let start = ProcessTime::now();
    let found = read();
    let took = start.elapsed().as_secs_f64();
    assert!(took < SECONDS_MAX, "took {took:.1} s of processor time");
    found.map_err(|error| assert!(error.to_string().len() > 10, "an error must say something")).ok()
}
