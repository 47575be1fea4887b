//! What a tablet says of a run at the cabinet.

use language::say;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What was done at the cabinet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct RunLog {
    /// Made by the tablet, so that a log sent twice is kept once.
    #[schemars(length(min = 1, max = 64))]
    pub key: String,
    /// Revision of the piece that was run; logs of earlier versions of this program do not say it.
    #[serde(default)]
    pub revision: Option<u32>,
    /// ISO 8601, by the tablet's clock.
    #[schemars(length(max = 64))]
    pub started_utc: String,
    /// ISO 8601, by the tablet's clock.
    #[schemars(length(max = 64))]
    pub ended_utc: String,
    /// In the order of the work.
    #[schemars(length(max = 500))]
    pub stages: Vec<StageLog>,
    /// In the order in which they came.
    #[schemars(length(max = 500))]
    pub events: Vec<EventLog>,
    /// What was gauged; a layer that was not is left out.
    #[schemars(length(max = 500))]
    pub depths: Vec<DepthLog>,
    /// "sound" or "failed"; null when nobody looked.
    #[schemars(length(max = 64))]
    pub resist: Option<String>,
}

/// One stage as it was blasted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct StageLog {
    /// Its place in the order of the work, from 1.
    pub stage: usize,
    #[schemars(range(min = 0.0, max = 999_999.0))]
    pub blast_s: f64,
    #[schemars(range(min = 0.0, max = 999_999.0))]
    pub rest_s: f64,
}

/// Something that went wrong.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct EventLog {
    #[schemars(length(max = 64))]
    pub at_utc: String,
    pub stage: usize,
    #[schemars(length(max = 64))]
    pub what: String,
}

/// A depth that was gauged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct DepthLog {
    #[schemars(length(max = 64))]
    pub layer: String,
    #[schemars(range(min = 0.0, max = 999_999.0))]
    pub depth_mm: f64,
}

/// Longest text and list in a log; a tablet of ours stays far below.
const WORD_MAX: usize = 64;
const ROWS_MAX: usize = 500;

impl RunLog {
    /// What is wrong with it, in words.
    pub(crate) fn check(&self) -> Result<(), String> {
        let words = [&self.key, &self.started_utc, &self.ended_utc].into_iter().chain(&self.resist);
        let words = words.chain(self.events.iter().flat_map(|event| [&event.at_utc, &event.what]));
        let words = words.chain(self.depths.iter().map(|depth| &depth.layer));
        let rows = [self.stages.len(), self.events.len(), self.depths.len()];
        let seconds = self.stages.iter().flat_map(|stage| [stage.blast_s, stage.rest_s]);
        let numbers = seconds.chain(self.depths.iter().map(|depth| depth.depth_mm));
        let fault = |what: &str| Err(what.to_owned());
        if self.key.is_empty() || words.into_iter().any(|word| word.len() > WORD_MAX) {
            return fault(say!("the log's key is missing or a word is longer than 64 characters; nothing was kept"));
        }
        if rows.into_iter().any(|rows| rows > ROWS_MAX) {
            return fault(say!("the log's lists have more than 500 rows; nothing was kept"));
        }
        match numbers.into_iter().all(|number| (0.0..1e6).contains(&number)) {
            true => Ok(()),
            false => fault(say!("the log's times and depths must be 0 or more; nothing was kept")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn log(change: impl FnOnce(&mut RunLog)) -> Result<(), String> {
        let utc = "2025-03-01T10:00:00Z".to_owned();
        let mut log = RunLog {
            key: "a1".to_owned(),
            revision: Some(1),
            started_utc: utc.clone(),
            ended_utc: utc,
            stages: vec![StageLog { stage: 1, blast_s: 200.0, rest_s: 50.0 }],
            events: Vec::new(),
            depths: vec![DepthLog { layer: "deep".to_owned(), depth_mm: 1.9 }],
            resist: None,
        };
        change(&mut log);
        log.check()
    }

    #[test]
    fn a_log_is_taken_and_one_of_nonsense_is_refused_with_what_is_wrong() {
        assert_eq!(log(|_| ()), Ok(()));
        assert!(log(|log| log.key.clear()).unwrap_err().contains("key"));
        assert!(log(|log| log.depths[0].depth_mm = f64::NAN).unwrap_err().contains("0 or more"));
        assert!(log(|log| log.stages[0].blast_s = -1.0).unwrap_err().contains("0 or more"));
        assert!(log(|log| log.resist = Some("x".repeat(65))).unwrap_err().contains("64"));
        assert!(log(|log| log.stages = vec![log.stages[0].clone(); 501]).unwrap_err().contains("500"));
    }
}
