//! A small shop and a small piece, well written.

pub(crate) const SHOP: &str = r#"sabulo = "shop 1"
name = "Test bench"

[[compressor]]
name = "two-stage"
free_air = "400l/min"
cut_in = "8bar"
cut_out = "10bar"
duty = "60%"
power = "4kW"

[receiver]
volume = "270l"

[hose]
bore = "10mm"
length = "10m"

[[nozzle]]
name = "pencil"
bore = "3/32in"
length = "30mm"

[[abrasive]]
kind = "white_alumina"
grit = "F150"

[[resist]]
kind = "rubber_thin"
width = "600mm"

[cabinet]
volume = "600l"
openings = "0.05 m2"
collector = "12 m3/min"

[rates]
currency = "EUR"
labour_per_hour = "40"
energy_per_kwh = "0.30"
"#;

pub(crate) const PIECE: &str = r#"sabulo = "piece 1"
name = "Fern panel"

[artwork]
file = "fern.svg"
width = "300mm"

[blank]
material = "float_glass"
width = "400mm"
height = "600mm"
thickness = "10mm"

[[depth]]
layer = "fronds"
depth = "1.2mm"
"#;
