//! A drawing as pixels, by a general-purpose SVG library and the bundled fonts.

use crate::scene::Scene;
use crate::svg::{Colours, write};
use crate::theme::Theme;
use language::say;
use resvg::{tiny_skia, usvg};
use std::sync::{Arc, LazyLock};

const FONTS: [&[u8]; 3] = [
    include_bytes!("../../../assets/fonts/FiraSans-Regular.ttf"),
    include_bytes!("../../../assets/fonts/FiraSans-SemiBold.ttf"),
    include_bytes!("../../../assets/fonts/FiraSansCondensed-Regular.ttf"),
];

pub(crate) static OPTIONS: LazyLock<usvg::Options<'static>> = LazyLock::new(|| {
    let mut fonts = usvg::fontdb::Database::new();
    FONTS.iter().for_each(|font| fonts.load_font_data(font.to_vec()));
    usvg::Options { fontdb: Arc::new(fonts), dpi: 96.0, ..usvg::Options::default() }
});

/// A scene that could not be made into pixels.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum RasterError {
    /// Its own SVG does not read: a defect of ours.
    #[error("{}", say!("the drawing does not read ({0}); please report it", _0))]
    Svg(#[from] usvg::Error),
    /// More pixels than there is memory for.
    #[error("{}", say!("a picture of {width} by {height} pixels is too large; ask for fewer dots an inch"))]
    TooLarge {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
    },
    /// The encoder failed.
    #[error("{}", say!("the picture could not be written as PNG; free some memory or ask for a smaller one"))]
    Encode,
}

/// Most pixels on a side.
const SIDE_MAX: u32 = 20_000;

/// A scene as the bytes of a PNG at so many dots an inch, 1 to 1200.
///
/// # Errors
/// [`RasterError`].
pub fn png(scene: &Scene, theme: Theme, dpi: f64) -> Result<Vec<u8>, RasterError> {
    let tree = usvg::Tree::from_str(&write(scene, Colours::Resolved(theme)), &OPTIONS)?;
    let scale = (dpi.clamp(1.0, 1200.0) / 96.0) as f32;
    let [width, height] = [tree.size().width(), tree.size().height()].map(|side| (side * scale).ceil() as u32);
    let pixels = if width.max(height) > SIDE_MAX { None } else { tiny_skia::Pixmap::new(width, height) };
    let mut pixels = pixels.ok_or(RasterError::TooLarge { width, height })?;
    resvg::render(&tree, tiny_skia::Transform::from_scale(scale, scale), &mut pixels.as_mut());
    pixels.encode_png().map_err(|_| RasterError::Encode)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Rect;
    use crate::theme::Role;

    #[test]
    fn a_square_of_ten_millimetres_has_its_pixels() {
        let square = Rect::new(0.0, 0.0, 10.0, 10.0).filled(Role::Stop);
        let scene = Scene { width_mm: 10.0, height_mm: 10.0, items: vec![square.into()], ..Scene::default() };
        let read = image::load_from_memory(&png(&scene, Theme::Light, 254.0).unwrap()).unwrap();
        assert_eq!((read.width(), read.height()), (100, 100));
        let huge = Scene { width_mm: 5000.0, height_mm: 10.0, ..Scene::default() };
        assert!(matches!(png(&huge, Theme::Light, 1200.0), Err(RasterError::TooLarge { .. })));
    }
}
