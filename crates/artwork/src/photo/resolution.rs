//! Dots per inch, where a picture's file says so.
//!
//! PNG: the pHYs chunk (W3C PNG, 11.3.4.3). JPEG: the JFIF density (ITU-T T.871), else EXIF. TIFF: its own
//! directory (TIFF 6.0, tags 282 and 296). WebP: EXIF.

/// The resolution across, in dots per inch.
pub(super) fn resolution(bytes: &[u8], exif: Option<&[u8]>) -> Option<f64> {
    let own = match bytes {
        [0x89, b'P', b'N', b'G', ..] => png(bytes),
        [0xff, 0xd8, ..] => jfif(bytes),
        [b'I', b'I', 42, 0, ..] | [b'M', b'M', 0, 42, ..] => directory(bytes),
        _ => None,
    };
    own.or_else(|| directory(exif?))
}

fn png(bytes: &[u8]) -> Option<f64> {
    let mut rest = bytes.get(8..)?;
    while let (Some(length), Some(kind)) = (rest.get(..4), rest.get(4..8)) {
        let length = u32::from_be_bytes(length.try_into().ok()?) as usize;
        let data = rest.get(8..8_usize.checked_add(length)?)?;
        match (kind, data) {
            (b"pHYs", [across @ .., _, _, _, _, 1]) => {
                return Some(f64::from(u32::from_be_bytes(across.try_into().ok()?)) * 0.0254);
            }
            (b"IDAT" | b"pHYs", _) => return None,
            _ => {}
        }
        rest = rest.get(length.checked_add(12)?..)?;
    }
    None
}

fn jfif(bytes: &[u8]) -> Option<f64> {
    let mut rest = bytes.get(2..)?;
    while let [0xff, marker, high, low, data @ ..] = rest {
        let length = usize::from(u16::from_be_bytes([*high, *low])).checked_sub(2)?;
        if *marker == 0xda {
            return None;
        }
        if let (0xe0, [b'J', b'F', b'I', b'F', 0, _, _, unit, high, low, ..]) = (marker, data) {
            let density = f64::from(u16::from_be_bytes([*high, *low]));
            return match unit {
                1 => Some(density),
                2 => Some(density * 2.54),
                _ => None,
            };
        }
        rest = data.get(length..)?;
    }
    None
}

/// Tags 282, XResolution, and 296, ResolutionUnit, of a TIFF's first directory.
fn directory(bytes: &[u8]) -> Option<f64> {
    let little = bytes.first() == Some(&b'I');
    let short = |at: usize| {
        let pair: [u8; 2] = bytes.get(at..at.checked_add(2)?)?.try_into().ok()?;
        Some(if little { u16::from_le_bytes(pair) } else { u16::from_be_bytes(pair) })
    };
    let long = |at: usize| {
        let four: [u8; 4] = bytes.get(at..at.checked_add(4)?)?.try_into().ok()?;
        Some(if little { u32::from_le_bytes(four) } else { u32::from_be_bytes(four) })
    };
    let start = long(4)? as usize;
    let (mut across, mut unit) = (None, 2);
    for entry in 0..usize::from(short(start)?) {
        let at = start.checked_add(2 + 12 * entry)?;
        match short(at)? {
            282 => {
                let value = long(at + 8)? as usize;
                across = Some(f64::from(long(value)?) / f64::from(long(value.checked_add(4)?)?));
            }
            296 => unit = short(at + 8)?,
            _ => {}
        }
    }
    match unit {
        2 => across,
        3 => across.map(|per_cm| per_cm * 2.54),
        _ => None,
    }
}
