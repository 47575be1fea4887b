//! Resists, as the rows of `resists.toml`.

use crate::{Name, Source, Sourced, source};
use quantity::{Estimate, Length, Time};
use serde::Deserialize;

/// A resist of one kind and thickness.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Resist {
    /// Name in files, `photo_4mil`.
    pub id: String,
    /// Name for people.
    pub name: Name,
    /// How its stencil is made.
    pub kind: ResistKind,
    /// Thickness without liner or carrier.
    pub thickness: Sourced<Length>,
    /// Depth of soda-lime glass carved for each equal depth of resist worn, at normal blast.
    #[serde(deserialize_with = "source::estimate")]
    pub selectivity: Sourced<Estimate<f64>>,
    /// Narrowest opening that can be cut and weeded, or washed out.
    pub finest_opening: Sourced<Length>,
    /// Narrowest resist between two openings that stays down.
    pub finest_wall: Sourced<Length>,
    /// How long weeding takes; absent for a film that is washed out.
    #[serde(default)]
    pub weeding: Option<Weeding>,
}

/// How a stencil is made of a resist.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ResistKind {
    /// Vinyl sheet cut with a knife.
    CutVinyl,
    /// Rubber-type sheet cut with a knife.
    CutRubber,
    /// Film exposed through a positive and washed out.
    PhotoFilm,
}

/// How long a hand takes to weed.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Weeding {
    /// Time for each metre of cut edge.
    pub per_metre: Sourced<Time>,
    /// Time for each separate piece lifted, besides its edge.
    pub per_piece: Sourced<Time>,
}

impl Resist {
    /// Every source that the row rests on, in the order of its fields.
    pub fn sources(&self) -> impl Iterator<Item = &Source> {
        let firm =
            [&self.thickness.source, &self.selectivity.source, &self.finest_opening.source, &self.finest_wall.source];
        let weeding = self.weeding.iter().flat_map(|weeding| [&weeding.per_metre.source, &weeding.per_piece.source]);
        firm.into_iter().chain(weeding)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables;

    #[test]
    fn selectivities_are_those_judged_for_their_kind() {
        // carving-physics.md section 4 [J]: photopolymer 10-30 (12), thick vinyl and rubber 20-60 (25),
        // thin vinyl 5-15 (8).
        for resist in &tables().resists {
            let want = match (resist.kind, resist.id.as_str()) {
                (ResistKind::PhotoFilm, _) => (10.0, 12.0, 30.0),
                (_, "vinyl_thin") => (5.0, 8.0, 15.0),
                _ => (20.0, 25.0, 60.0),
            };
            let band = resist.selectivity.value;
            assert_eq!((band.low(), band.mid(), band.high()), want, "{}", resist.id);
        }
    }

    #[test]
    fn a_film_is_as_thick_as_its_name_says() {
        for mils in [2.0, 3.0, 4.0, 5.0, 6.0, 10.0] {
            let film = tables().resist(&format!("photo_{mils}mil")).unwrap();
            assert!((film.thickness.value.to_mils() - mils).abs() < 1e-9);
        }
    }

    #[test]
    fn nothing_finer_than_its_own_thickness_is_promised() {
        for resist in &tables().resists {
            assert!(resist.finest_opening.value >= resist.thickness.value, "{}", resist.id);
            assert!(
                resist.finest_wall.value >= resist.finest_opening.value,
                "{}: walls need more than slots",
                resist.id
            );
        }
    }

    #[test]
    fn what_is_cut_is_weeded_and_film_is_not() {
        for resist in &tables().resists {
            assert_eq!(resist.weeding.is_some(), resist.kind != ResistKind::PhotoFilm, "{}", resist.id);
        }
    }
}
