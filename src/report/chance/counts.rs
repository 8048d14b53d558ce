//! counts.json: everything that was counted, so that parts run elsewhere add up to the whole.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::outputs::ChanceOutputs;
use crate::case::inputs_sha256;
use crate::study::chance::{Chance, ChanceAsk, Spread};

/// What a part holds of what it was made from, and what was counted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChancePart {
    backhold_version: String,
    inputs_sha256: String,
    seed: u64,
    latin_hypercube: bool,
    judged: u64,
    /// What was counted.
    pub found: Chance,
}

/// Why a part does not belong.
#[derive(Debug, Error)]
pub enum PartError {
    /// It is no counts.json.
    #[error("this is no counts.json of ours ({0})")]
    Unreadable(#[from] serde_json::Error),
    /// It was made from something else.
    #[error("it was made with another {0}")]
    Other(&'static str),
}

impl ChancePart {
    pub(super) fn of(outputs: &ChanceOutputs<'_>) -> Self {
        Self {
            backhold_version: env!("CARGO_PKG_VERSION").to_owned(),
            inputs_sha256: inputs_sha256(outputs.sign_off.files),
            seed: outputs.ask.seed,
            latin_hypercube: outputs.ask.spread == Spread::LatinHypercube,
            judged: outputs.ask.judged,
            found: outputs.found.clone(),
        }
    }

    pub(super) fn text(&self) -> Result<String, serde_json::Error> {
        Ok(serde_json::to_string(self)? + "\n")
    }

    /// Reads a counts.json.
    ///
    /// # Errors
    /// [`PartError`] where it is none.
    pub fn read(text: &str) -> Result<Self, PartError> {
        Ok(serde_json::from_str(text)?)
    }

    /// Whether it is a part of a run of these inputs (their hash), asked the same but for its draws.
    ///
    /// # Errors
    /// [`PartError`] where it is not.
    pub fn belongs(&self, inputs_sha256: &str, like: &Self) -> Result<(), PartError> {
        if self.backhold_version != env!("CARGO_PKG_VERSION") {
            return Err(PartError::Other("version of backhold"));
        }
        if self.inputs_sha256 != inputs_sha256 {
            return Err(PartError::Other("case"));
        }
        if self.seed != like.seed {
            return Err(PartError::Other("seed"));
        }
        if self.latin_hypercube != like.latin_hypercube {
            return Err(PartError::Other("way of drawing"));
        }
        if self.judged != like.judged {
            return Err(PartError::Other("number of judged draws"));
        }
        Ok(())
    }

    /// What the whole was asked that this is a part of, its draws as found.
    #[must_use]
    pub fn ask(&self, found: &Chance) -> ChanceAsk {
        ChanceAsk {
            from: found.from,
            to: found.to,
            seed: self.seed,
            spread: if self.latin_hypercube { Spread::LatinHypercube } else { Spread::Plain },
            half_width: None,
            judged: self.judged,
        }
    }
}
