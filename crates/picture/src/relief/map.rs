//! Depth over the whole blank as a picture for a screen: what lights a coarse solid finely.

use super::ReliefError;
use artwork::grid::Point;
use carve::probe::depth_at;
use image::RgbImage;
use plan::Relief;
use rayon::prelude::*;

/// Depth in micrometres, its high byte in red and its low byte in green, over the whole blank as the artwork lies.
///
/// * `longer_px`: pixels along the blank's longer side, 16 to 4096.
///
/// # Errors
/// [`ReliefError::NoCells`] for a blank without a size.
pub fn map(relief: &Relief, longer_px: u32) -> Result<RgbImage, ReliefError> {
    let (width_mm, height_mm) = (relief.body.sheet_width_mm(), relief.body.sheet_height_mm());
    if relief.depth_mm.grid.is_empty() || !(width_mm > 0.0 && height_mm > 0.0) {
        return Err(ReliefError::NoCells);
    }
    let per_mm = f64::from(longer_px.clamp(16, 4096)) / width_mm.max(height_mm);
    let side = |mm: f64| ((mm * per_mm).round() as u32).max(1);
    let (width, height) = (side(width_mm), side(height_mm));
    let mut pixels = vec![0u8; 3 * width as usize * height as usize];
    pixels.par_chunks_mut(3 * width as usize).enumerate().for_each(|(row, pixels)| {
        let y = (row as f64 + 0.5) * height_mm / f64::from(height);
        for (column, pixel) in pixels.chunks_exact_mut(3).enumerate() {
            let x = (column as f64 + 0.5) * width_mm / f64::from(width);
            let um = (1e3 * depth_at(&relief.depth_mm, Point { x, y }).unwrap_or(0.0)).round();
            let [high, low] = (um.clamp(0.0, f64::from(u16::MAX)) as u16).to_be_bytes();
            pixel[..2].copy_from_slice(&[high, low]);
        }
    });
    Ok(RgbImage::from_raw(width, height, pixels).expect("three bytes were made for each pixel"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::relief::mesh::tests::relief;
    use piece::Side;

    #[test]
    fn a_pixel_holds_the_depth_of_its_middle_in_micrometres() {
        let relief = relief(Side::Back, 12.0, 8.0);
        let map = map(&relief, 600).unwrap();
        assert_eq!(map.dimensions(), (600, 400));
        let um = |x: u32, y: u32| {
            let [high, low, _] = map.get_pixel(x, y).0;
            u32::from(high) * 256 + u32::from(low)
        };
        // The bowl's middle lies 21 mm from the left and 19 mm from the top: 2 mm deep; the groove is 1.25 mm.
        assert!(um(210, 190).abs_diff(2000) <= 2, "{}", um(210, 190));
        assert_eq!((um(350, 180), um(20, 20)), (1250, 0));
    }
}
