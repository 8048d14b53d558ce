use serde_json::{Map, Value, json};

/// What a check also writes where it is asked for: the same results in forms that other programs read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Also {
    /// Wedges, bolts and opening in space: glTF and STL.
    Models,
    /// The section as lines: DXF.
    Drawings,
    /// Every table as JSON, and what the columns of the CSV files hold.
    Tables,
}

impl Also {
    /// All of them, in the order in which they are written.
    pub const ALL: [Self; 3] = [Self::Models, Self::Drawings, Self::Tables];

    /// The word that asks for it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Models => "models",
            Self::Drawings => "drawings",
            Self::Tables => "tables",
        }
    }

    /// What this word asks for.
    #[must_use]
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|also| also.name() == word)
    }
}

/// What was asked of a case, besides its file: with the inputs, all that running again needs.
#[derive(Debug, Clone, PartialEq)]
pub enum Asked {
    /// A check.
    Check {
        /// The option that was laid over the case; `None` where the case was checked as it stands.
        option: Option<String>,
        /// Whether the widest spacings were searched for.
        spacings: bool,
        /// What was written besides, each once, in the order of [`Also::ALL`].
        also: Vec<Also>,
    },
    /// How likely wedges are short where numbers scatter.
    Chance {
        /// Number of the first draw.
        from: u64,
        /// One past the last.
        to: u64,
        /// What fixes the draws.
        seed: u64,
        /// Whether they are spread by Latin hypercube sampling.
        latin: bool,
        /// The half-width at which no more are drawn.
        half_width: Option<f64>,
        /// How many are judged as a check judges.
        judged: u64,
        /// Whether every draw is listed.
        samples: bool,
    },
    /// The options side by side.
    Compare,
    /// What fits, of what is on stock.
    Fit,
    /// Joint sets of a survey.
    Map {
        /// The switches that differ from what holds without them, as they are typed.
        switches: Vec<String>,
    },
    /// A plan.
    Plan {
        /// Of this length, metres.
        length_m: f64,
    },
    /// The drive in other directions.
    Turn {
        /// Step between directions, degrees; `None` where the case's headings were asked for.
        step_deg: Option<f64>,
        /// Plunges that each was tried at, degrees, positive down; empty for the case's own.
        plunges_deg: Vec<f64>,
        /// Draws of each direction, and what fixes them; `None` where no chance was asked for.
        draws: Option<(u64, u64)>,
        /// How many of the draws were judged as a check judges.
        judged: u64,
    },
}

impl Asked {
    /// A check of the case as it stands, and nothing more.
    pub(super) const CHECK: Self = Self::Check { option: None, spacings: false, also: Vec::new() };

