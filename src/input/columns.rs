use super::problem::{Collector, Place, ProblemKind, Says, cited, quoted};
use super::rows::Row;
use super::words::nearest;

/// A column that a reader knows.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Known {
    /// Its full name, unit included.
    pub name: &'static str,
    /// The same quantity without its unit: taken, and the caller says which unit was assumed.
    pub bare: &'static [&'static str],
    /// Other full names for the same thing.
    pub also: &'static [&'static str],
}

impl Known {
    /// Whether a name means this quantity: the full one, another one for it, or the one without a unit.
    fn is_called(&self, plain_name: &str) -> bool {
        self.is_named(plain_name) || self.bare.contains(&plain_name)
    }

    /// The same with the unit.
    fn is_named(&self, plain_name: &str) -> bool {
        self.name == plain_name || self.also.contains(&plain_name)
    }

    /// A column with one name.
    pub(crate) const fn named(name: &'static str) -> Self {
        Self { name, bare: &[], also: &[] }
    }
}

/// Tells which column of somebody else's table holds which quantity: pairs of (known name,
/// header as it stands in the file). Headers are compared without regard to case and signs.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ColumnMap {
    /// (known name, header in the file).
    pub pairs: Vec<(String, String)>,
}

/// A header with only lower-case letters, digits and single underscores.
fn plain(header: &str) -> String {
    let mut plain = String::with_capacity(header.len());
    for c in header.chars() {
        if c.is_alphanumeric() {
            plain.extend(c.to_lowercase());
        } else if !plain.is_empty() && !plain.ends_with('_') {
            plain.push('_');
        }
    }
    plain.trim_end_matches('_').to_owned()
}

/// Which column of a table holds which quantity.
#[derive(Debug)]
pub(crate) struct Columns {
    known: &'static [Known],
    place: Place,
    /// The headers, as they stand.
    header: Vec<String>,
    /// For each known quantity its column.
    at: Vec<Option<usize>>,
    /// Columns that mean nothing here.
    unknown: Vec<usize>,
    /// Two columns for one quantity: the first, the second, the quantity.
    twice: Vec<(usize, usize, usize)>,
    /// Columns named without their unit, and the quantity.
    bare: Vec<(usize, usize)>,
}

impl Columns {
    /// Finds the column of each known quantity by the headers of a table.
    pub(crate) fn of(header: &Row<'_>, place: Place, known: &'static [Known]) -> Self {
        Self::mapped(header, place, known, &ColumnMap::default(), &mut Collector::default())
    }

    /// The same where a map says what some headers mean: it comes first, and the file's own column
    /// of that name is then another thing. What is wrong with the map is reported.
    pub(crate) fn mapped(
        header: &Row<'_>,
        place: Place,
        known: &'static [Known],
        map: &ColumnMap,
        problems: &mut Collector,
    ) -> Self {
        let header: Vec<String> = header.cells.iter().map(|cell| cell.clone().into_owned()).collect();
        let plain_header: Vec<String> = header.iter().map(|h| plain(h)).collect();
        let mut columns = Self {
            known,
            place,
            at: vec![None; known.len()],
            unknown: Vec::new(),
            twice: Vec::new(),
            bare: Vec::new(),
            header,
        };
        let mut taken = vec![false; columns.header.len()];
        for (name, wanted) in &map.pairs {
            let field = known.iter().position(|k| k.is_called(&plain(name)));
            let at = plain_header.iter().position(|h| *h == plain(wanted));
            match (field, at) {
                (Some(field), Some(at)) if columns.at[field].is_none() && !taken[at] => {
                    columns.at[field] = Some(at);
                    taken[at] = true;
                }
                _ => columns.report_map(name, wanted, field, at, problems),
            }
        }
        for (at, head) in plain_header.iter().enumerate() {
            if taken[at] {
                continue;
            }
            let named = known.iter().position(|k| k.is_named(head));
            let bare = || known.iter().position(|k| k.bare.contains(&head.as_str()));
            match named.or_else(bare) {
                None => columns.unknown.push(at),
                Some(field) => match columns.at[field] {
                    Some(first)
                        if map.pairs.iter().all(|(name, _)| !known[field].is_called(&plain(name))) =>
                    {
                        columns.twice.push((first, at, field));
                    }
                    Some(_) => {}
                    None => {
                        columns.at[field] = Some(at);
                        if named.is_none() {
                            columns.bare.push((at, field));
                        }
                    }
                },
            }
        }
        columns
    }

