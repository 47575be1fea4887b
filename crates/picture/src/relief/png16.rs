//! Depth as a picture of 16 bits a pixel: 0 is the face, brighter is deeper, a pixel is a cell.

use super::ReliefError;
use plan::Relief;
use std::io::Write as _;

/// A depth map.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthMap {
    /// The file.
    pub bytes: Vec<u8>,
    /// Depth of one step of the 65 535.
    pub step_um: f64,
}

/// Micrometres to a step, the finest that holds the depth is taken.
const STEPS_UM: [f64; 8] = [0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0];

/// Writes a relief's depth, as the artwork lies. `tEXt` chunks give the scale: `depth_um_per_step`, `pixel_mm`,
/// `left_mm` and `top_mm` (the picture's corner from the blank's), `deepest_mm`.
///
/// # Errors
/// [`ReliefError`] for a relief without cells.
pub fn write(relief: &Relief) -> Result<DepthMap, ReliefError> {
    let grid = relief.depth_mm.grid;
    if grid.is_empty() {
        return Err(ReliefError::NoCells);
    }
    let deepest = f64::from(relief.depth_mm.values.iter().copied().fold(0.0, f32::max));
    let holds = |step: &f64| 65_535.0 * step * 1e-3 >= deepest;
    let step_um = STEPS_UM.into_iter().find(holds).unwrap_or(deepest / 65.535);
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, grid.width as u32, grid.height as u32);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::Sixteen);
    let per_metre = (1e3 / grid.cell).round() as u32;
    encoder.set_pixel_dims(Some(png::PixelDimensions { xppu: per_metre, yppu: per_metre, unit: png::Unit::Meter }));
    let unit = "Depth below the blank's face: value times depth_um_per_step. A pixel is pixel_mm wide and high; \
                the picture's top left corner lies left_mm and top_mm from the blank's.";
    encoder.add_text_chunk("Description".to_owned(), unit.to_owned())?;
    for (key, value) in [
        ("depth_um_per_step", step_um),
        ("pixel_mm", grid.cell),
        ("left_mm", grid.origin.x),
        ("top_mm", grid.origin.y),
        ("deepest_mm", deepest),
    ] {
        encoder.add_text_chunk(key.to_owned(), format!("{value:.6}").trim_end_matches('0').to_owned())?;
    }
    let mut writer = encoder.write_header()?;
    // Row by row: the whole picture need not stand in memory twice.
    let mut stream = writer.stream_writer()?;
    let mut row = Vec::with_capacity(2 * grid.width);
    for depths in relief.depth_mm.values.chunks(grid.width) {
        row.clear();
        for &depth in depths {
            let value = (f64::from(depth) * 1e3 / step_um).round().clamp(0.0, 65_535.0) as u16;
            row.extend_from_slice(&value.to_be_bytes());
        }
        stream.write_all(&row).map_err(png::EncodingError::from)?;
    }
    stream.finish()?;
    writer.finish()?;
    Ok(DepthMap { bytes, step_um })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::relief::mesh::tests::relief;
    use piece::Side;

    #[test]
    fn another_library_reads_the_depths_back_with_the_scale_that_is_written_beside_them() {
        let relief = relief(Side::Back, 12.0, 8.0);
        let map = write(&relief).unwrap();
        let image = image::load_from_memory(&map.bytes).unwrap().into_luma16();
        let reader = png::Decoder::new(std::io::Cursor::new(&map.bytes)).read_info().unwrap();
        let texts = &reader.info().uncompressed_latin1_text;
        let number = |key: &str| texts.iter().find(|text| text.keyword == key).unwrap().text.parse::<f64>().unwrap();
        assert_eq!((number("depth_um_per_step"), number("pixel_mm")), (0.05, 0.1));
        assert_eq!((number("left_mm"), number("top_mm")), (12.0, 8.0));
        let grid = relief.depth_mm.grid;
        assert_eq!(image.dimensions(), (grid.width as u32, grid.height as u32));
        for (pixel, depth) in image.pixels().zip(&relief.depth_mm.values) {
            let read = f64::from(pixel.0[0]) * number("depth_um_per_step") * 1e-3;
            assert!((read - f64::from(*depth)).abs() < 3e-5, "{read} {depth}");
        }
    }
}
