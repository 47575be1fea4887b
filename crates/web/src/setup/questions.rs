//! What a shop is asked about itself, and why.

use language::say;

/// Questions that belong together.
#[derive(Debug, Clone)]
pub(crate) struct Step {
    pub title: &'static str,
    /// What goes wrong without it.
    pub why: &'static str,
    pub questions: Vec<Question>,
}

/// One value of the shop file.
#[derive(Debug, Clone)]
pub(crate) struct Question {
    /// The key as complaints name it; also the control's name.
    pub key: &'static str,
    pub label: &'static str,
    /// Where to read the answer.
    pub hint: &'static str,
    pub kind: Answer,
}

/// How it is answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Answer {
    /// Text; most are quantities with their unit.
    Text,
    /// A plain number.
    Number,
    /// One of a few: value and words.
    Choice(Vec<(&'static str, &'static str)>),
}

fn asked(key: &'static str, label: &'static str, hint: &'static str) -> Question {
    Question { key, label, hint, kind: Answer::Text }
}

fn units() -> Vec<(&'static str, &'static str)> {
    vec![("metric", "mm, bar, l/min"), ("us", "in, psi, cfm")]
}

fn kinds() -> Vec<(&'static str, &'static str)> {
    vec![
        ("small_piston", say!("small piston on a flat tank, direct drive")),
        ("single_stage", say!("single-stage piston, belt drive")),
        ("two_stage", say!("two-stage piston, belt drive")),
        ("screw", say!("rotary screw")),
        ("diaphragm", say!("diaphragm pump")),
    ]
}

/// All questions. The stock (nozzles, abrasives, resists) stands before the last step.
pub(crate) fn steps() -> [Step; 5] {
    [
        Step {
            title: say!(in "a title", "The shop"),
            why: say!(
                "Thin mountain air gives less of everything: a compressor at 1500 m delivers about a sixth less."
            ),
            questions: vec![
                asked("name", say!("what it is called"), say!("stands on job sheets and quotes")),
                Question {
                    key: "units",
                    label: say!(in "a shop that reads units", "it reads"),
                    hint: say!("every page can be switched at any time"),
                    kind: Answer::Choice(units()),
                },
                Question {
                    key: "site.altitude_m",
                    label: say!("metres above the sea"),
                    hint: say!("to the nearest hundred will do"),
                    kind: Answer::Number,
                },
            ],
        },
        Step {
            title: say!(in "a title", "The compressor"),
            why: say!(
                "Most shops that carve too slowly have too little air. Read its plate: what counts is the free air \
              delivered at pressure, not the swept volume, which is about a third more."
            ),
            questions: vec![
                Question {
                    key: "compressor[1].kind",
                    label: say!(in "a compressor", "it is a"),
                    hint: say!("look whether one cylinder is larger: two-stage"),
                    kind: Answer::Choice(kinds()),
                },
                asked(
                    "compressor[1].free_air",
                    say!("free air delivered"),
                    say!("plate: FAD, “free air”, “air output”, not “displacement”"),
                ),
                asked(
                    "compressor[1].cut_in",
                    say!(in "a compressor", "it starts at"),
                    say!("watch the gauge of the receiver while you let air out"),
                ),
                asked(
                    "compressor[1].cut_out",
                    say!(in "a compressor", "it stops at"),
                    say!("the highest that the gauge shows"),
                ),
                asked(
                    "compressor[1].duty",
                    say!(in "a compressor", "it may run"),
                    say!("plate or handbook; pistons 50 to 75 %, screws 100 %"),
                ),
                asked("compressor[1].power", say!("motor"), say!("plate: kW or hp")),
                asked(
                    "receiver.volume",
                    say!("receiver"),
                    say!("plate of the tank: litres or gallons; add up all tanks"),
                ),
            ],
        },
        Step {
            title: say!("Hose and pot"),
            why: say!(
                "A thin hose eats the pressure between the regulator and the nozzle, and nobody sees it on the gauge."
            ),
            questions: vec![
                asked("hose.bore", say!("bore of the blast hose"), say!("inside, not outside: printed on the hose")),
                asked("hose.length", say!(in "a hose", "its length"), say!("from the regulator to the nozzle")),
                Question {
                    key: "pot.loading",
                    label: say!("kg of abrasive per kg of air"),
                    hint: say!("0.5 is a thin cloud, 1 usual, 2 heavy; weigh what a minute uses"),
                    kind: Answer::Number,
                },
            ],
        },
        Step {
            title: say!(in "a title", "Your hands"),
            why: say!(
                "Most of a piece’s hours are not blasting. Left empty, each is the value named beside it: common \
              practice, no source. Take yours with a watch."
            ),
            questions: vec![
                asked("hands.setup", say!("mask, tape and wash one"), say!("without weeding; empty: 15min")),
                Question {
                    key: "hands.weed_s_per_m",
                    label: say!("seconds to weed a metre of edge"),
                    hint: say!("by the tip of a knife; empty: 25"),
                    kind: Answer::Number,
                },
                Question {
                    key: "hands.weed_s_per_part",
                    label: say!("and for each separate part"),
                    hint: say!("seconds; empty: 4"),
                    kind: Answer::Number,
                },
                asked(
                    "hands.change_abrasive",
                    say!("change the abrasive"),
                    say!("empty the pot, blow out hose and cabinet, fill in another; empty: 10min"),
                ),
            ],
        },
        Step {
            title: say!("Cabinet, dust and money"),
            why: say!(
                "Dust decides how long the door stays shut and whether your lungs last; an hour’s rate decides whether \
              the shop does."
            ),
            questions: vec![
                asked("cabinet.volume", say!("inside of the cabinet"), say!("width × height × depth")),
                asked(
                    "cabinet.openings",
                    say!(in "a cabinet", "its openings"),
                    say!("grille and arm cuffs together, as an area"),
                ),
                asked(
                    "cabinet.collector",
                    say!("collector draws"),
                    say!("plate or fan curve; leave empty if there is none"),
                ),
                asked("rates.currency", say!("currency"), say!("three letters, such as EUR or USD")),
                asked("rates.labour_per_hour", say!("an hour of work"), say!("with its burden")),
                asked("rates.energy_per_kwh", say!("a kilowatt-hour"), say!("your last bill")),
            ],
        },
    ]
}

/// The answers that a first shop is asked over: usual values, to be corrected.
pub(crate) const USUAL: &str = include_str!("usual.toml");

/// Grits that are offered beside each abrasive. Common practice, no source.
pub(crate) const GRITS: [&str; 7] = ["F80", "F100", "F120", "F150", "F180", "F220", "F240"];
