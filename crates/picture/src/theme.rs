//! Roles of colour, and their values in each theme.

/// What a colour is for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Role {
    /// Words and lines that matter.
    Ink,
    /// Units, captions, secondary lines. Still readable: 4.5:1.
    DimInk,
    /// What everything lies on.
    Ground,
    /// A surface above the ground.
    Raised,
    /// Untouched glass, and what is lit.
    Glass,
    /// Dark behind a piece of glass: near-black in every theme, so that frost reads white on it.
    Behind,
    /// The state 'holds'.
    Hold,
    /// The state 'watch'.
    Watch,
    /// The state 'stop'.
    Stop,
    /// Depth on a piece, 0 (surface, dark) to 1 (deepest, glass white). On [`Role::Behind`] only.
    Depth(f32),
    /// The same ramp for lines on the ground: the deeper, the further from the ground.
    DepthLine(f32),
    /// Thin lines to read values by: the ink at 12 %.
    Grid,
}

/// Which values the roles take.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum Theme {
    /// Near-black slate: the usual one.
    #[default]
    Dark,
    /// For the office.
    Light,
    /// White paper, inks that print.
    Paper,
}

/// A colour of a screen: sRGB, 8 bits each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Rgb {
    /// Red.
    pub red: u8,
    /// Green.
    pub green: u8,
    /// Blue.
    pub blue: u8,
}

/// A colour by lightness (0 to 1), chroma (0 to about 0.3) and hue in degrees, in OKLCH.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Oklch {
    /// 0 black to 1 white.
    pub lightness: f64,
    /// 0 grey and up.
    pub chroma: f64,
    /// Degrees; 30 is red, 85 yellow, 190 cyan.
    pub hue_degrees: f64,
}

const fn oklch(lightness: f64, chroma: f64, hue_degrees: f64) -> Oklch {
    Oklch { lightness, chroma, hue_degrees }
}

impl Theme {
    /// The value of a role.
    #[must_use]
    pub fn rgb(self, role: Role) -> Rgb {
        match role {
            Role::Grid => self.rgb(Role::Ground).mixed(self.rgb(Role::Ink), 0.12),
            role => self.token(role).to_rgb(),
        }
    }

    fn token(self, role: Role) -> Oklch {
        match (role, self) {
            (Role::Behind, _) => oklch(0.17, 0.012, 250.0),
            (Role::Depth(t), _) => ramp(oklch(0.36, 0.035, 230.0), oklch(0.95, 0.015, 205.0), t),
            (Role::Ink, Self::Dark) => oklch(0.94, 0.005, 250.0),
            (Role::DimInk, Self::Dark) => oklch(0.72, 0.01, 250.0),
            (Role::Ground, Self::Dark) => oklch(0.17, 0.012, 250.0),
            (Role::Raised, Self::Dark) => oklch(0.22, 0.012, 250.0),
            (Role::Glass, Self::Dark) => oklch(0.93, 0.02, 210.0),
            (Role::Hold, Self::Dark) => oklch(0.80, 0.09, 190.0),
            (Role::Watch, Self::Dark) => oklch(0.83, 0.12, 85.0),
            (Role::Stop, Self::Dark) => oklch(0.70, 0.17, 30.0),
            (Role::DepthLine(t), Self::Dark) => ramp(oklch(0.56, 0.05, 230.0), oklch(0.95, 0.015, 205.0), t),
            (Role::Ink, _) => oklch(0.22, 0.012, 250.0),
            (Role::DimInk, _) => oklch(0.45, 0.012, 250.0),
            (Role::Ground, Self::Light) => oklch(0.985, 0.003, 250.0),
            (Role::Ground, Self::Paper) => oklch(1.0, 0.0, 250.0),
            (Role::Raised, _) => oklch(0.955, 0.005, 250.0),
            (Role::Glass, _) => oklch(0.88, 0.03, 210.0),
            (Role::Hold, _) => oklch(0.50, 0.085, 195.0),
            (Role::Watch, _) => oklch(0.53, 0.11, 80.0),
            (Role::Stop, _) => oklch(0.42, 0.17, 28.0),
            (Role::DepthLine(t), _) => ramp(oklch(0.645, 0.05, 230.0), oklch(0.25, 0.03, 230.0), t),
            (Role::Grid, _) => unreachable!("a mixture of two tokens"),
        }
    }
}

/// Straight in lightness and chroma; the hues lie close together.
fn ramp(from: Oklch, to: Oklch, t: f32) -> Oklch {
    let t = f64::from(t.clamp(0.0, 1.0));
    let mix = |a: f64, b: f64| a + (b - a) * t;
    Oklch {
        lightness: mix(from.lightness, to.lightness),
        chroma: mix(from.chroma, to.chroma),
        hue_degrees: mix(from.hue_degrees, to.hue_degrees),
    }
}

