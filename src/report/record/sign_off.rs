//! What a report is signed for: which inputs, which version, by whom.

use serde_json::{Value, json};

use super::Asked;
use crate::case::{SourceFile, inputs_sha256};
use crate::report::paper::html::Html;

/// Who prepared, checked and approved, as given on the command line, and the files that the case
/// was read from. A name here is no signature: the page has lines to sign by hand.
#[derive(Debug, Clone, Copy, Default)]
pub struct SignOff<'a> {
    /// Who prepared it.
    pub prepared: Option<&'a str>,
    /// Who checked it.
    pub checked: Option<&'a str>,
    /// Who approved it.
    pub approved: Option<&'a str>,
    /// The case file first, then the files that it names.
    pub files: &'a [SourceFile],
}

impl SignOff<'_> {
    fn names(&self) -> [(&'static str, Option<&str>); 3] {
        [("prepared", self.prepared), ("checked", self.checked), ("approved", self.approved)]
    }

    /// The names as summary.json holds them.
    pub(super) fn names_json(&self) -> Value {
        self.names().into_iter().map(|(who, name)| (who.to_owned(), json!(name))).collect()
    }

    /// The hash of all inputs.
    pub(super) fn inputs_sha256(&self) -> String {
        inputs_sha256(self.files)
    }

    /// The files with their text, or their bytes as hexadecimal digits, so that summary.json alone is
    /// enough to run again; of a very large one the hash alone.
    pub(super) fn files_json(&self) -> Value {
        self.files
            .iter()
            .map(|file| match (file.text(), &file.content) {
                (Some(text), _) => json!({ "name": file.name, "sha256": file.sha256, "text": text }),
                (None, Some(bytes)) => {
                    let hex: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
                    json!({ "name": file.name, "sha256": file.sha256, "hex": hex })
                }
                (None, None) => json!({ "name": file.name, "sha256": file.sha256 }),
            })
            .collect()
    }

    /// The section of the page with the texts that it was made from.
    pub(in crate::report) fn write(&self, body: &mut Html, asked: &Asked, dated: Option<&str>) {
        self.lines_to_sign(body, asked, dated, None);
        self.inputs(body);
    }

    /// What is signed for and the lines to sign by hand, a caution beside them.
    pub(in crate::report) fn lines_to_sign(
        &self,
        body: &mut Html,
        asked: &Asked,
        dated: Option<&str>,
        caution: Option<&str>,
    ) {
        body.heading("Sign-off");
        if let Some(caution) = caution {
            body.answer(caution);
        }
        let mut lines = vec![
            format!("Backhold {}.", env!("CARGO_PKG_VERSION")),
            format!("Inputs, SHA-256: {}.", self.inputs_sha256()),
        ];
        lines.extend(self.files.iter().map(|f| format!("{}, SHA-256: {}.", f.name, f.sha256)));
        lines.extend(dated.map(|date| format!("Dated {date}, as given; no hash covers it.")));
        lines.push(format!(
            "The same inputs and version give the same tables byte for byte: backhold {} --again summary.json runs again from what the summary holds.",
            asked.command()
        ));
        body.list(lines.into_iter());
        body.raw("<table class=\"sign\"><tr><th></th><th>name</th><th>date</th><th>signature</th></tr>");
        for (who, name) in self.names() {
            body.raw("<tr><td>").text(who).raw("</td><td>").text(name.unwrap_or_default());
            body.raw("</td><td></td><td></td></tr>");
        }
        body.raw("</table>");
        if self.names().iter().any(|(_, name)| name.is_some()) {
            body.raw("<p>").text("Names as they were given to the program; none of them is a signature.");
            body.raw("</p>");
        }
    }

    /// The case file and the files that it names, as they were read, folded.
    pub(in crate::report) fn inputs(&self, body: &mut Html) {
        for (file, text) in self.files.iter().filter_map(|f| f.text().map(|text| (f, text))) {
            body.raw("<details><summary>").text(&format!("{}, as it was read", file.name));
            body.raw("</summary><div class=\"wide\"><pre>").text(text).raw("</pre></div></details>");
        }
    }
}
