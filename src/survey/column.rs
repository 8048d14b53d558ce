use super::problem::Collector;
use super::warning::Warning;

/// A column that a reader knows.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Known {
    /// Its full name, unit included.
    pub name: &'static str,
    /// The same quantity without its unit: taken, with a warning that says which unit was
    /// assumed.
    pub bare: &'static [&'static str],
    /// Other full names for the same thing.
    pub also: &'static [&'static str],
}

/// Tells which column of somebody else's table holds which quantity: pairs of (known name,
/// header as it stands in the file). Headers are compared without regard to case and signs.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ColumnMap {
    /// (known name, header in the file).
    pub pairs: Vec<(String, String)>,
}

/// A header with only lower-case letters, digits and single underscores.
pub(crate) fn plain(header: &str) -> String {
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

/// Finds the column of each known quantity. A quantity named twice, and a map that names
/// something unknown, are problems; headers that mean nothing here are warned about.
pub(crate) fn find_columns(
    header: &[impl AsRef<str>],
    line: usize,
    known: &[Known],
    map: &ColumnMap,
    problems: &mut Collector,
    warnings: &mut Vec<Warning>,
) -> Vec<Option<usize>> {
    let mut found: Vec<Option<usize>> = vec![None; known.len()];
    let mut taken = vec![false; header.len()];
    let plain_header: Vec<String> = header.iter().map(|h| plain(h.as_ref())).collect();
    for (name, wanted) in &map.pairs {
        let field = known.iter().position(|k| k.name == name);
        let at = plain_header.iter().position(|h| *h == plain(wanted));
        match (field, at) {
            (None, _) => problems.add(
                None,
                None,
                format!("a column map for \"{name}\""),
                list(known),
                nearest(name, known).map_or_else(String::new, |n| format!("Did you mean \"{n}\"?")),
            ),
            (_, None) => problems.add(
                Some(line),
                None,
                format!("no column \"{wanted}\", which the column map gives for {name}"),
                header_list(header),
                "Give the header as it stands in the file",
            ),
            (Some(field), Some(at)) if found[field].is_some() || taken[at] => problems.add(
                Some(line),
                Some(wanted),
                format!("{name} or \"{wanted}\" mapped twice"),
                "one column for each quantity",
                "",
            ),
            (Some(field), Some(at)) => {
                found[field] = Some(at);
                taken[at] = true;
            }
        }
    }
    for (at, head) in plain_header.iter().enumerate() {
        if taken[at] || head.is_empty() {
            continue;
        }
        let named = known.iter().position(|k| k.name == head || k.also.contains(&head.as_str()));
        let bare = || known.iter().position(|k| k.bare.contains(&head.as_str()));
        let as_written = header[at].as_ref();
        let Some(field) = named.or_else(bare) else {
            warnings.push(Warning::UnknownColumn {
                header: as_written.to_owned(),
                nearest: nearest(head, known).map(str::to_owned),
            });
            continue;
        };
        // What the map says stands; the file's own column of that name is then another thing.
        if let Some(first) = found[field] {
            if map.pairs.iter().all(|(name, _)| name != known[field].name) {
                problems.add(
                    Some(line),
                    Some(as_written),
                    format!(
                        "\"{}\" and \"{as_written}\", both for {}",
                        header[first].as_ref(),
                        known[field].name
                    ),
                    "one column for each quantity",
                    "Rename one of them, or name the right one in a column map",
                );
            }
            continue;
        }
        if named.is_none() {
            warnings.push(Warning::UnitAssumed { header: as_written.to_owned(), read_as: known[field].name });
        }
        found[field] = Some(at);
    }
    found
}

fn list(known: &[Known]) -> String {
    known.iter().map(|k| k.name).collect::<Vec<_>>().join(", ")
}

/// The headers of a file in one line, for messages.
pub(crate) fn header_list(header: &[impl AsRef<str>]) -> String {
    header.iter().map(|h| format!("\"{}\"", h.as_ref())).collect::<Vec<_>>().join(", ")
}

/// The known name that `word` is most likely a slip of, within a third of its letters.
pub(crate) fn nearest<'k>(word: &str, known: &'k [Known]) -> Option<&'k str> {
    known
        .iter()
        .map(|k| (edits(word, k.name), k.name))
        .min()
        .filter(|&(distance, name)| distance * 3 <= name.len())
        .map(|(_, name)| name)
}

/// Levenshtein's distance.
fn edits(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, cb) in b.iter().enumerate() {
            let replaced = diagonal + usize::from(ca != *cb);
            diagonal = row[j + 1];
            row[j + 1] = replaced.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    const KNOWN: [Known; 2] = [
        Known { name: "dip_deg", bare: &["dip"], also: &[] },
        Known { name: "dip_direction_deg", bare: &["dip_direction"], also: &[] },
    ];

    fn find(header: &[&str], pairs: &[(&str, &str)]) -> (Vec<Option<usize>>, Vec<Warning>, String) {
        let map =
            ColumnMap { pairs: pairs.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect() };
        let (mut problems, mut warnings) = (Collector::new("s.csv"), Vec::new());
        let found = find_columns(header, 1, &KNOWN, &map, &mut problems, &mut warnings);
        let text = problems.finish(()).err().map_or_else(String::new, |p| p.to_string());
        (found, warnings, text)
    }

    #[test]
    fn any_order_any_case_and_a_map() {
        let (found, warnings, text) = find(&["Dip direction (deg)", "DIP_DEG"], &[]);
        assert_eq!(found, [Some(1), Some(0)]);
        assert!(warnings.is_empty() && text.is_empty());
        let (found, warnings, _) = find(&["Azi", "Dip"], &[("dip_direction_deg", "azi")]);
        assert_eq!(found, [Some(1), Some(0)]);
        assert_eq!(warnings.len(), 1, "dip without its unit is warned about");
    }

    #[test]
    fn slips_and_repeats_are_named() {
        let (found, warnings, _) = find(&["dip_dge", "dip_direction_deg"], &[]);
        assert_eq!(found[0], None);
        assert!(warnings[0].to_string().contains("dip_deg"), "{}", warnings[0]);
        let (_, _, text) = find(&["dip", "dip_deg"], &[("strike", "x"), ("dip_deg", "zz")]);
        assert!(text.contains("\"strike\"") && text.contains("\"zz\""), "{text}");
        let (_, _, text) = find(&["dip", "dip_deg"], &[]);
        assert!(text.contains("both for dip_deg"), "{text}");
    }
}