impl Oklch {
    /// Linear sRGB, not clipped.
    ///
    /// `L = l a = c cos h, b = c sin h`; `(l', m', s') = M1 (L, a, b)`; cubes; `rgb = M2 (l, m, s)`.
    ///
    /// Source: OKLab's published matrices (Ottosson 2020), as in CSS Color 4, section 'Sample code'; from memory.
    /// Checked: `oklch(0.62796 0.25768 29.234)` is sRGB red there.
    #[must_use]
    pub fn to_linear(self) -> [f64; 3] {
        let (sin, cos) = self.hue_degrees.to_radians().sin_cos();
        let (a, b) = (self.chroma * cos, self.chroma * sin);
        let cube = |x: f64| x * x * x;
        let l = cube(self.lightness + 0.396_337_777_4 * a + 0.215_803_757_3 * b);
        let m = cube(self.lightness - 0.105_561_345_8 * a - 0.063_854_172_8 * b);
        let s = cube(self.lightness - 0.089_484_177_5 * a - 1.291_485_548_0 * b);
        [
            4.076_741_662_1 * l - 3.307_711_591_3 * m + 0.230_969_929_2 * s,
            -1.268_438_004_6 * l + 2.609_757_401_1 * m - 0.341_319_396_5 * s,
            -0.004_196_086_3 * l - 0.703_418_614_7 * m + 1.707_614_701_0 * s,
        ]
    }

    /// The nearest colour of a screen, each channel clipped.
    #[must_use]
    pub fn to_rgb(self) -> Rgb {
        let [red, green, blue] = self.to_linear().map(encoded);
        Rgb { red, green, blue }
    }
}

/// An 8-bit channel of a linear one (IEC 61966-2-1).
pub(crate) fn encoded(linear: f64) -> u8 {
    let x = linear.clamp(0.0, 1.0);
    let curved = if x <= 0.003_130_8 { 12.92 * x } else { 1.055 * x.powf(1.0 / 2.4) - 0.055 };
    (curved * 255.0).round() as u8
}

fn decoded(channel: u8) -> f64 {
    let x = f64::from(channel) / 255.0;
    if x <= 0.040_45 { x / 12.92 } else { ((x + 0.055) / 1.055).powf(2.4) }
}

