//! DXF files with the limits that users have.
#![no_main]

use artwork::dxf::{DxfOptions, read_dxf};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Some(read) = sabulo_fuzz::within_time(|| read_dxf(bytes, &DxfOptions::default())) {
        assert!(read.drawing.shapes.iter().all(|shape| shape.region.area().to_square_mm().is_finite()));
    }
});
