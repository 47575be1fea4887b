//! A piece and a shop for tests.

use store::{Demo, Store};

pub(crate) const PIECE: &str = r##"
sabulo = "piece 1"
name = "Fixture"
[artwork]
file = "fixture.svg"
width = "120mm"
[blank]
material = "float_glass"
width = "200mm"
height = "150mm"
thickness = "10mm"
price = "12.50"
[[depth]]
layer = "ring"
depth = "0.8mm"
[[depth]]
layer = "leaf"
depth = "0.4mm"
[recipe]
resist = "rubber_thin"
abrasive = "white_alumina"
grit = "F150"
nozzle = "long 1/8"
pressure = "40psi"
standoff = "4in"
"##;

pub(crate) const SHOP: &str = r#"
sabulo = "shop 1"
name = "Test shop"
[[compressor]]
name = "two-stage"
free_air = "450 l/min"
cut_in = "8 bar"
cut_out = "10 bar"
duty = "70%"
power = "4 kW"
[receiver]
volume = "270 l"
[hose]
bore = "1/2in"
length = "5m"
[[nozzle]]
name = "long 1/8"
bore = "1/8in"
length = "50mm"
price = "40"
[[nozzle]]
name = "short 3/32"
bore = "3/32in"
length = "30mm"
price = "30"
[[abrasive]]
kind = "white_alumina"
grit = "F150"
price_per_kg = "4"
[[abrasive]]
kind = "white_alumina"
grit = "F220"
price_per_kg = "5"
[[resist]]
kind = "rubber_thin"
width = "380mm"
price_per_m2 = "30"
[cabinet]
volume = "500 l"
openings = "0.02 m2"
collector = "8 m3/min"
collector_power = "0.75 kW"
[rates]
currency = "USD"
labour_per_hour = "60"
energy_per_kwh = "0.20"
margin = "40%"
spoilage = "3%"
"#;

pub(crate) const ARTWORK: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="90mm" viewBox="0 0 120 90">
<g id="ring"><path fill="#000" fill-rule="evenodd" d="M60 5a40 40 0 1 0 0.01 0zM60 15a30 30 0 1 1 -0.01 0z"/></g>
<g id="leaf"><path fill="#888" d="M60 25c15 15 15 35 0 50c-15 -15 -15 -35 0 -50z"/></g></svg>"##;

/// A store with the piece in it, as piece 1.
pub(crate) fn store() -> Store {
    let store = Store::in_memory().unwrap();
    let demo = Demo {
        name: "Fixture",
        piece_toml: PIECE,
        shop_toml: SHOP,
        artwork_name: "fixture.svg",
        artwork: ARTWORK.as_bytes(),
    };
    store.seed(&[demo]).unwrap();
    store
}
