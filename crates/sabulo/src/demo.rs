//! The demonstration: an invented shop and three of its pieces, built into the binary.

use store::Demo;

const SHOP: &str = include_str!("../../../examples/shop.toml");

macro_rules! demo {
    ($name:literal, $folder:literal, $drawing:literal) => {
        Demo {
            name: $name,
            piece_toml: include_str!(concat!("../../../examples/", $folder, "/piece.toml")),
            shop_toml: SHOP,
            artwork_name: $drawing,
            artwork: include_bytes!(concat!("../../../examples/", $folder, "/", $drawing)),
        }
    };
}

/// The pieces, in the order of the list.
pub(crate) const PIECES: [Demo<'static>; 3] = [
    demo!("Heron among reeds", "heron", "heron.svg"),
    demo!("Merrowby tumblers", "crest", "crest.svg"),
    demo!("Bramble's marker", "marker", "marker.svg"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_demonstration_reads_without_complaint_under_its_own_name() {
        let shop = piece::read_shop(SHOP, "shop.toml").unwrap_or_else(|faults| panic!("{faults}"));
        for demo in PIECES {
            let read =
                piece::read_piece(demo.piece_toml, "piece.toml", &shop).unwrap_or_else(|faults| panic!("{faults}"));
            assert_eq!((read.name.as_str(), read.artwork.as_str()), (demo.name, demo.artwork_name));
        }
    }
}
