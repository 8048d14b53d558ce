/// A key that differs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Dotted path in the case, lists counted from 1: `pattern[1].ring_spacing_m`.
    pub key: String,
    /// Its value in the case; `None` where it has none.
    pub from: Option<String>,
    /// Its value in the option; `None` where it has none.
    pub to: Option<String>,
}
