//! Rulings, tones, growth, kernels. Sources stand in the rows.

use crate::Found::{self, Number, Text};
use crate::{Check, Row};
use stencil::halftone::diffusion::{Diffusion, Kernel};
use stencil::halftone::limits::{
    TOUCHING, dot_mm, least_tone, levels, pitch_mm, principal_frequency, ruling_for_levels, ruling_for_tones,
};
use stencil::halftone::tone::{area_from_density, density_of_area, grown};

pub(crate) const FAMILIES: &[(&str, Check)] = &[
    ("HLF-", |row| Number(levels(row.inputs()[0], row.inputs()[1]) as f64)),
    ("HLF-L1", |row| Number(ruling_for_levels(row.inputs()[0], 65))),
    ("HLF-P1", |row| Number(pitch_mm(row.inputs()[0]))),
    ("HLF-D1", |row| Number(dot_mm(0.1, pitch_mm(row.inputs()[0])))),
    ("HLF-D2", |_| Number(TOUCHING)),
    ("HLF-R5-", |row| Number(ruling_for_tones(0.05, row.input("least feature ")))),
    ("HLF-R10-", |row| Number(ruling_for_tones(0.1, row.input("least feature ")))),
    ("HLF-A1", |row| Number(least_tone(row.input("m="), pitch_mm(row.input("; "))))),
    ("MDV-", density),
    ("DGN-", growth),
    ("KRN-", kernel_sum),
    ("KRN-T", bits),
    ("BLU-", |row| Number(principal_frequency(row.input("grey ")))),
];

fn density(row: &Row) -> Found {
    Number(match row.last() {
        "1" | "4" => area_from_density(row.input("Dt="), row.input("Ds="), 1.0).unwrap(),
        "3" => density_of_area(row.input("a="), row.input("Ds=")),
        // Tone value increase of the row DGN-1, which prints three digits.
        "5" => ((grown(0.5, pitch_mm(65.0), 0.010) - 0.5) * 1e3).round() * 1e-3,
        other => panic!("{}: {other} is not known", row.id),
    })
}

fn growth(row: &Row) -> Found {
    let [lpi, percent, um] = row.inputs()[..] else { panic!("{}: {}", row.id, row.inputs) };
    Number(grown(percent / 100.0, pitch_mm(lpi), um * 1e-3))
}

fn kernel_sum(row: &Row) -> Found {
    let kernel = match row.last() {
        "FS" => Kernel::FLOYD_STEINBERG,
        "JJN" => Kernel::JARVIS_JUDICE_NINKE,
        "Stucki" => Kernel::STUCKI,
        "Burkes" => Kernel::BURKES,
        "Sierra3" => Kernel::SIERRA,
        other => panic!("{}: {other} is not known", row.id),
    };
    // The divisor that the row gives.
    assert_eq!(kernel.divisor, row.input("/") as i32, "{}", row.id);
    Number(f64::from(kernel.sum()) / f64::from(kernel.divisor))
}

fn bits(row: &Row) -> Found {
    let rows: Vec<Vec<f32>> = match row.id.as_str() {
        "KRN-T1" => vec![vec![0.5; 4]; 4],
        "KRN-T2" => vec![vec![0.25; 6]; 4],
        "KRN-T3" => vec![(0..8).map(|i| i as f32 / 7.0).collect()],
        other => panic!("{other} is not known"),
    };
    let mut diffusion = Diffusion::new(Kernel::FLOYD_STEINBERG, rows[0].len(), false);
    let line = |tones: &Vec<f32>| {
        let mut black = vec![false; tones.len()];
        diffusion.next_row(&mut tones.clone(), &mut black);
        black.iter().map(|&b| if b { '1' } else { '0' }).collect::<String>()
    };
    Text(rows.iter().map(line).collect::<Vec<_>>().join("/"))
}

/// A figure of the derivation's table that is not among the rows.
#[test]
fn spread_light_agrees_with_the_derivation() {
    let found = area_from_density(0.30, 1.40, 1.7).unwrap();
    assert!((found / 0.392_902 - 1.0).abs() < 1e-5, "{found}");
    assert_eq!(area_from_density(1.5, 1.4, 1.0), None);
}
