//! What a shop is asked about itself, and why.

/// Questions that belong together.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Step {
    pub title: &'static str,
    /// What goes wrong without it.
    pub why: &'static str,
    pub questions: &'static [Question],
}

/// One value of the shop file.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Question {
    /// The key as complaints name it; also the control's name.
    pub key: &'static str,
    pub label: &'static str,
    /// Where to read the answer.
    pub hint: &'static str,
    pub kind: Answer,
}

/// How it is answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Answer {
    /// Text; most are quantities with their unit.
    Text,
    /// A plain number.
    Number,
    /// One of a few: value and words.
    Choice(&'static [(&'static str, &'static str)]),
}

const fn asked(key: &'static str, label: &'static str, hint: &'static str) -> Question {
    Question { key, label, hint, kind: Answer::Text }
}

const UNITS: &[(&str, &str)] = &[("metric", "mm, bar, l/min"), ("us", "in, psi, cfm")];

const KINDS: &[(&str, &str)] = &[
    ("small_piston", "small piston on a flat tank, direct drive"),
    ("single_stage", "single-stage piston, belt drive"),
    ("two_stage", "two-stage piston, belt drive"),
    ("screw", "rotary screw"),
    ("diaphragm", "diaphragm pump"),
];

/// All questions. The stock (nozzles, abrasives, resists) stands between the third step and the last.
pub(crate) const STEPS: [Step; 4] = [
    Step {
        title: "The shop",
        why: "Thin mountain air gives less of everything: a compressor at 1500 m delivers about a sixth less.",
        questions: &[
            asked("name", "what it is called", "stands on job sheets and quotes"),
            Question {
                key: "units",
                label: "it reads",
                hint: "every page can be switched at any time",
                kind: Answer::Choice(UNITS),
            },
            Question {
                key: "site.altitude_m",
                label: "metres above the sea",
                hint: "to the nearest hundred will do",
                kind: Answer::Number,
            },
        ],
    },
    Step {
        title: "The compressor",
        why: "Most shops that carve too slowly have too little air. Read its plate: what counts is the free air \
              delivered at pressure, not the swept volume, which is about a third more.",
        questions: &[
            Question {
                key: "compressor[1].kind",
                label: "it is a",
                hint: "look whether one cylinder is larger: two-stage",
                kind: Answer::Choice(KINDS),
            },
            asked(
                "compressor[1].free_air",
                "free air delivered",
                "plate: FAD, “free air”, “air output”, not “displacement”",
            ),
            asked("compressor[1].cut_in", "it starts at", "watch the gauge of the receiver while you let air out"),
            asked("compressor[1].cut_out", "it stops at", "the highest that the gauge shows"),
            asked("compressor[1].duty", "it may run", "plate or handbook; pistons 50 to 75 %, screws 100 %"),
            asked("compressor[1].power", "motor", "plate: kW or hp"),
            asked("receiver.volume", "receiver", "plate of the tank: litres or gallons; add up all tanks"),
        ],
    },
    Step {
        title: "Hose and pot",
        why: "A thin hose eats the pressure between the regulator and the nozzle, and nobody sees it on the gauge.",
        questions: &[
            asked("hose.bore", "bore of the blast hose", "inside, not outside: printed on the hose"),
            asked("hose.length", "its length", "from the regulator to the nozzle"),
            Question {
                key: "pot.loading",
                label: "kg of abrasive per kg of air",
                hint: "0.5 is a thin cloud, 1 usual, 2 heavy; weigh what a minute uses",
                kind: Answer::Number,
            },
        ],
    },
    Step {
        title: "Cabinet, dust and money",
        why: "Dust decides how long the door stays shut and whether your lungs last; an hour’s rate decides whether \
              the shop does.",
        questions: &[
            asked("cabinet.volume", "inside of the cabinet", "width × height × depth"),
            asked("cabinet.openings", "its openings", "grille and arm cuffs together, as an area"),
            asked("cabinet.collector", "collector draws", "plate or fan curve; leave empty if there is none"),
            asked("rates.currency", "currency", "three letters, such as EUR or USD"),
            asked("rates.labour_per_hour", "an hour of work", "with its burden"),
            asked("rates.energy_per_kwh", "a kilowatt-hour", "your last bill"),
        ],
    },
];

/// The answers that a first shop is asked over: usual values, to be corrected.
pub(crate) const USUAL: &str = include_str!("usual.toml");

/// Grits that are offered beside each abrasive. Common practice, no source.
pub(crate) const GRITS: [&str; 7] = ["F80", "F100", "F120", "F150", "F180", "F220", "F240"];