impl Rgb {
    /// `#rrggbb`.
    #[must_use]
    pub fn hex(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.red, self.green, self.blue)
    }

    /// Linear channels, 0 to 1.
    #[must_use]
    pub fn to_linear(self) -> [f64; 3] {
        [self.red, self.green, self.blue].map(decoded)
    }

    /// Relative luminance, 0 to 1 (WCAG 2.2).
    #[must_use]
    pub fn luminance(self) -> f64 {
        let [r, g, b] = self.to_linear();
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    /// Contrast ratio with another colour, 1 to 21 (WCAG 2.2).
    #[must_use]
    pub fn contrast(self, other: Self) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// `share` of `other` laid over this one, as a screen blends (in encoded values).
    #[must_use]
    pub fn mixed(self, other: Self, share: f64) -> Self {
        let mix = |a: u8, b: u8| (f64::from(a) + (f64::from(b) - f64::from(a)) * share.clamp(0.0, 1.0)).round() as u8;
        Self { red: mix(self.red, other.red), green: mix(self.green, other.green), blue: mix(self.blue, other.blue) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const THEMES: [Theme; 3] = [Theme::Dark, Theme::Light, Theme::Paper];

    #[test]
    fn oklch_red_green_and_blue_are_the_screens() {
        // CSS Color 4, named colours in OKLCH as computed by colour libraries; from memory.
        for (given, want) in [
            (oklch(0.627_96, 0.257_68, 29.234), "#ff0000"),
            (oklch(0.866_44, 0.294_83, 142.495), "#00ff00"),
            (oklch(0.452_01, 0.313_21, 264.052), "#0000ff"),
            (oklch(1.0, 0.0, 0.0), "#ffffff"),
            (oklch(0.0, 0.0, 0.0), "#000000"),
        ] {
            assert_eq!(given.to_rgb().hex(), want);
        }
    }

    #[test]
    fn black_on_white_has_the_greatest_contrast() {
        let (black, white) = (oklch(0.0, 0.0, 0.0).to_rgb(), oklch(1.0, 0.0, 0.0).to_rgb());
        assert!((black.contrast(white) - 21.0).abs() < 1e-9); // WCAG 2.2
        // #767676 on white is the well-known grey that just passes, 4.54; #777777 fails at 4.48.
        let grey = |v| Rgb { red: v, green: v, blue: v };
        assert!((grey(0x76).contrast(white) - 4.54).abs() < 0.01);
        assert!((grey(0x77).contrast(white) - 4.48).abs() < 0.01);
    }

    #[test]
    fn words_can_be_read_on_every_ground() {
        for theme in THEMES {
            for ground in [Role::Ground, Role::Raised] {
                for role in [Role::Ink, Role::DimInk, Role::Hold, Role::Watch, Role::Stop] {
                    let ratio = theme.rgb(role).contrast(theme.rgb(ground));
                    assert!(ratio >= 4.5, "{theme:?} {role:?} on {ground:?}: {ratio:.2}");
                }
            }
        }
    }

    #[test]
    fn depth_lines_stand_out_from_the_ground_and_grow_away_from_it() {
        for theme in THEMES {
            let mut before = 0.0;
            for step in 0..=8 {
                let role = Role::DepthLine(step as f32 / 8.0);
                let ratio = theme.rgb(role).contrast(theme.rgb(Role::Ground));
                assert!(ratio >= 3.0 && ratio > before, "{theme:?} {role:?}: {ratio:.2}"); // WCAG 2.2, 1.4.11
                before = ratio;
            }
        }
    }

    #[test]
    fn depth_on_a_piece_brightens_in_even_steps() {
        let behind = Theme::Dark.rgb(Role::Behind);
        let ratios: Vec<f64> =
            (0..=4).map(|step| Theme::Dark.rgb(Role::Depth(step as f32 / 4.0)).contrast(behind)).collect();
        assert!(ratios.windows(2).all(|pair| pair[1] > 1.15 * pair[0]), "{ratios:?}");
        assert!(ratios[0] > 1.5 && ratios[4] > 12.0, "{ratios:?}");
    }

    /// Full dichromacy in linear sRGB: Viénot, Brettel & Mollon 1999 (red, green); for blue the
    /// single-plane variant of Machado, Oliveira & Fernandes 2009. Matrices from memory.
    const BLINDNESS: [(&str, [[f64; 3]; 3]); 3] = [
        ("protan", [[0.112_38, 0.887_62, 0.0], [0.112_38, 0.887_62, 0.0], [0.004_01, -0.004_01, 1.0]]),
        ("deutan", [[0.292_75, 0.707_25, 0.0], [0.292_75, 0.707_25, 0.0], [-0.022_34, 0.022_34, 1.0]]),
        (
            "tritan",
            [
                [1.255_528, -0.076_749, -0.178_779],
                [-0.078_411, 0.930_809, 0.147_602],
                [0.004_733, 0.691_367, 0.303_900],
            ],
        ),
    ];

    fn seen(colour: Rgb, matrix: &[[f64; 3]; 3]) -> [f64; 3] {
        let linear = colour.to_linear();
        oklab(matrix.map(|row| row.iter().zip(linear).map(|(m, v)| m * v).sum::<f64>().clamp(0.0, 1.0)))
    }

    fn oklab([r, g, b]: [f64; 3]) -> [f64; 3] {
        let l = (0.412_221_470_8 * r + 0.536_332_536_3 * g + 0.051_445_992_9 * b).cbrt();
        let m = (0.211_903_498_2 * r + 0.680_699_545_1 * g + 0.107_396_956_6 * b).cbrt();
        let s = (0.088_302_461_9 * r + 0.281_718_837_6 * g + 0.629_978_700_5 * b).cbrt();
        [
            0.210_454_255_3 * l + 0.793_617_785 * m - 0.004_072_046_8 * s,
            1.977_998_495_1 * l - 2.428_592_205 * m + 0.450_593_709_9 * s,
            0.025_904_037_1 * l + 0.782_771_766_2 * m - 0.808_675_766 * s,
        ]
    }

    #[test]
    fn states_differ_for_three_kinds_of_colour_blindness() {
        for theme in THEMES {
            for (kind, matrix) in &BLINDNESS {
                let states = [Role::Hold, Role::Watch, Role::Stop].map(|role| seen(theme.rgb(role), matrix));
                for (a, b) in [(0, 1), (1, 2), (0, 2)] {
                    let difference: f64 =
                        states[a].iter().zip(states[b]).map(|(x, y)| (x - y) * (x - y)).sum::<f64>().sqrt();
                    // About 0.02 is just noticeable in OKLab; three times that is told apart at a glance.
                    assert!(difference > 0.06, "{theme:?} {kind}: states {a} and {b} differ by {difference:.3}");
                }
            }
        }
    }
}