    fn report_map(
        &self,
        name: &str,
        wanted: &str,
        field: Option<usize>,
        at: Option<usize>,
        problems: &mut Collector,
    ) {
        let (place, key, says) = match (field, at) {
            (None, _) => (
                Place { line: 0, ..self.place },
                "",
                Says::new(
                    format!("a column map for {}", quoted(name)),
                    self.names().collect::<Vec<_>>().join(", "),
                    self.near(name).map_or_else(String::new, |n| format!("did you mean {}?", quoted(n))),
                ),
            ),
            (_, None) => (
                self.place,
                "",
                Says::new(
                    format!("no column {}, which the column map gives for {name}", quoted(wanted)),
                    header_list(&self.header),
                    "give the header as it stands in the file",
                ),
            ),
            _ => (
                self.place,
                wanted,
                Says::new(
                    format!("{name} or {} mapped twice", quoted(wanted)),
                    "one column for each quantity",
                    "take one of the two out of the column map",
                ),
            ),
        };
        problems.add(ProblemKind::Conflict, place, &cited(key), says);
    }

    fn names(&self) -> impl Iterator<Item = &'static str> {
        self.known.iter().map(|k| k.name)
    }

    /// The known name that a word is most likely a slip of.
    fn near(&self, word: &str) -> Option<&'static str> {
        nearest(word, self.names())
    }

    /// For each known quantity its column, in the order of the known.
    pub(crate) fn into_indices(self) -> Vec<Option<usize>> {
        self.at
    }

    /// For each known quantity its column, in the order of the known.
    pub(crate) fn indices(&self) -> &[Option<usize>] {
        &self.at
    }

    /// The column that goes by one of the names of a known quantity, or by this header.
    pub(crate) fn find(&self, name: &str) -> Option<usize> {
        let name = plain(name);
        let known = self.known.iter().position(|k| k.is_called(&name)).and_then(|field| self.at[field]);
        known.or_else(|| self.header.iter().position(|h| plain(h) == name))
    }

    /// The column of a known quantity, by its name.
    pub(crate) fn index(&self, name: &str) -> Option<usize> {
        self.known.iter().position(|k| k.name == name).and_then(|field| self.at[field])
    }

    /// Whether all of these are there.
    pub(crate) fn has(&self, names: &[&str]) -> bool {
        names.iter().all(|name| self.index(name).is_some())
    }

    /// Which of these are not.
    pub(crate) fn lacking<'n>(&self, names: &[&'n str]) -> Vec<&'n str> {
        names.iter().copied().filter(|name| self.index(name).is_none()).collect()
    }

    /// How many columns are known.
    pub(crate) fn known_count(&self) -> usize {
        self.at.iter().flatten().count()
    }

    /// Whether no column is known.
    pub(crate) fn is_empty(&self) -> bool {
        self.at.iter().all(Option::is_none)
    }

    /// What a row has in the column of a known quantity; empty where there is none.
    pub(crate) fn text<'r>(&self, row: &'r Row<'_>, name: &str) -> &'r str {
        row.text(self.index(name))
    }

    /// Known names in the order of the file's columns, each with its column.
    pub(crate) fn in_file_order(&self) -> Vec<(&'static str, usize)> {
        let mut found: Vec<(&str, usize)> =
            self.names().zip(&self.at).filter_map(|(n, a)| Some((n, (*a)?))).collect();
        found.sort_by_key(|(_, at)| *at);
        found
    }

    /// Columns that mean nothing here: where, the header as it stands (empty where the column has none),
    /// and the known name that it may be a slip of.
    pub(crate) fn unknown(&self) -> impl Iterator<Item = (usize, &str, Option<&'static str>)> {
        self.unknown.iter().map(|&at| (at, self.header[at].as_str(), self.near(&self.header[at])))
    }

    /// Columns named without their unit: where, the header as it stands, and the name that it was read
    /// as.
    pub(crate) fn units_assumed(&self) -> impl Iterator<Item = (usize, &str, &'static str)> {
        self.bare.iter().map(|&(at, field)| (at, self.header[at].as_str(), self.known[field].name))
    }

    /// Reports headers that mean nothing here; `otherwise` is advised where none is a slip of a
    /// known one.
    pub(crate) fn report_unknown(&self, otherwise: &str, problems: &mut Collector) {
        for (_, header, near) in self.unknown() {
            let advice = near.map_or_else(|| otherwise.to_owned(), |near| format!("did you mean {near}?"));
            let says = Says::new(
                format!("the unknown column {}", quoted(header)),
                self.names().collect::<Vec<_>>().join(", "),
                advice,
            );
            problems.add(ProblemKind::UnknownKey, self.place, &cited(header), says);
        }
    }

    /// Reports quantities that two columns give.
    pub(crate) fn report_twice(&self, advice: &str, problems: &mut Collector) {
        for &(first, second, field) in &self.twice {
            let (first, second) = (&self.header[first], &self.header[second]);
            let found = if first == second {
                format!("the column {} twice", quoted(first))
            } else {
                format!("{} and {}, both for {}", quoted(first), quoted(second), self.known[field].name)
            };
            let says = Says::new(found, "one column for each quantity", advice);
            problems.add(ProblemKind::Conflict, self.place, &cited(second), says);
        }
    }
}

