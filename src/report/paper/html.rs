//! What pages are made of.

/// A drawing for the page.
#[derive(Debug, Clone)]
pub struct Figure {
    /// Name of its files, without ending.
    pub stem: String,
    /// The drawing.
    pub svg: String,
}

const STYLE: &str = "\
:root{--ink:#1a1a1a;--rule:#c9c6bf;--paper:#fdfcf9}\
body{margin:0 auto;max-width:62rem;padding:2rem 1.25rem 4rem;background:var(--paper);color:var(--ink);\
font:1rem/1.5 'DejaVu Sans',Verdana,sans-serif}\
h1{font-size:1.5rem;margin:0}h2{font-size:1.15rem;margin:2.5rem 0 .75rem;border-top:2px solid var(--ink);padding-top:.6rem}\
.answer{white-space:pre-line;font-size:1.15rem;border-left:.4rem solid var(--ink);padding:.25rem 0 .25rem 1rem;margin:1.25rem 0}\
figure{margin:1rem 0}figure svg{width:100%;height:auto}\
.wide{overflow-x:auto}table{border-collapse:collapse;font-size:.8rem;font-variant-numeric:tabular-nums}\
th,td{text-align:left;padding:.3rem .45rem;border-bottom:1px solid var(--rule);vertical-align:top}\
th{border-bottom:2px solid var(--ink)}td.n,th.n{text-align:right}td:first-child,td:nth-child(2){white-space:nowrap}td.n{white-space:nowrap}\
details{margin:.5rem 0;border:1px solid var(--rule);padding:.4rem .8rem}\
summary{cursor:pointer}details h1{font-size:1.1rem;margin:1rem 0 .5rem}details h2{font-size:1rem;border:0;margin:1rem 0 .3rem;padding:0}\
.wide pre{font-size:.75rem}.sign td{height:2.5rem;min-width:11rem}@media print{body{max-width:none;padding:0;font-size:.8rem}.wide{overflow:visible}table{font-size:.58rem}th,td{padding:.15rem .25rem}details::details-content{content-visibility:visible;height:auto}}";

/// HTML in the making.
#[derive(Debug, Default)]
pub(crate) struct Html(String);

impl Html {
    /// Adds markup as it stands.
    pub(crate) fn raw(&mut self, html: &str) -> &mut Self {
        self.0.push_str(html);
        self
    }

    /// Adds text; markup in it is shown, not obeyed.
    pub(crate) fn text(&mut self, text: &str) -> &mut Self {
        for c in text.chars() {
            match c {
                '&' => self.0.push_str("&amp;"),
                '<' => self.0.push_str("&lt;"),
                '>' => self.0.push_str("&gt;"),
                '"' => self.0.push_str("&quot;"),
                c => self.0.push(c),
            }
        }
        self
    }

    /// The head of a page: its title, what it is, the version, and the date where one was given.
    pub(crate) fn head(&mut self, title: &str, what: &str, dated: Option<&str>) {
        self.raw("<header><h1>").text(title).raw("</h1><p>");
        self.text(&format!("{what} Backhold {}.", env!("CARGO_PKG_VERSION")));
        if let Some(date) = dated {
            self.text(&format!(" Dated {date}."));
        }
        self.raw("</p></header>");
    }

    /// A section's heading.
    pub(crate) fn heading(&mut self, title: &str) {
        self.raw("\n<h2>").text(title).raw("</h2>\n");
    }

    /// A list; nothing without items.
    pub(crate) fn list(&mut self, items: impl Iterator<Item = String>) {
        let items: Vec<String> = items.collect();
        if items.is_empty() {
            return;
        }
        self.raw("<ul>");
        for item in items {
            self.raw("<li>").text(&item).raw("</li>");
        }
        self.raw("</ul>");
    }

    /// A table; headers that end in a unit or name a number are set to the right with `n`.
    pub(crate) fn table(&mut self, header: &[(&str, bool)], rows: &[Vec<String>]) {
        self.raw("<div class=\"wide\"><table><thead><tr>");
        for (name, number) in header {
            self.raw(if *number { "<th class=\"n\">" } else { "<th>" }).text(name).raw("</th>");
        }
        self.raw("</tr></thead><tbody>\n");
        for row in rows {
            self.raw("<tr>");
            for (cell, (_, number)) in row.iter().zip(header) {
                self.raw(if *number { "<td class=\"n\">" } else { "<td>" }).text(cell).raw("</td>");
            }
            self.raw("</tr>\n");
        }
        self.raw("</tbody></table></div>");
    }

    /// The drawing of this name, where there is one.
    pub(crate) fn figure(&mut self, figures: &[Figure], stem: &str) {
        if let Some(figure) = figures.iter().find(|f| f.stem == stem) {
            self.raw("<figure>").raw(&figure.svg).raw("</figure>\n");
        }
    }

    /// What was written so far.
    #[cfg(test)]
    pub(crate) fn as_str(&self) -> &str {
        &self.0
    }
}

/// A whole page: one file, nothing fetched.
pub(crate) fn document(title: &str, body: &Html) -> String {
    let mut escaped = Html::default();
    escaped.text(title);
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\
         <title>{}</title><style>{STYLE}</style></head><body>\n{}\n</body></html>\n",
        escaped.0, body.0
    )
}
