//! What a ledger is of.

/// Something that is used up.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Item {
    /// Resist of this id, by area.
    Resist(String),
    /// Transfer tape, by area.
    Tape,
    /// Abrasive of this id and grit, by mass.
    Abrasive {
        /// Its kind.
        kind: String,
        /// Its grit.
        grit: String,
    },
    /// A nozzle that the shop calls so, by the time it was open.
    Nozzle(String),
}

/// How an item is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// By area, m².
    Area,
    /// By mass, kg.
    Mass,
    /// By time, s; its bore in m.
    Wear,
}

impl Item {
    /// The name by which a ledger knows it: `resist rubber_thin`, `abrasive white_alumina F150`, `nozzle carver`.
    #[must_use]
    pub fn key(&self) -> String {
        match self {
            Self::Resist(id) => format!("resist {id}"),
            Self::Tape => "tape".to_owned(),
            Self::Abrasive { kind, grit } => format!("abrasive {kind} {grit}"),
            Self::Nozzle(name) => format!("nozzle {name}"),
        }
    }

    /// The item of a name in a ledger.
    #[must_use]
    pub fn of_key(key: &str) -> Option<Self> {
        match key.split_once(' ') {
            None => (key == "tape").then_some(Self::Tape),
            Some(("resist", id)) => Some(Self::Resist(id.to_owned())),
            Some(("abrasive", rest)) => {
                let (kind, grit) = rest.split_once(' ')?;
                Some(Self::Abrasive { kind: kind.to_owned(), grit: grit.to_owned() })
            }
            Some(("nozzle", name)) => Some(Self::Nozzle(name.to_owned())),
            Some(_) => None,
        }
    }

    /// How it is measured.
    #[must_use]
    pub const fn measure(&self) -> Measure {
        match self {
            Self::Resist(_) | Self::Tape => Measure::Area,
            Self::Abrasive { .. } => Measure::Mass,
            Self::Nozzle(_) => Measure::Wear,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_item_is_found_by_its_own_key() {
        let grit = Item::Abrasive { kind: "white_alumina".into(), grit: "F150".into() };
        for item in [Item::Resist("rubber_thin".into()), Item::Tape, grit, Item::Nozzle("long 1/8, new".into())] {
            assert_eq!(Item::of_key(&item.key()), Some(item));
        }
        for key in ["", "tape 2", "abrasive white_alumina", "glass", "Resist x"] {
            assert_eq!(Item::of_key(key), None, "{key}");
        }
    }
}
