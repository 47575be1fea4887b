//! SVG files with the limits that users have.
#![no_main]

use artwork::svg::{ReadOptions, read_svg, write_svg};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let drawing = sabulo_fuzz::within_time(|| read_svg(bytes, &ReadOptions::default()));
    if let Some(drawing) = drawing {
        assert!(drawing.shapes.iter().all(|shape| shape.region.area().to_square_mm().is_finite()));
        assert!(!write_svg(&drawing).is_empty());
    }
});
