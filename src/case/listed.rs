//! A list of cases that are checked in one call: a CSV file with a row each.

use std::collections::BTreeSet;

use crate::input::{
    Collector, Columns, Known, Place, ProblemKind, Problems, Row, Says, Separator, Sheet, cited, parse_number,
};

/// A case of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct ListedCase {
    /// What it is called among the others: the name of its folder.
    pub name: String,
    /// The case file, as the list names it: from the folder of the list.
    pub file: String,
    /// The option of it that is asked for; `None` for the case as it stands.
    pub option: Option<String>,
    /// Where along the drive it stands, metres; `None` where the list does not say.
    pub chainage_m: Option<f64>,
}

/// A list with more cases is taken in parts.
const MOST_CASES: usize = 10_000;
/// Letters of a name.
const MOST_NAME: usize = 100;
/// Chainages that a list may have, metres either way.
const FARTHEST_M: f64 = 1e6;

const COLUMNS: [Known; 4] =
    [Known::named("case"), Known::named("name"), Known::named("option"), Known::named("chainage_m")];

impl ListedCase {
    /// A case as it stands, named by its file without folders and ending.
    #[must_use]
    pub fn of_file(file: &str) -> Self {
        let last = file.rsplit(['/', '\\']).next().unwrap_or(file);
        let stem = last.strip_suffix(".toml").unwrap_or(last);
        Self { name: stem.to_owned(), file: file.to_owned(), option: None, chainage_m: None }
    }
}

/// Gives each case a name of its own: of those that share one, the later ones a number behind it.
#[must_use]
pub fn with_own_names(cases: Vec<ListedCase>) -> Vec<ListedCase> {
    let mut taken: BTreeSet<String> = BTreeSet::new();
    let own = |case: ListedCase| {
        let mut name = case.name.clone();
        let mut number = 1;
        // Folders whose names differ by case alone are one on some systems.
        while !taken.insert(name.to_lowercase()) {
            number += 1;
            name = format!("{}-{number}", case.name);
        }
        ListedCase { name, ..case }
    };
    cases.into_iter().map(own).collect()
}

/// Reads a list of cases, columns `case` (a case file, from the folder of the list), and `name`, `option`, `chainage_m`
/// where there are any; other columns are notes, lines that start with `#` comments.
///
/// # Errors
/// All problems at once, each with its line.
pub fn read_case_list(file_name: &str, text: &str) -> Result<Vec<ListedCase>, Problems> {
    let mut problems = Collector::of_file(file_name);
    let cases = cases(text, &mut problems);
    problems.finish(with_own_names(cases))
}

fn cases(text: &str, problems: &mut Collector) -> Vec<ListedCase> {
    let nothing = |problems: &mut Collector, found: &str| {
        let says =
            Says::new(found, "a line case,name,option,chainage_m and a line a case", "list the cases in it");
        problems.add(ProblemKind::File, Place::whole(), "case", says);
    };
    let Some(mut sheet) = Sheet::of(text, Separator::Comma, 0) else {
        nothing(problems, "an empty file");
        return Vec::new();
    };
    let columns = Columns::of(&sheet.header, sheet.header_place(), &COLUMNS);
    columns.report_twice("rename or delete one of the two", problems);
    if columns.index("case").is_none() {
        let says = Says::new(
            cited(sheet.header.raw),
            "a column case, and name, option and chainage_m where wanted, named in the first line",
            "name the column of case files in the first line",
        );
        problems.add(ProblemKind::MissingKey, sheet.header_place(), "case", says);
        return Vec::new();
    }
    let most = (MOST_CASES, "cases", "part the list");
    let found = sheet
        .take_rows("case", most, problems, |row, place, problems| listed(&columns, row, place, problems));
    let found = found.unwrap_or_default();
    if found.is_empty() && problems.count() == 0 {
        nothing(problems, "no case");
    }
    found
}

fn listed(columns: &Columns, row: &Row<'_>, place: Place, problems: &mut Collector) -> Option<ListedCase> {
    let before = problems.count();
    let text = |key: &str| Some(columns.text(row, key)).filter(|text| !text.is_empty());
    let file = text("case");
    if file.is_none() {
        let says = Says::new("nothing", "a case file, from the folder of this list", "name the file");
        problems.add(ProblemKind::Value, place, "case", says);
    }
    let name = text("name");
    let is_name = |name: &str| {
        let inner = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '.' | ' ');
        name.chars().count() <= MOST_NAME && name.chars().all(inner) && !name.starts_with(['.', ' ', '-'])
    };
    if let Some(name) = name.filter(|name| !is_name(name)) {
        let says = Says::new(
            cited(name),
            format!(
                "a name for a folder: 1 to {MOST_NAME} letters, digits, _, -, dots and blanks, a letter, digit or _ first"
            ),
            "give another name, or none: the file's own is taken",
        );
        problems.add(ProblemKind::Value, place, "name", says);
    }
    let chainage_m = text("chainage_m").and_then(|typed| {
        let number = parse_number(typed).filter(|m| m.abs() <= FARTHEST_M);
        if number.is_none() {
            let says = Says::new(
                cited(typed),
                format!("a number from -{FARTHEST_M} to {FARTHEST_M}, metres"),
                "correct the number",
            );
            problems.add(ProblemKind::Value, place, "chainage_m", says);
        }
        number
    });
    if problems.count() > before {
        return None;
    }
    let of_file = ListedCase::of_file(file?);
    Some(ListedCase {
        name: name.map_or(of_file.name.clone(), str::to_owned),
        option: text("option").map(str::to_owned),
        chainage_m,
        ..of_file
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cases_are_listed_with_names_of_their_own() {
        let text = "chainage_m,case,option,geologist\n40,a/drive.toml,,x\n60,b/Drive.toml,\"wide, bolts\",y\n80,c.toml,,\n";
        let cases = read_case_list("l.csv", text).unwrap();
        let names: Vec<&str> = cases.iter().map(|c| c.name.as_str()).collect();
        assert_eq!(names, ["drive", "Drive-2", "c"]);
        assert_eq!((cases[1].option.as_deref(), cases[1].chainage_m), (Some("wide, bolts"), Some(60.0)));
        let said = read_case_list("l.csv", "case,name,chainage_m\n,x,1\na.toml,../x,far\n").unwrap_err();
        assert_eq!(said.list().len(), 3, "{said}");
        assert!(read_case_list("l.csv", "case\n").is_err() && read_case_list("l.csv", "").is_err());
        assert!(read_case_list("l.csv", "file\na.toml\n").is_err());
    }
}
