//! Drawings as templates, one row filled in.
#![no_main]

use artwork::batch::Template;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let columns = ["name", "year"].map(str::to_owned);
    if let Some(template) = sabulo_fuzz::within_time(|| Template::new(bytes, &columns)) {
        assert!(!template.columns().is_empty());
    }
});
