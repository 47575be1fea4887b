//! Files of pieces and of shops, each read as both.
#![no_main]

use libfuzzer_sys::fuzz_target;
use piece::{read_piece, read_shop};
use std::sync::LazyLock;

static SHOP: LazyLock<piece::Shop> = LazyLock::new(|| {
    read_shop(include_str!("../../examples/shop.toml"), "shop.toml").expect("the example's shop is read in the tests")
});

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    sabulo_fuzz::within_time(|| read_shop(text, "shop.toml"));
    sabulo_fuzz::within_time(|| read_piece(text, "piece.toml", &SHOP));
});
