//! Frames around groups of openings, so that the waste comes away in small pieces.

use artwork::bounds::Bounds;
use artwork::region::Region;
use quantity::Length;

/// A frame for each group of openings, `clear` away from them; frames that would touch become one.
///
/// Openings whose own rectangles, grown by `clear`, touch are one group. No frame cuts an opening.
#[must_use]
pub fn weed_boxes(openings: &Region, clear: Length) -> Vec<Bounds> {
    let mut boxes: Vec<Bounds> = openings
        .polygons()
        .iter()
        .filter_map(artwork::region::Polygon::bounds)
        .map(|around| around.grown(clear.to_mm()))
        .collect();
    boxes.sort_by(|a, b| a.min.x.total_cmp(&b.min.x));
    // A box that grew may touch one that was passed already, so until nothing merges.
    loop {
        let before = boxes.len();
        boxes = merged(boxes);
        if boxes.len() == before {
            return boxes;
        }
    }
}

fn merged(boxes: Vec<Bounds>) -> Vec<Bounds> {
    let mut out: Vec<Bounds> = Vec::new();
    for one in boxes {
        match out.iter_mut().find(|other| other.touches(&one)) {
            Some(other) => *other = other.with(one),
            None => out.push(one),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use artwork::grid::Point;
    use artwork::region::Region;

    #[test]
    fn every_opening_is_in_one_frame_and_frames_do_not_touch() {
        let mut state = 7_u32;
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(state >> 8) / f64::from(1 << 24)
        };
        let squares: Vec<Region> = (0..60)
            .map(|_| {
                let min = Point { x: 300.0 * next(), y: 200.0 * next() };
                Region::rectangle(Bounds { min, max: Point { x: min.x + 6.0, y: min.y + 4.0 } })
            })
            .collect();
        let openings = Region::union_of(&squares);
        let boxes = weed_boxes(&openings, Length::mm(2.0).unwrap());
        assert!(boxes.len() > 3 && boxes.len() < 60, "{}", boxes.len());
        for part in openings.polygons() {
            let around = part.bounds().unwrap().grown(1.999);
            assert_eq!(boxes.iter().filter(|b| b.holds(&around, 0.0)).count(), 1);
        }
        for (i, a) in boxes.iter().enumerate() {
            assert!(boxes[i + 1..].iter().all(|b| !a.touches(b)));
        }
    }
}
