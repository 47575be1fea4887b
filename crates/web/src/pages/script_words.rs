//! What scripts say: every text once, under a short key. A page that loads scripts carries them along as a block of
//! data, so that they are of the page's language, and stay with it where it is kept for want of a connection.

use language::{say, say_count};
use maud::{Markup, PreEscaped, html};
use std::collections::BTreeMap;

/// The block. It is data, which a browser does not run; `static/words.js` reads it.
pub(super) fn block() -> Markup {
    let texts: BTreeMap<&str, String> = texts().into_iter().collect();
    // Nothing in it may end the element.
    let json = serde_json::to_string(&texts).unwrap_or_default().replace('<', "\\u003c");
    html! { script type="application/json" id="words" { (PreEscaped(json)) } }
}

/// All texts by key. The holes are filled by the script: each is given its own name.
fn texts() -> Vec<(&'static str, String)> {
    [plan_page(), solid(), cabinet(), timer()].concat()
}

fn plan_page() -> Vec<(&'static str, String)> {
    vec![
        ("entered", say!("Entered: {entry}", entry = "{entry}")),
        (
            "changed_meanwhile",
            say!(
                "The shop was changed in another window. Its newer state is shown: look at it, then enter this again."
            )
            .to_owned(),
        ),
        ("no_answer", say!("The program did not answer ({fault}). Is it still running?", fault = "{fault}")),
        (
            "placed",
            say!(
                "{width} × {height} {unit}, {left} from the left, {top} from the top",
                width = "{width}",
                height = "{height}",
                unit = "{unit}",
                left = "{left}",
                top = "{top}"
            ),
        ),
    ]
}

fn solid() -> Vec<(&'static str, String)> {
    vec![
        ("solid_comes", say!("Making the solid …").to_owned()),
        (
            "solid_keys",
            say!("{piece}. Arrow keys turn it, plus and minus bring it nearer, Home sets it back.", piece = "{piece}"),
        ),
        (
            "solid_cannot",
            say!("This browser does not draw in three dimensions. The solid is among the files below.").to_owned(),
        ),
        ("solid_hands", say!("Drag or arrow keys: turn. Wheel, pinch, + and −: nearer. Home: as at first.").to_owned()),
        (
            "solid_lost",
            say!("The solid did not arrive. Choose another way to see the piece, then this one again.").to_owned(),
        ),
    ]
}

fn cabinet() -> Vec<(&'static str, String)> {
    vec![
        ("where_cautions", say!("Before you start").to_owned()),
        ("where_stage", say!("Stage {stage} of {stages}", stage = "{stage}", stages = "{stages}")),
        ("where_gauge", say!("What came out").to_owned()),
        ("where_end", say!(in "a run", "Logged").to_owned()),
        ("go_pause", say!(in "a button", "Pause").to_owned()),
        ("go_on", say!(in "a button", "Go on").to_owned()),
        ("go_first", say!(in "a button", "Start blasting").to_owned()),
        ("logs_wait.one", logs_wait(1)),
        ("logs_wait.other", logs_wait(2)),
    ]
}

fn logs_wait(n: u32) -> String {
    say_count!(
        n,
        "{n} log on this tablet, to be sent when the office answers",
        "{n} logs on this tablet, to be sent when the office answers",
        n = "{n}"
    )
}

/// What the timer says, of what is done now and of what comes next.
fn timer() -> Vec<(&'static str, String)> {
    let (left, long) = ("{left}", "{long}");
    vec![
        ("now_blast", say!(in "what is done now", "blast").to_owned()),
        ("now_rest", say!("rest: nozzle shut").to_owned()),
        ("now_clear", say!("keep the door shut").to_owned()),
        ("now_held", say!(in "a run that waits", "held").to_owned()),
        ("now_first", say!("not started").to_owned()),
        ("now_done", say!(in "a stage", "done").to_owned()),
        ("next_blast", say!("blast in {left}, for {long}")),
        ("next_rest", say!("rest in {left}, for {long}")),
        ("next_clear", say!("keep the door shut in {left}, for {long}")),
        ("next_none", say!("stage over in {left}")),
        ("time_up", say!("This stage's time is up. Gauge it, then press “Stage done”.").to_owned()),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assets;
    use language::Language;
    use std::collections::BTreeSet;

    /// The keys that the scripts ask for: of `word("key"`, and of `counted("key"` both forms.
    fn asked() -> BTreeSet<String> {
        let scripts = assets::scripts().filter(|(name, _)| name != "words.js");
        let keys = |text: &str, call: &str| -> Vec<String> {
            text.split(call).skip(1).filter_map(|rest| rest.split('"').next()).map(str::to_owned).collect()
        };
        scripts
            .flat_map(|(_, text)| {
                let counted = keys(&text, " counted(\"").into_iter();
                let counted = counted.flat_map(|key| [format!("{key}.one"), format!("{key}.other")]);
                keys(&text, "word(\"").into_iter().chain(counted).collect::<Vec<_>>()
            })
            .collect()
    }

    #[test]
    fn scripts_say_what_is_listed_and_all_of_it() {
        let listed: BTreeSet<String> = texts().into_iter().map(|(key, _)| key.to_owned()).collect();
        assert_eq!(listed.len(), texts().len(), "a key stands twice");
        assert_eq!(asked(), listed);
    }

    #[test]
    fn scripts_have_no_sentences_of_their_own() {
        for (name, text) in assets::scripts() {
            for line in text.lines().filter(|line| !line.trim_start().starts_with("//") && !line.contains("Error(")) {
                let literals = line.split('"').skip(1).step_by(2);
                let mut sentences = literals.filter(|literal| {
                    let words = literal.split(' ').filter(|word| word.chars().all(char::is_alphabetic));
                    words.filter(|word| word.len() > 1).count() > 2
                });
                assert_eq!(sentences.next(), None, "{name}: {line}");
            }
        }
    }

    #[test]
    fn the_block_is_json_with_its_holes_and_cannot_end_its_element() {
        let text = Language::German.scope(|| block().into_string());
        let json = text.split_once('>').unwrap().1.strip_suffix("</script>").unwrap();
        assert!(!json.contains('<'));
        let read: BTreeMap<String, String> = serde_json::from_str(json).unwrap();
        assert!(read["next_rest"].contains("{left}") && read["next_rest"].contains("{long}"), "{read:?}");
        assert!(read["logs_wait.one"].contains("{n}") && read["logs_wait.one"] != read["logs_wait.other"]);
    }
}
