//! Where the light comes from, what stands behind, and from which side one looks.

use language::say;

/// How a piece is shown. Stone lies in daylight and a mirror hides what is behind it, whatever is said here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Setting {
    /// Where the light comes from.
    pub light: Light,
    /// What is seen around and through the glass.
    pub ground: Ground,
    /// The side that one looks at.
    pub seen: Seen,
}

/// Where the light comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Light {
    /// Along the glass from its upper edge, and a little from the upper left in front.
    #[default]
    Edge,
    /// Through the glass, from behind it.
    Behind,
}

/// What stands behind the piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Ground {
    /// Near-black slate: frost is judged on it.
    #[default]
    Dark,
    /// A pale wall; with the light behind, a bright sky.
    Clear,
}

/// The side that one looks at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Seen {
    /// The front of the blank, as the artwork was placed.
    #[default]
    Front,
    /// Its back: the artwork is mirrored. A tumbler is turned by half. What is opaque is shown from the front.
    Back,
}

/// A word that names no choice.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}", say!("\"{given}\" is not one of {known}"))]
pub struct UnknownChoice {
    given: String,
    known: String,
}

macro_rules! words {
    ($choice:ident: $($word:literal => $variant:ident),+) => {
        impl $choice {
            /// All choices, the usual one first.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The word for it in options and addresses.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }
        }

        impl std::fmt::Display for $choice {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.word())
            }
        }

        impl std::str::FromStr for $choice {
            type Err = UnknownChoice;

            fn from_str(given: &str) -> Result<Self, UnknownChoice> {
                let known = || Self::ALL.iter().map(|choice| choice.word()).collect::<Vec<_>>().join(", ");
                let found = Self::ALL.iter().find(|choice| choice.word() == given).copied();
                found.ok_or_else(|| UnknownChoice { given: given.to_owned(), known: known() })
            }
        }
    };
}

words!(Light: "edge" => Edge, "behind" => Behind);
words!(Ground: "dark" => Dark, "clear" => Clear);
words!(Seen: "front" => Front, "back" => Back);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_reads_back_and_another_is_refused_with_the_known_ones() {
        for light in Light::ALL {
            assert_eq!(light.word().parse(), Ok(*light));
        }
        assert_eq!("clear".parse(), Ok(Ground::Clear));
        let words = "left".parse::<Seen>().unwrap_err().to_string();
        assert!(words.contains("left") && words.contains("front, back"), "{words}");
    }
}