/// The headers of a file in one line, for messages.
pub(crate) fn header_list(header: &[impl AsRef<str>]) -> String {
    let listed = header.iter().take(MOST_LISTED).map(|h| quoted(h.as_ref()));
    let more = header.len().saturating_sub(MOST_LISTED);
    listed.chain((more > 0).then(|| format!("and {more} more"))).collect::<Vec<_>>().join(", ")
}

/// Columns that a message lists; the rest are counted.
const MOST_LISTED: usize = 30;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::{Separator, Sheet};

    const KNOWN: [Known; 2] = [
        Known { name: "dip_deg", bare: &["dip"], also: &[] },
        Known { name: "dip_direction_deg", bare: &["dip_direction"], also: &[] },
    ];

    fn find(header: &str, pairs: &[(&str, &str)]) -> (Columns, String) {
        let map =
            ColumnMap { pairs: pairs.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect() };
        let mut problems = Collector::of_file("s.csv");
        let sheet = Sheet::of(header, Separator::Comma, 0).unwrap();
        let columns = Columns::mapped(&sheet.header, sheet.header_place(), &KNOWN, &map, &mut problems);
        columns.report_twice("rename one of them", &mut problems);
        (columns, problems.finish(()).err().map_or_else(String::new, |p| p.to_string()))
    }

    #[test]
    fn any_order_any_case_and_a_map() {
        let (columns, text) = find("Dip direction (deg),DIP_DEG", &[]);
        assert_eq!(columns.at, [Some(1), Some(0)]);
        assert_eq!(columns.in_file_order(), [("dip_direction_deg", 0), ("dip_deg", 1)]);
        assert!(columns.units_assumed().next().is_none() && text.is_empty());
        let (columns, _) = find("Azi,Dip", &[("dip_direction_deg", "azi")]);
        assert_eq!(columns.at, [Some(1), Some(0)]);
        assert_eq!(columns.units_assumed().collect::<Vec<_>>(), [(1, "Dip", "dip_deg")]);
    }

    #[test]
    fn slips_and_repeats_are_named() {
        let (columns, _) = find("dip_deg,,dip_direction_deg", &[]);
        assert_eq!(columns.unknown().collect::<Vec<_>>(), [(1, "", None)], "a column without a name");
        let (columns, _) = find("dip_dge,dip_direction_deg", &[]);
        assert_eq!(columns.lacking(&["dip_deg", "dip_direction_deg"]), ["dip_deg"]);
        assert_eq!(columns.unknown().collect::<Vec<_>>(), [(0, "dip_dge", Some("dip_deg"))]);
        let mut problems = Collector::of_file("s.csv");
        columns.report_unknown("", &mut problems);
        let text = problems.finish(()).unwrap_err().to_string();
        assert!(text.contains("s.csv:1: dip_dge: found the unknown column \"dip_dge\""), "{text}");
        assert!(text.contains("do: did you mean dip_deg?"), "{text}");
        let (_, text) = find("dip,dip_deg", &[("strike", "x"), ("dip_deg", "zz")]);
        assert!(text.contains("\"strike\"") && text.contains("\"zz\""), "{text}");
        let (_, text) = find("dip,dip_deg", &[]);
        assert!(text.contains("found \"dip\" and \"dip_deg\", both for dip_deg"), "{text}");
        let (_, text) = find("dip_deg,dip_deg", &[]);
        assert!(text.contains("the column \"dip_deg\" twice"), "{text}");
    }
}
