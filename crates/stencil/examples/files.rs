//! Writes one layer in every form into a folder, for other programs to open: `files FOLDER`.

use artwork::bounds::Bounds;
use artwork::grid::Point;
use artwork::region::{FillRule, Region, Ring};
use stencil::dxf_out;
use stencil::film::{Emulsion, FilmSheet, pdf, tiff};
use stencil::halftone::clustered::{Clustered, Dot};
use stencil::halftone::screen::{Halftone, Screening, even};
use stencil::layers::{Mark, Side, StencilLayer};
use stencil::plotter::{self, Coordinates};
use stencil::strokes::of_layer;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::path::PathBuf::from(std::env::args().nth(1).ok_or("usage: files FOLDER")?);
    let layer = layer();
    std::fs::write(folder.join("layer.dxf"), dxf_out::verified(&layer)?.text())?;
    let plotted = plotter::verified(&layer, &of_layer(&layer), Coordinates::Tenths)?;
    std::fs::write(folder.join("layer.plt"), plotted.text())?;
    let sheet = FilmSheet::of(&layer, Emulsion::TowardsLamp);
    std::fs::write(folder.join("film.pdf"), pdf::verified(&sheet)?.bytes())?;
    std::fs::write(folder.join("film.tif"), tiff::verified(&sheet, 1200.0, None)?.bytes())?;
    let tone = even(0.3, Point { x: 60.0, y: 10.0 }, 40.0, 30.0);
    let screening = Screening::Clustered(Clustered { pitch_mm: 0.6, angle_degrees: 22.5, dot: Dot::Round });
    let least = quantity::Length::mm(0.0)?;
    let halftone = Halftone { tone: &tone, screening, curve: None, least };
    std::fs::write(folder.join("halftone.tif"), tiff::verified(&sheet, 2880.0, Some(&halftone))?.bytes())?;
    println!("{:.9} {:.9}", layer.openings.area().to_square_mm(), sheet.black.area().to_square_mm());
    Ok(())
}

/// A ring with a core, and a wedge.
fn layer() -> StencilLayer {
    let circle = |r: f64| {
        let at = |i: u32| (f64::from(i) * std::f64::consts::TAU / 240.0).sin_cos();
        Ring((0..240).map(at).map(|(sin, cos)| Point { x: 30.0 + r * cos, y: 30.0 + r * sin }).collect())
    };
    let wedge = Ring([(12.3, 60.0), (47.8, 63.3), (15.0, 88.9)].map(|(x, y)| Point { x, y }).to_vec());
    let marks = [(5.0, 5.0), (105.0, 5.0), (5.0, 95.0)].map(|(x, y)| Mark { centre: Point { x, y }, reach_mm: 4.0 });
    StencilLayer {
        stage: 1,
        stages: 1,
        name: "ring".into(),
        side: Side::Front,
        openings: Region::from_rings(&[circle(20.0), circle(14.0), circle(6.0), wedge], FillRule::EvenOdd),
        marks: marks.to_vec(),
        cuts: Vec::new(),
        weed_box: Bounds::from_size(110.0, 100.0),
    }
}
