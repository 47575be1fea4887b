//! Pictures, decoded, straightened and traced. Of four million elements at most: more take longer than two seconds
//! because they are large, not because they are odd.
#![no_main]

use artwork::photo::{PhotoLimits, PhotoOptions, trace_photo};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let limits = PhotoLimits { pixels: 4_000_000, ..PhotoLimits::default() };
    let options = PhotoOptions { limits, ..PhotoOptions::default() };
    if let Some(traced) = sabulo_fuzz::within_time(|| trace_photo(bytes, &options)) {
        assert!(!traced.drawing.shapes.is_empty());
    }
});