    /// The command that was run.
    #[must_use]
    pub fn command(&self) -> &'static str {
        match self {
            Self::Chance { .. } => "chance",
            Self::Check { .. } => "check",
            Self::Compare => "compare",
            Self::Fit => "fit",
            Self::Map { .. } => "map",
            Self::Plan { .. } => "plan",
            Self::Turn { .. } => "turn",
        }
    }

    /// What it came to, as a noun.
    #[must_use]
    pub fn noun(&self) -> &'static str {
        match self {
            Self::Compare => "comparison",
            Self::Chance { .. } => "chances",
            other => other.command(),
        }
    }

    /// As a summary holds it; `None` of a plain check, whose summary has nothing to say about it.
    pub(super) fn json(&self) -> Option<Value> {
        let mut keys = Map::new();
        keys.insert("command".into(), json!(self.command()));
        match self {
            plain if *plain == Self::CHECK => return None,
            Self::Check { option, spacings, also } => {
                keys.insert("option".into(), json!(option));
                keys.insert("spacings".into(), json!(spacings));
                if !also.is_empty() {
                    keys.insert("also".into(), also.iter().map(|a| a.name()).collect());
                }
            }
            Self::Chance { from, to, seed, latin, half_width, judged, samples } => {
                let numbers = [("from", from), ("to", to), ("seed", seed), ("judged", judged)];
                keys.extend(numbers.map(|(key, number)| (key.into(), json!(number))));
                keys.insert("latin_hypercube".into(), json!(latin));
                keys.insert("half_width".into(), json!(half_width));
                keys.insert("samples".into(), json!(samples));
            }
            Self::Plan { length_m } => {
                keys.insert("length_m".into(), json!(length_m));
            }
            Self::Map { switches } => {
                keys.insert("switches".into(), json!(switches));
            }
            Self::Turn { step_deg, plunges_deg, draws, judged } => {
                keys.insert("step_deg".into(), json!(step_deg));
                keys.insert("plunges_deg".into(), json!(plunges_deg));
                if let Some((draws, seed)) = draws {
                    keys.insert("draws".into(), json!(draws));
                    keys.insert("seed".into(), json!(seed));
                }
                if *judged > 0 {
                    keys.insert("judged".into(), json!(judged));
                }
            }
            Self::Compare | Self::Fit => {}
        }
        Some(Value::Object(keys))
    }

    /// Reads what [`Self::json`] wrote; a summary without it is that of a plain check.
    pub(super) fn of_json(value: Option<&Value>) -> Option<Self> {
        let Some(value) = value.filter(|v| !v.is_null()) else { return Some(Self::CHECK) };
        let flag = |key: &str| value.get(key).and_then(Value::as_bool);
        Some(match value.get("command")?.as_str()? {
            "check" => Self::Check {
                option: value.get("option").and_then(Value::as_str).map(str::to_owned),
                spacings: flag("spacings")?,
                also: match value.get("also") {
                    None => Vec::new(),
                    Some(words) => {
                        let words = words.as_array()?.iter();
                        words.map(|w| Also::named(w.as_str()?)).collect::<Option<_>>()?
                    }
                },
            },
            "chance" => {
                let number = |key: &str| value.get(key).and_then(Value::as_u64);
                Self::Chance {
                    from: number("from")?,
                    to: number("to")?,
                    seed: number("seed")?,
                    latin: flag("latin_hypercube")?,
                    half_width: value.get("half_width").and_then(Value::as_f64),
                    judged: number("judged")?,
                    samples: flag("samples")?,
                }
            }
            "compare" => Self::Compare,
            "fit" => Self::Fit,
            "map" => {
                let switches = value.get("switches")?.as_array()?.iter();
                let switches = switches.map(|s| s.as_str().map(str::to_owned));
                Self::Map { switches: switches.collect::<Option<_>>()? }
            }
            "turn" => {
                let plunges = value.get("plunges_deg")?.as_array()?.iter();
                Self::Turn {
                    step_deg: value.get("step_deg").and_then(Value::as_f64),
                    plunges_deg: plunges.map(Value::as_f64).collect::<Option<_>>()?,
                    draws: match value.get("draws") {
                        None => None,
                        Some(draws) => Some((draws.as_u64()?, value.get("seed")?.as_u64()?)),
                    },
                    judged: match value.get("judged") {
                        None => 0,
                        Some(judged) => judged.as_u64()?,
                    },
                }
            }
            "plan" => Self::Plan { length_m: value.get("length_m")?.as_f64()? },
            _ => return None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_asked_is_read_back_as_it_was_written() {
        let with = |option: Option<&str>, spacings| Asked::Check {
            option: option.map(str::to_owned),
            spacings,
            also: Vec::new(),
        };
        for asked in [
            with(None, false),
            with(Some("rings at \"1.5\" m"), true),
            with(None, true),
            Asked::Check { option: None, spacings: false, also: vec![Also::Models, Also::Tables] },
            Asked::Compare,
            Asked::Chance {
                from: 10,
                to: 20,
                seed: 3,
                latin: true,
                half_width: Some(0.01),
                judged: 2,
                samples: false,
            },
            Asked::Fit,
            Asked::Plan { length_m: 60.3 },
            Asked::Map { switches: vec!["--where".into(), "note=\"a\"".into()] },
            Asked::Map { switches: Vec::new() },
            Asked::Turn { step_deg: Some(7.5), plunges_deg: vec![-8.0, 0.0], draws: None, judged: 0 },
            Asked::Turn { step_deg: None, plunges_deg: Vec::new(), draws: Some((2000, 7)), judged: 20 },
        ] {
            assert_eq!(Asked::of_json(asked.json().as_ref()), Some(asked));
        }
        for wrong in [
            json!({}),
            json!({"command": "chance"}),
            json!({"command": "plan"}),
            json!({"command": "turn"}),
            json!({"command": "map"}),
            json!({"command": "check", "spacings": true, "also": ["pictures"]}),
            json!(3),
        ] {
            assert_eq!(Asked::of_json(Some(&wrong)), None, "{wrong}");
        }
    }
}
