//! A solid as binary STL: 50 bytes a triangle, millimetres.

use super::mesh::Solid;

/// Writes a solid. The format has no unit; the header says millimetres, which is what its readers take it for.
#[must_use]
pub fn write(solid: &Solid) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(HEADER + 4 + 50 * solid.triangles.len());
    // A binary file must not begin with "solid": readers would take it for text.
    bytes.extend_from_slice(b"Carved face up, z from the flat back; unit: millimetre");
    bytes.resize(HEADER, b' ');
    bytes.extend_from_slice(&(solid.triangles.len() as u32).to_le_bytes());
    for triangle in &solid.triangles {
        let corners = triangle.map(|i| solid.vertices[i as usize]);
        for place in [normal(corners)].iter().chain(&corners) {
            place.iter().for_each(|number| bytes.extend_from_slice(&number.to_le_bytes()));
        }
        bytes.extend_from_slice(&[0, 0]);
    }
    bytes
}

const HEADER: usize = 80;

/// Unit normal, out of the solid; zero for a triangle without area.
fn normal([a, b, c]: [[f32; 3]; 3]) -> [f32; 3] {
    let to = |p: [f32; 3]| std::array::from_fn::<f64, 3, _>(|i| f64::from(p[i]) - f64::from(a[i]));
    let (u, v) = (to(b), to(c));
    let cross = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    let length = cross.iter().map(|n| n * n).sum::<f64>().sqrt();
    cross.map(|n| if length > 0.0 { (n / length) as f32 } else { 0.0 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::relief::mesh::{SolidOptions, solid, tests::relief};
    use piece::Side;

    #[test]
    fn the_file_read_back_by_its_layout_has_the_solid_s_volume() {
        let solid = solid(&relief(Side::Back, 12.0, 8.0), &SolidOptions::default()).unwrap();
        let bytes = write(&solid);
        let count = u32::from_le_bytes(bytes[80..84].try_into().unwrap()) as usize;
        assert_eq!((count, bytes.len()), (solid.triangles.len(), 84 + 50 * count));
        assert!(!bytes.starts_with(b"solid"));
        let number = |at: usize| f64::from(f32::from_le_bytes(bytes[at..at + 4].try_into().unwrap()));
        let mut volume = 0.0;
        for triangle in 0..count {
            let at = |corner: usize, axis: usize| number(84 + 50 * triangle + 12 * corner + 4 * axis);
            let [n, a, b, c] = [0, 1, 2, 3].map(|corner| [0, 1, 2].map(|axis| at(corner, axis)));
            let cross = [b[1] * c[2] - b[2] * c[1], b[2] * c[0] - b[0] * c[2], b[0] * c[1] - b[1] * c[0]];
            volume += (0..3).map(|i| a[i] * cross[i]).sum::<f64>() / 6.0;
            assert!((n.iter().map(|n| n * n).sum::<f64>() - 1.0).abs() < 1e-5, "triangle {triangle} has no area");
        }
        assert!((volume / solid.volume_mm3() - 1.0).abs() < 1e-9);
    }
}
